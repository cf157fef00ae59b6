"""Keys going down and up become presses; pure, with the times passed in.

A contact that bounces and a keyboard that repeats make one press. Keys that stand in a chord or
have a second meaning when held long wait until it is known which was meant; every other key is
told of the moment it comes down. Whatever waited is told with the time of its key-down.
"""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass
from typing import Final

MS: Final = 1_000_000
"""Nanoseconds."""

LONG: Final = " long"
"""Stands after a key that is held long."""


@dataclass(frozen=True, slots=True)
class Feel:
    """How keys are felt. Units: milliseconds.

    Source: common practice, none published; keyboards repeat every 25 to 40 ms by default.
    """

    bounce_ms: int = 10
    """A key that is up again for less than this has bounced, and is still held."""
    chord_ms: int = 60
    """Keys of a chord come down within this time."""
    long_ms: int = 500
    """A key held so long has its second meaning, if it has one."""
    stuck_ms: int = 10_000
    """A key held so long is told of: something lies on it."""
    repeat_ms: int = 100
    """Where nothing tells that a key comes up: the same key sooner than this is a repetition."""


@dataclass(frozen=True, slots=True)
class Pressed:
    """A press that is known for what it is."""

    gesture: str
    """`a`, `a long`, or keys in alphabetical order: `a+b`."""
    at_ns: int
    """When its first key came down."""


@dataclass(frozen=True, slots=True)
class Released:
    """A key is up again."""

    key: str
    at_ns: int


@dataclass(frozen=True, slots=True)
class Stuck:
    """A key has been down for too long; told once."""

    key: str
    at_ns: int
    """When it came down."""


Felt = Pressed | Released | Stuck


@dataclass(slots=True)
class _Down:
    """A key that is down."""

    at_ns: int
    up_ns: int | None = None
    """When it came up, as long as it may still be a bounce."""
    open: bool = False
    """Whether it is not known yet what is meant by it."""
    alone: bool = False
    """Whether it is known that it is in no chord."""
    stuck: bool = False


class Presses:
    """The keys of one keyboard or pedal; `gestures` are the ones that mean something."""

    def __init__(self, gestures: Collection[str], feel: Feel | None = None) -> None:
        self.feel = feel or Feel()
        self._chords = [frozenset(keys_of(each)) for each in gestures if "+" in each[1:]]
        self._long = {keys_of(each)[0] for each in gestures if each.endswith(LONG)}
        self._in_chord = frozenset().union(*self._chords)
        self._down: dict[str, _Down] = {}

    def feed(self, key: str, down: bool, at_ns: int) -> list[Felt]:
        """What is felt when a key goes down or up; times never go back."""
        felt = self.tick(at_ns)
        held = self._down.get(key)
        if held is not None:
            # A second key-down is a repetition, and one just after a key-up a bounce.
            held.up_ns = None if down else (at_ns if held.up_ns is None else held.up_ns)
        elif down:
            felt += self._pressed(key, at_ns)
        return felt

    def tick(self, now_ns: int) -> list[Felt]:
        """What is felt because time has passed."""
        felt: list[Felt] = []
        while (due := self._next()) is not None and due[0] <= now_ns:
            felt += self._settle(*due)
        return felt

    def wake_ns(self) -> int | None:
        """When `tick` has something to tell next."""
        due = self._next()
        return due[0] if due else None

    # --- a key comes down ---------------------------------------------------------------------

    def _pressed(self, key: str, at_ns: int) -> list[Felt]:
        waits = key in self._in_chord or key in self._long
        self._down[key] = _Down(at_ns, open=waits, alone=key not in self._in_chord)
        if not waits:
            return [Pressed(key, at_ns)]
        group = self._group()
        bound = [chord for chord in self._chords if group <= chord]
        if len(group) > 1 and bound == [group]:
            return self._chord(group)
        if bound or len(group) <= 1:
            return []
        # No chord has all of these: the earlier ones were meant by themselves.
        return [each for other in sorted(group - {key}) for each in self._alone(other)]

    def _group(self) -> frozenset[str]:
        """The keys that are down and may still be a chord."""
        return frozenset(key for key, down in self._down.items() if down.open and not down.alone)

    def _chord(self, keys: frozenset[str]) -> list[Felt]:
        for key in keys:
            self._down[key].open = False
        return [Pressed("+".join(sorted(keys)), min(self._down[key].at_ns for key in keys))]

    def _alone(self, key: str) -> list[Felt]:
        """A key that is in no chord after all: a press, if it cannot become a long one."""
        down = self._down[key]
        down.alone = True
        if key in self._long and down.up_ns is None:
            return []
        down.open = False
        return [Pressed(key, down.at_ns)]

    # --- time passes --------------------------------------------------------------------------

    def _next(self) -> tuple[int, str, str] | None:
        """What falls due first: when, which key, and what of it."""
        return min((due for key in self._down for due in self._dues(key)), default=None)

    def _dues(self, key: str) -> list[tuple[int, str, str]]:
        down, feel = self._down[key], self.feel
        if down.up_ns is not None:
            return [(down.up_ns + feel.bounce_ms * MS, key, "up")]
        dues = [] if down.stuck else [(down.at_ns + feel.stuck_ms * MS, key, "stuck")]
        if down.open and key in self._long:
            dues.append((down.at_ns + feel.long_ms * MS, key, "long"))
        if down.open and not down.alone:
            dues.append((down.at_ns + feel.chord_ms * MS, key, "chord"))
        return dues

    def _settle(self, due_ns: int, key: str, what: str) -> list[Felt]:
        down = self._down[key]
        if what == "stuck":
            down.stuck = True
            return [Stuck(key, down.at_ns)]
        if what == "long":
            down.open = False
            return [Pressed(key + LONG, down.at_ns)]
        felt = self._decided(key) if down.open else []
        if what == "up" and down.up_ns is not None:
            del self._down[key]
            felt.append(Released(key, down.up_ns))
        return felt

    def _decided(self, key: str) -> list[Felt]:
        """A key that waited for others: a chord of those that came, or itself alone."""
        group = self._group()
        if len(group) > 1 and key in group and group in self._chords:
            return self._chord(group)
        return self._alone(key)


class Taps:
    """The keys of a terminal, which tells nothing of their coming up."""

    def __init__(self, feel: Feel | None = None) -> None:
        self.feel = feel or Feel()
        self._last: tuple[str, int] | None = None

    def feed(self, key: str, at_ns: int) -> list[Felt]:
        """What is felt when a key is told of: a press, or nothing where it repeats itself."""
        last, self._last = self._last, (key, at_ns)
        if last and last[0] == key and at_ns - last[1] < self.feel.repeat_ms * MS:
            return []
        return [Pressed(key, at_ns)]


def keys_of(gesture: str) -> tuple[str, ...]:
    """The keys of a gesture; a plus by itself is a key."""
    single = gesture.removesuffix(LONG)
    return (single,) if len(single) == 1 else tuple(single.split("+"))
