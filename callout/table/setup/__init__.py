"""A game's setup: its league, both teams with their lists, whose clock and whose book it is.

It is written as lines `key: value`, in a file for `callout live` or at the head of a game script,
and stored in the same form at the head of the journal. `header` reads the lines as people write
them and names the right line where one is nearly right; `setup` turns pairs of key and value into
a `Setup`, and `pairs` turns it back. `roster`, `player_table` and `pasted_list` read lists of
players, `form` what a page asks for; `own_words` checks that the ear knows the teams' own words and
that they mean nothing else already.

A mistake in a file is reported as `path:line: expected …, got …`.
"""
