"""Key-downs and key-ups to presses, long presses and chords. Pure; times are passed in.

A bouncing contact and an autorepeating keyboard each make one press. A key that is part of a chord,
or has a second meaning when held long, waits until it is known which was meant; every other key is
reported at once. What waited is reported with the time of its key-down.
"""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass
from typing import Final

MS: Final = 1_000_000
"""Nanoseconds in a millisecond."""

LONG: Final = " long"
"""The end of a gesture's name when its key is held long: `a long`."""


@dataclass(frozen=True, slots=True)
class Feel:
    """The time limits by which key-downs and key-ups become presses. Units: milliseconds.

    Source: common practice, none published; keyboards repeat every 25 to 40 ms by default.
    """

    bounce_ms: int = 10
    """A key that is up for less than this has bounced, and counts as held throughout."""
    chord_ms: int = 60
    """The keys of a chord go down within this time."""
    long_ms: int = 500
    """A key held for this long has its second meaning, if it has one."""
    stuck_ms: int = 10_000
    """A key held for this long is reported as stuck: something may lie on it."""
    repeat_ms: int = 100
    """At a terminal, which reports no key-up: the same key sooner than this is autorepeat."""
    digit_ms: int = 0
    """The same for digits. It is 0 because 44 is typed by one key twice; higher for hands that
    tremble."""


@dataclass(frozen=True, slots=True)
class Pressed:
    """A press, long press or chord, once it is certain which."""

    gesture: str
    """`a`, `a long`, or keys in alphabetical order: `a+b`."""
    at_ns: int
    """When its first key went down."""


@dataclass(frozen=True, slots=True)
class Released:
    """A key went up, and did not bounce."""

    key: str
    at_ns: int


@dataclass(frozen=True, slots=True)
class Stuck:
    """A key has been down for too long; reported once."""

    key: str
    at_ns: int
    """When it went down."""


Felt = Pressed | Released | Stuck


@dataclass(slots=True)
class _Down:
    """A key that is down."""

    at_ns: int
    up_ns: int | None = None
    """When it went up, while that may still be a bounce."""
    open: bool = False
    """Whether its meaning is still undecided."""
    alone: bool = False
    """Whether it is certain that it is not part of a chord."""
    stuck: bool = False


class Presses:
    """The keys of one keyboard or pedal, which reports both key-down and key-up.

    `gestures` are those that mean something: they decide which keys have to wait.
    """

    def __init__(self, gestures: Collection[str], feel: Feel | None = None) -> None:
        self.feel = feel or Feel()
        self._chords = [frozenset(keys_of(each)) for each in gestures if "+" in each[1:]]
        self._long = {keys_of(each)[0] for each in gestures if each.endswith(LONG)}
        self._in_chord = frozenset().union(*self._chords)
        self._down: dict[str, _Down] = {}

    def feed(self, key: str, down: bool, at_ns: int) -> list[Felt]:
        """What follows when a key goes down or up; times must not decrease."""
        felt = self.tick(at_ns)
        held = self._down.get(key)
        if held is not None:
            # A second key-down is autorepeat, and one just after a key-up a bounce.
            held.up_ns = None if down else (at_ns if held.up_ns is None else held.up_ns)
        elif down:
            felt += self._pressed(key, at_ns)
        return felt

    def tick(self, now_ns: int) -> list[Felt]:
        """What follows from the time that has passed, until `now_ns`."""
        felt: list[Felt] = []
        while (due := self._next()) is not None and due[0] <= now_ns:
            _, key, what = due
            felt += self._settle(key, what)
        return felt

    def wake_ns(self) -> int | None:
        """When `tick` has something to report next; None for never."""
        due = self._next()
        return due[0] if due else None

    # --- a key goes down ----------------------------------------------------------------------

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
        # No chord contains all of these keys, so the earlier ones were meant singly.
        return [each for other in sorted(group - {key}) for each in self._not_in_chord(other)]

    def _group(self) -> frozenset[str]:
        """The keys that are down and may still become a chord."""
        return frozenset(key for key, down in self._down.items() if down.open and not down.alone)

    def _chord(self, keys: frozenset[str]) -> list[Felt]:
        for key in keys:
            self._down[key].open = False
        return [Pressed("+".join(sorted(keys)), min(self._down[key].at_ns for key in keys))]

    def _not_in_chord(self, key: str) -> list[Felt]:
        """A key that turned out to be in no chord: a press, unless it may become a long one."""
        down = self._down[key]
        down.alone = True
        if key in self._long and down.up_ns is None:
            return []
        down.open = False
        return [Pressed(key, down.at_ns)]

    # --- time passes --------------------------------------------------------------------------

    def _next(self) -> tuple[int, str, str] | None:
        """The decision that falls due first: when, for which key, and which one."""
        return min((due for key in self._down for due in self._decisions_due(key)), default=None)

    def _decisions_due(self, key: str) -> list[tuple[int, str, str]]:
        down, feel = self._down[key], self.feel
        if down.up_ns is not None:
            return [(down.up_ns + feel.bounce_ms * MS, key, "up")]
        dues = [] if down.stuck else [(down.at_ns + feel.stuck_ms * MS, key, "stuck")]
        if down.open and key in self._long:
            dues.append((down.at_ns + feel.long_ms * MS, key, "long"))
        if down.open and not down.alone:
            dues.append((down.at_ns + feel.chord_ms * MS, key, "chord"))
        return dues

    def _settle(self, key: str, what: str) -> list[Felt]:
        down = self._down[key]
        if what == "stuck":
            down.stuck = True
            return [Stuck(key, down.at_ns)]
        if what == "long":
            down.open = False
            return [Pressed(key + LONG, down.at_ns)]
        felt = self._wait_over(key) if down.open else []
        if what == "up" and down.up_ns is not None:
            del self._down[key]
            felt.append(Released(key, down.up_ns))
        return felt

    def _wait_over(self, key: str) -> list[Felt]:
        """A key whose wait is over: a chord with the keys that came, or the key alone."""
        group = self._group()
        if len(group) > 1 and key in group and group in self._chords:
            return self._chord(group)
        return self._not_in_chord(key)


FIRST_MS: Final = (200, 2_000)
"""The delay before the first autorepeat of a held key lies between these."""
NEXT_MS: Final = (20, 60)
"""The interval between further autorepeats lies between these on most desktops."""
SLOWEST_MS: Final = 100
"""No system repeats a key more slowly than this."""


class Taps:
    """The keys of a terminal, which reports no key-up.

    A held key must be one press. A key that comes again after the delay of a first autorepeat waits
    for SLOWEST_MS: if it comes once more, both were autorepeat; if not, it was a press, and is
    reported with its own time.

    In 44 or 11 the same digit is meant twice, and quick hands press it twice within 50 ms. So a
    digit counts as autorepeat only if it keeps coming at that pace.

    Source: the defaults of X.Org (660 ms, then every 40 ms), Linux's console (250, 92), macOS and
    Windows (500, 30), from memory.
    """

    def __init__(self, feel: Feel | None = None, digits: Collection[str] = ()) -> None:
        """`digits` are the keys that stand for a digit."""
        self.feel = feel or Feel()
        self._digits = frozenset(digits)
        self._last: tuple[str, int] | None = None
        self._waiting: Pressed | None = None
        """A press that may yet prove to be the first autorepeat of a held key."""
        self._repeating = False
        self._paced = 0
        """How many times in a row a digit came at the pace of autorepeat."""

    def feed(self, key: str, at_ns: int) -> list[Felt]:
        """What follows when the terminal reports a key; times must not decrease."""
        felt = self.tick(at_ns)
        last, self._last = self._last, (key, at_ns)
        if last and last[0] == key:
            return felt + self._same_key_again(key, at_ns, (at_ns - last[1]) / MS)
        self._repeating, self._paced = False, 0
        return [*felt, *self._settle(), Pressed(key, at_ns)]

    def tick(self, now_ns: int) -> list[Felt]:
        """What follows from the time that has passed, until `now_ns`."""
        wake = self.wake_ns()
        return self._settle() if wake is not None and wake <= now_ns else []

    def wake_ns(self) -> int | None:
        """When `tick` has something to report next; None for never."""
        return self._waiting.at_ns + self._slowest_ms * MS if self._waiting else None

    @property
    def _slowest_ms(self) -> int:
        return min(SLOWEST_MS, self.feel.repeat_ms)

    def _settle(self) -> list[Felt]:
        """The press that waited, since no autorepeat followed it."""
        waiting, self._waiting = self._waiting, None
        return [waiting] if waiting else []

    def _same_key_again(self, key: str, at_ns: int, after_ms: float) -> list[Felt]:
        """What follows when the same key comes again after `after_ms`."""
        # A busy machine may deliver several digits at once; their times then mean nothing.
        unknown = key in self._digits and after_ms < NEXT_MS[0]
        held = self._repeating or (self._waiting is not None and not unknown)
        self._repeating = held and after_ms < self._slowest_ms
        if self._repeating:
            self._waiting = None
            return []
        felt = self._settle()
        if self._is_repetition(key, after_ms):
            return felt
        pressed = Pressed(key, at_ns)
        if FIRST_MS[0] <= after_ms <= FIRST_MS[1] and self._slowest_ms:
            self._waiting = pressed
            return felt
        return [*felt, pressed]

    def _is_repetition(self, key: str, after_ms: float) -> bool:
        """Whether a key came again too soon to have been pressed again."""
        if key not in self._digits:
            return after_ms < self.feel.repeat_ms
        self._paced = self._paced + 1 if NEXT_MS[0] <= after_ms <= NEXT_MS[1] else 0
        self._repeating = self._paced > 1 and self.feel.repeat_ms > 0
        return self._repeating or after_ms < self.feel.digit_ms


def keys_of(gesture: str) -> tuple[str, ...]:
    """The keys of a gesture; a plus alone is the key `+`."""
    single = gesture.removesuffix(LONG)
    return (single,) if len(single) == 1 else tuple(single.split("+"))
