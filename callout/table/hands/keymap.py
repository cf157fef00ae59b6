"""The key map of a table: the names of keys, what they may stand for, and a language's own keys."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import Enum
from typing import Final

from callout.game.terms import Team
from callout.language.grammar import Grammar
from callout.language.pattern import Pattern, Patterns
from callout.table.hands.presses import LONG, Feel


class Hand(Enum):
    """What a key may do besides making a call."""

    DONE = "done"
    """Ends a number."""
    POINT = "point"
    """The decimal point before the tenths of a time."""
    CLEAR = "clear"
    """Forgets the call that was begun."""
    TALK = "talk"
    """The ear listens while it is held."""
    TAP = "tap to talk"
    """The ear listens from one press to the next: for devices that report no key-up."""
    CHOOSE = "choose"
    """The one switch: takes the choice just read."""
    TYPE = "type"
    """Begins a call typed in words; only at the terminal."""
    HELP = "help"
    """Says what may be pressed or said now."""


TABLES: Final = ("keys", "everywhere", "pedal")
"""The tables of a file of keys: the terminal's keys, those of any window, and those of one device.
An `Edge` names the one in which its key is looked up."""

Target = Hand | Team | str | tuple[Pattern, ...]
"""What a key stands for: a `Hand`, a team, a digit, or several calls; then the first one that the
game accepts is made."""

DIGITS: Final = "0123456789"

HANDS: Final[Mapping[str, Target]] = {
    # On most keyboards F and J have bumps that the fingers find.
    "f": Team.HOME,
    "j": Team.GUEST,
    "enter": Hand.DONE,
    ".": Hand.POINT,
    "backspace": Hand.CLEAR,
    "/": Hand.TAP,
    "pagedown": Hand.CHOOSE,
    ":": Hand.TYPE,
    "?": Hand.HELP,
    **{digit: digit for digit in DIGITS},
}
"""The keys that make no call by themselves, the same in every language."""

NAMED: Final = frozenset(
    re.findall(
        r"\w+",
        """
    space enter tab backspace escape insert delete home end pageup pagedown up down left right menu
    pause print scrolllock capslock numlock leftshift rightshift leftctrl rightctrl leftalt rightalt
    leftmeta rightmeta mute volumeup volumedown playpause nextsong previoussong
    """,
    )
)
"""Keys with names; others are called what they type, or `f1` to `f24`, `kp_0`, `btn_left`."""

KEY: Final = re.compile(r"f([1-9]|1\d|2[0-4])|(kp|btn)_\w+|[!-~]")


@dataclass(frozen=True)
class KeyMap:
    """What keys stand for, by gesture: `a`, `a long`, `a+b`, or `a b` one after the other.

    No key of a language is a capital letter, so Caps Lock cannot turn one call into another.
    """

    keys: Mapping[str, Target]
    """Keys of the game's terminal. The first of two keys in a row has no meaning of its own."""
    everywhere: Mapping[str, Target] = field(default_factory=dict)
    """Keys that count whichever window has the focus."""
    pedal: Mapping[str, Target] = field(default_factory=dict)
    """Keys of the one device named in `device`."""
    device: str = ""
    """The pedal's device: its path, or a part of its name."""
    feel: Feel = field(default_factory=Feel)

    def find(self, wanted: Target) -> str | None:
        """A key of the terminal that stands for `wanted`, if there is one."""
        return next((key for key, target in self.keys.items() if target == wanted), None)


def two_keys(gesture: str) -> tuple[str, str] | None:
    """The two keys of a gesture pressed one after the other; None for any other gesture."""
    first, _, second = gesture.partition(" ")
    return (first, second) if second and not gesture.endswith(LONG) else None


def default_keys(grammar: Grammar, patterns: Patterns) -> KeyMap:
    """The keys named in the language's call files, and `HANDS`."""
    return KeyMap({**HANDS, **{k: (patterns.read(text),) for k, text in grammar.keys().items()}})


def is_key(name: str) -> bool:
    """Whether this is the name of a key."""
    return name in NAMED or KEY.fullmatch(name) is not None
