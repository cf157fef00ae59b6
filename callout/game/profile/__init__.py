"""A league's rules as data: a profile, the file it is read from, and its description in words.

No code asks which league is played. It asks for a value, such as the fouls that put a player out,
and every profile has that value with its source: the article of the rule book, "common practice, no
source" or "from memory". A profile may be based on another one and give only what differs.

- `sections`: the values, one dataclass for each part of the rules;
- `profile`: all sections together, with the few values that are computed from them;
- `file`: TOML to profile, with the line of every mistake;
- `describe`: a profile as rows of plain words, and the rows in which two leagues differ.
"""
