"""The longer texts of `--help`: the setup file and the file of keys, by example.

Lines are kept as they stand, so they must fit a terminal of 80 columns: at most 76 characters.
"""

from __future__ import annotations

from typing import Final

SETUP_EXAMPLE: Final = """\
profile: youth-6-minute        # a league: callout rules lists them
home: Harbour Kites | 4 5 7    # or with names: 4 Ada Moss, 5 Bo Reed, 7
guest: Quarry Foxes
roster guest: foxes.csv        # a list: column No., if you like Name, Starter
starters home: 4 5 7
captain home: 5
coach home: 7                  # a player who is also the coach; or a name
assistant guest: Di Tern
officials: Referee Cy Dale, Scorer Flo Ames
place: Harbour Hall
competition: Saturday league
language: en                   # or es: of calls and replies; is kept
colour guest: red              # another word for the team
nickname guest: foxes          # and one more
clock: ours                    # follow: copied from another; none: no clock
book: official                 # second: the official one is kept elsewhere
wake: table                    # an open ear takes only "table, home two"
league: postgresql://gym-7@league.example/hoops   # where the game is sent
fixture: 2026-114              # which game of the league's list it is
"""
"""Every kind of line that a volunteer may need; only the first three must be there."""

SETUP: Final = f"""\
The setup file has one 'key: value' on a line. A game needs the first three:

{SETUP_EXAMPLE}
An open ear hears nothing while the voice speaks, unless --talk-over is given.
macOS's and Windows's own voices were never tried. In Spanish there are the
calls of the demo; no Spanish speech was ever tried."""

KEYS_EXAMPLE: Final = """\
digit_ms = 200         # the same digit within 200 ms counts once, for hands
repeat_ms = 200        # that tremble; the same for all other keys

[keys]                 # in the game's own window
";" = "home two"
"p 9" = "guest timeout"         # two keys, one after the other

[everywhere]           # whichever window has the focus
f13 = "{team} two"     # asks home or guest

[pedal]                # one device, which nothing else hears then (Linux)
device = "/dev/input/by-id/usb-Three_Pedals-event-kbd"
a = ["stop clock", "start clock"]   # whichever may be called now
"a long" = "undo that"              # held for half a second
b = "talk"                          # the ear hears while it is held
"b+c" = "referee told"              # both at once
"""
"""A file of keys with every kind of line."""

_MARKUP: Final = KEYS_EXAMPLE.replace("[", r"\[")
"""Without the backslashes, `--help` would take the names of tables for markup of its own."""

KEYS: Final = f"""\
The file can be written by hand, too. A key says what you would say:

{_MARKUP}
For one switch, a key that says "choose" (Page Down does) reads the choices
slowly; the next press takes the one just read. What may not be called now is
not read."""
