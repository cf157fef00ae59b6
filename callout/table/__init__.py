"""One game at one table: what was called, what is booked, what is said.

`session` is the loop that everything passes through, whatever it came by: the dialogue may ask
first (`talk`), the rules decide (`callout.game`), the journal records (`book`), the speaker answers
(`speech`). An entry is on the disk before a word about it is made.

- `setup`: the header of a game: league, teams, lists;
- `book`: the journal on the disk;
- `talk`: doubt, questions, answers and repeats;
- `speech`: what is said, how urgently, when and how loud;
- `hands`: keys, pedals and one switch to calls;
- `scripts`: games in words, with what is expected of them.

Nothing here opens a device or reads the machine's clock, except `clock.MachineTime`: time is passed
in, so that a script or a test plays a whole game without waiting.
"""
