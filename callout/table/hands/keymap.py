"""Which key says what: names of keys, what they may stand for, and the keys of a language."""

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
    """What a key does that makes no call by itself."""

    DONE = "done"
    """Ends a number."""
    POINT = "point"
    """Stands before the tenths of a time."""
    CLEAR = "clear"
    """Forgets what was begun."""
    TALK = "talk"
    """The ear hears while it is held."""
    TAP = "tap to talk"
    """The ear hears from one press to the next: for a pedal that does not tell of being held."""
    CHOOSE = "choose"
    """Takes the choice just read: the one switch."""
    TYPE = "type"
    """Begins a line to be typed in words; at a terminal."""
    HELP = "help"
    """Says what may be pressed or said now."""


Target = Hand | Team | str | tuple[Pattern, ...]
"""What a key stands for: a hand's work, a team, a digit, or calls of which one is made."""

DIGITS: Final = "0123456789"

HANDS: Final[Mapping[str, Target]] = {
    # F and J have bumps that the fingers find.
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
"""The keys that make no call by themselves."""

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
"""The keys that have names; all others are what they type, or `f1` to `f24`, `kp_0`, `btn_left`."""

KEY: Final = re.compile(r"f([1-9]|1\d|2[0-4])|(kp|btn)_\w+|[!-~]")


@dataclass(frozen=True)
class KeyMap:
    """What the keys of a table say, by gesture: `a`, `a long`, `a+b`, or `a b` one after another.

    No key of a language is a capital letter, so that Caps Lock turns no call into another one.
    """

    keys: Mapping[str, Target]
    """Of the terminal of the game; no key says anything itself that is the first of two."""
    everywhere: Mapping[str, Target] = field(default_factory=dict)
    """Of the whole keyboard, whichever window has the focus."""
    pedal: Mapping[str, Target] = field(default_factory=dict)
    device: str = ""
    """The pedal's device: its path, or a part of its name."""
    feel: Feel = field(default_factory=Feel)

    def find(self, wanted: Target) -> str | None:
        """A key of the terminal for something, if it has one."""
        return next((key for key, target in self.keys.items() if target == wanted), None)


def two_keys(gesture: str) -> tuple[str, str] | None:
    """Two keys that are pressed one after another, if the gesture is that."""
    first, _, second = gesture.partition(" ")
    return (first, second) if second and not gesture.endswith(LONG) else None


def default_keys(grammar: Grammar, patterns: Patterns) -> KeyMap:
    """The keys that the language's call files name, with those of the hands."""
    return KeyMap({**HANDS, **{k: (patterns.read(text),) for k, text in grammar.keys().items()}})


def is_key(name: str) -> bool:
    """Whether a key has that name."""
    return name in NAMED or KEY.fullmatch(name) is not None
