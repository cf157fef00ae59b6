"""A scoring table that is spoken to: it keeps a basketball game's book, and answers in the ear.

The folders are layers, and imports point one way, from the last to the first:

- `game`: the rules and the book, pure;
- `language`: words to calls and notices to sentences, pure;
- `table`: one game at one table, with its journal on the disk;
- `practice`: an invented game to practise on, pure;
- `paper`: the book as text, tables and sheets;
- `league`: many tables, their results and the ranking;
- `edges`: microphone, recognizer, voice, keys and network, the only code that touches them;
- `commands`: the command line, a file for each command.

The docstring of each folder explains the idea behind it. DEVELOPERS.md shows how one call travels
through all of them. The package itself imports nothing, so that a child process loads only the
part that it needs.
"""
