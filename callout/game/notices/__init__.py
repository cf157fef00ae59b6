"""What must be said after an entry of the journal. Pure.

A notice is a kind with its values, such as "player out" with team and number; the words come from
the language. Notices are found by comparing the game before the entry with the game after it, not
by looking at the call. So a notice appears whatever brought it about: a fifth foul puts a player
out whether it was called, or came from a correction of an earlier number.

- `after_entry`: all notices of an entry, in one list;
- `echoes`: what is said back for each event;
- `rule_breaks`: what was booked although a rule speaks against it, with that rule;
- `bonus_light`, `result`, `board`: the board's light, who has won, what the board should show;
- `answers`: answers to what the scorer asks;
- `kinds`, `endings`: a row for each kind, how urgent it is, and when what it asks
  for has been done.

What is said now, later or not at all is decided in `table/speech`.
"""
