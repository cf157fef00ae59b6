"""All keys of one table, wherever they are: what came of each device becomes what it stands for.

Pure: devices tell of keys going down and up, with the time; the time itself is passed in.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

from callout.table.keymap import Hand, KeyMap, Target
from callout.table.presses import LONG, Felt, Pressed, Presses, Released, Stuck, Taps, keys_of

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


Move = Act | LetGo | Unknown | Stuck


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
        self._presses = {
            source: Presses(self._maps[source], keymap.feel) for source in ("everywhere", "pedal")
        }

    def feed(self, edge: Edge) -> list[Move]:
        """What follows from a key of a device."""
        presses = self._presses.get(edge.source)
        if presses is None:
            felt = self._taps.feed(edge.key, edge.at_ns) if edge.down else []
        else:
            felt = presses.feed(edge.key, edge.down, edge.at_ns)
        return list(self._moves(edge.source, felt))

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
        target = keys.get(gesture)
        if target is None and source == "keys":
            target = keys.get(gesture.removeprefix(KEYPAD))
        if target is not None:
            yield Act(target, pressed.at_ns)
        elif source != "everywhere":
            # Elsewhere people type what is none of the table's business.
            yield Unknown(gesture)

    def _is_ours(self, source: str, key: str) -> bool:
        return any(key in keys_of(gesture.removesuffix(LONG)) for gesture in self._maps[source])
