"""All keys of one table, wherever they are: what came of each device becomes what it stands for.

Pure: devices tell of keys going down and up, with the time; the time itself is passed in.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

from callout.table.hands.composing import WAIT_NS
from callout.table.hands.keymap import Hand, KeyMap, Target, two_keys
from callout.table.hands.presses import LONG, Felt, Pressed, Presses, Released, Stuck, Taps, keys_of

KEYPAD: Final = "kp_"
"""A key of the number pad that says nothing of its own says what its twin does."""


@dataclass(frozen=True, slots=True)
class Edge:
    """A key of a device going down or up."""

    source: str
    """Which table of the key map it belongs to: `keys`, `everywhere` or `pedal`."""
    key: str
    down: bool
    at_ns: int
    """Units: nanoseconds of `clock.steady_ns`."""


@dataclass(frozen=True, slots=True)
class Act:
    """Something was pressed that stands for something."""

    target: Target
    at_ns: int


@dataclass(frozen=True, slots=True)
class LetGo:
    """The key to talk is up again."""

    at_ns: int


@dataclass(frozen=True, slots=True)
class Unknown:
    """A key was pressed that stands for nothing."""

    key: str


@dataclass(frozen=True, slots=True)
class Begun:
    """The first of two keys was pressed: which is the other?"""


Move = Act | LetGo | Unknown | Stuck | Begun


class Hands:
    """The keys of one table, as a key map says what they stand for."""

    def __init__(self, keymap: KeyMap) -> None:
        self.keymap = keymap
        self._maps = {
            "keys": keymap.keys,
            "everywhere": keymap.everywhere,
            "pedal": keymap.pedal,
        }
        digits = [key for key, target in keymap.keys.items() if isinstance(target, str)]
        self._taps = Taps(keymap.feel, [*digits, *(KEYPAD + each for each in digits)])
        self._firsts = {two[0] for two in map(two_keys, keymap.keys) if two}
        self._begun: Pressed | None = None
        """The first of two keys, once it was pressed."""
        self._presses = {
            source: Presses(self._maps[source], keymap.feel) for source in ("everywhere", "pedal")
        }

    def feed(self, edge: Edge) -> list[Move]:
        """What follows from a key of a device."""
        key, presses = self._key(edge), self._presses.get(edge.source)
        if presses is None:
            felt = self._taps.feed(key, edge.at_ns) if edge.down else []
        else:
            felt = presses.feed(key, edge.down, edge.at_ns)
        return list(self._moves(edge.source, felt))

    def _key(self, edge: Edge) -> str:
        """The key, whether Caps Lock is on or not; a capital that stands in the map is itself."""
        single = len(edge.key) == 1 and not self._is_ours(edge.source, edge.key)
        return edge.key.lower() if single else edge.key

    def tick(self, now_ns: int) -> list[Move]:
        """What follows from the time that has passed."""
        return [
            move
            for source, felt in [
                ("keys", self._taps.tick(now_ns)),
                *((source, presses.tick(now_ns)) for source, presses in self._presses.items()),
            ]
            for move in self._moves(source, felt)
        ]

    def wake_ns(self) -> int | None:
        """When `tick` has something to tell next."""
        wakes = [self._taps.wake_ns(), *(each.wake_ns() for each in self._presses.values())]
        return min((wake for wake in wakes if wake is not None), default=None)

    def _moves(self, source: str, felt: list[Felt]) -> Iterator[Move]:
        for each in felt:
            match each:
                case Pressed():
                    yield from self._pressed(source, each)
                case Released():
                    if self._maps[source].get(each.key) is Hand.TALK:
                        yield LetGo(each.at_ns)
                case Stuck():
                    if self._maps[source].get(each.key) is Hand.TALK:
                        yield LetGo(each.at_ns)
                    if self._is_ours(source, each.key):
                        yield each

    def _pressed(self, source: str, pressed: Pressed) -> Iterator[Move]:
        keys, gesture = self._maps[source], pressed.gesture
        if source == "keys":
            yield from self._tapped(pressed)
        elif (target := keys.get(gesture)) is not None:
            yield Act(target, pressed.at_ns)
        elif source != "everywhere":
            # Elsewhere people type what is none of the table's business.
            yield Unknown(gesture)

    def _tapped(self, pressed: Pressed) -> Iterator[Move]:
        """What a key of the terminal stands for, alone or after the first of two."""
        keys, key = self.keymap.keys, pressed.gesture
        begun, self._begun = self._begun, None
        if begun and pressed.at_ns - begun.at_ns > WAIT_NS:
            begun = None
        target = keys.get(f"{begun.gesture} {key}") if begun else None
        if target is None and key in self._firsts:
            self._begun = pressed
            yield Begun()
            return
        if target is None:
            # The second of none says what it always does: the clock's keys must work.
            target = keys.get(key, keys.get(key.removeprefix(KEYPAD)))
        if target is None:
            yield Unknown(key)
        elif not (begun and target is Hand.CLEAR):
            yield Act(target, pressed.at_ns)

    def _is_ours(self, source: str, key: str) -> bool:
        return any(
            key in (two_keys(gesture) or keys_of(gesture.removesuffix(LONG)))
            for gesture in self._maps[source]
        )
