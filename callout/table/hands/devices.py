"""All devices of one table together: each key press becomes what its key stands for. Pure.

Devices report keys going down and up, each with its time; the present time is passed in.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

from callout.table.hands.composing import WAIT_NS
from callout.table.hands.keymap import Hand, KeyMap, Target, two_keys
from callout.table.hands.presses import LONG, Felt, Pressed, Presses, Released, Stuck, Taps, keys_of

KEYPAD: Final = "kp_"
"""The prefix of number-pad keys: one without a meaning of its own has that of its twin."""


@dataclass(frozen=True, slots=True)
class Edge:
    """A key of a device going down or up."""

    source: str
    """The table of the key map in which it is looked up, one of `keymap.TABLES`."""
    key: str
    down: bool
    at_ns: int
    """Units: nanoseconds of `clock.steady_ns`."""


@dataclass(frozen=True, slots=True)
class Act:
    """A key with a meaning was pressed."""

    target: Target
    at_ns: int


@dataclass(frozen=True, slots=True)
class LetGo:
    """The key to talk was let go."""

    at_ns: int


@dataclass(frozen=True, slots=True)
class Unknown:
    """A key without a meaning was pressed."""

    key: str


@dataclass(frozen=True, slots=True)
class Begun:
    """The first of two keys was pressed; the second is awaited."""


Move = Act | LetGo | Unknown | Stuck | Begun


class Hands:
    """The keys of one table, looked up in its key map."""

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
        """The first of two keys, while the second is awaited."""
        self._presses = {
            source: Presses(self._maps[source], keymap.feel) for source in ("everywhere", "pedal")
        }

    def feed(self, edge: Edge) -> list[Move]:
        """What follows when a key of a device goes down or up."""
        key, presses = self._key(edge), self._presses.get(edge.source)
        if presses is None:
            felt = self._taps.feed(key, edge.at_ns) if edge.down else []
        else:
            felt = presses.feed(key, edge.down, edge.at_ns)
        return list(self._moves(edge.source, felt))

    def _key(self, edge: Edge) -> str:
        """The key's name without the effect of Caps Lock; a capital named in the map stays."""
        single = len(edge.key) == 1 and not self._is_ours(edge.source, edge.key)
        return edge.key.lower() if single else edge.key

    def tick(self, now_ns: int) -> list[Move]:
        """What follows from the time that has passed, until `now_ns`."""
        return [
            move
            for source, felt in [
                ("keys", self._taps.tick(now_ns)),
                *((source, presses.tick(now_ns)) for source, presses in self._presses.items()),
            ]
            for move in self._moves(source, felt)
        ]

    def wake_ns(self) -> int | None:
        """When `tick` has something to report next; None for never."""
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
            # In other windows people type what does not concern the table, so nothing is said.
            yield Unknown(gesture)

    def _tapped(self, pressed: Pressed) -> Iterator[Move]:
        """What a key of the terminal stands for, alone or as the second of two."""
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
            # A key that completes no pair keeps its own meaning: the clock's keys must always work.
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
