"""Keys joined to calls: a team, what happened, a number. Pure.

A call is made as soon as all that it needs is known. Team and kind of goal book the points at once;
the number may follow later, or be typed before. A call that needs more waits for it. A call that
needs nothing, such as those of the clock, does not disturb one that was begun.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, replace
from typing import Final

from callout.errors import CalloutError
from callout.game import calls
from callout.game.calls import Call
from callout.game.terms import Team
from callout.game.values import SHIRTS
from callout.language.pattern import Pattern, Patterns, Place
from callout.language.slots import Value
from callout.table.hands.keymap import Hand, Target

WAIT_NS: Final = 15 * 10**9
"""A call that was begun is forgotten this long after its last key: common practice, no source."""

MOST_DIGITS: Final = 4
TIME: Final = re.compile(r"(?:(\d{1,2}(?=\d\d)))?(\d{1,2})(?:\.(\d))?")
"""`427` is four minutes and 27 seconds, `8.3` is eight seconds and three tenths."""


@dataclass(frozen=True, slots=True)
class Keyed:
    """A call made by keys, with the time at which the key for its kind went down."""

    call: Call
    at_ns: int
    text: str = ""
    """The call in words, for the screen."""


@dataclass(frozen=True)
class Keying:
    """What has been pressed of a call so far."""

    team: Team | None = None
    digits: str = ""
    pattern: Pattern | None = None
    """A call with places that are still open."""
    begun_ns: int = 0
    """When the key for its kind went down."""
    last_ns: int = 0
    """When the last key went down."""

    @property
    def idle(self) -> bool:
        """Whether no call was begun."""
        return self.team is None and not self.digits and self.pattern is None


@dataclass(frozen=True)
class KeyStep:
    """What follows from a key."""

    keying: Keying
    calls: tuple[Keyed, ...] = ()
    wants: str = ""
    """The kind of `Place` that must be filled next; empty if none."""
    refused: bool = False
    """Whether the key has no meaning at this point."""


@dataclass(frozen=True)
class Keys:
    """The rules by which keys become calls at one table."""

    patterns: Patterns
    may: Callable[[Call], bool] = field(default=lambda call: True)
    """Whether the game would accept a call now."""

    def press(self, keying: Keying, target: Target, at_ns: int, asked: bool = False) -> KeyStep:
        """What follows from a key that stands for `target`; `asked` if a question is open."""
        if at_ns - keying.last_ns > WAIT_NS:
            keying = Keying()
        keying = replace(keying, last_ns=at_ns)
        match target:
            case Team():
                return self._team(keying, target)
            case str():
                return _digit(keying, target)
            case Hand.POINT:
                return _digit(keying, ".")
            case Hand.CLEAR:
                return KeyStep(Keying(), refused=keying.idle)
            case Hand.DONE:
                return self._done(keying, asked)
            case tuple():
                return self._kind(keying, target, at_ns)
            case _:
                return KeyStep(keying, refused=True)

    # --- one small function for each sort of key ----------------------------------------------

    def _team(self, keying: Keying, team: Team) -> KeyStep:
        waiting = keying.pattern
        place = next((p for p in waiting.places if p.kind == "team"), None) if waiting else None
        if waiting and place:
            return self._go_on(keying, waiting.given(place.slot, team.value))
        return KeyStep(replace(keying, team=team))

    def _kind(self, keying: Keying, choices: Sequence[Pattern], at_ns: int) -> KeyStep:
        waiting = keying.pattern
        if waiting and (filled := _with_listed(waiting, choices[0])):
            return self._go_on(keying, filled)
        pattern = self._chosen(choices)
        if not (pattern.places or pattern.options):
            return KeyStep(keying, self._calls(pattern, at_ns))
        begun = replace(keying, begun_ns=at_ns, pattern=None)
        if keying.team and (place := pattern.wants("team")):
            pattern = pattern.given(place.slot, keying.team.value)
            begun = replace(begun, team=None)
        if begun.digits and (place := _wants_number(pattern)):
            value = value_of(place, begun.digits)
            begun = replace(begun, digits="")
            if value is None:
                return KeyStep(Keying(), refused=True)
            pattern = pattern.given(place.slot, value)
        return self._go_on(begun, pattern)

    def _done(self, keying: Keying, asked: bool) -> KeyStep:
        waiting, digits = keying.pattern, keying.digits
        if waiting is None:
            made = _number(digits, asked) if keying.team is None else None
            if made is None:
                return KeyStep(Keying(), refused=True)
            return KeyStep(Keying(), (Keyed(made, keying.last_ns, digits),))
        place = next((p for p in waiting.places if p.kind in NUMBERS), None)
        value = value_of(place, digits) if place else None
        if place is None or value is None:
            return KeyStep(replace(keying, digits=""), wants=waiting.places[0].kind, refused=True)
        return self._go_on(replace(keying, digits=""), waiting.given(place.slot, value))

    def _go_on(self, keying: Keying, pattern: Pattern) -> KeyStep:
        """The call if it is complete now, else the place that must be filled next."""
        if pattern.places:
            waiting = replace(keying, pattern=pattern)
            return KeyStep(waiting, wants=pattern.places[0].kind)
        made = self._calls(pattern, keying.begun_ns)
        return KeyStep(Keying(last_ns=keying.last_ns), made, refused=not made)

    def _calls(self, pattern: Pattern, at_ns: int) -> tuple[Keyed, ...]:
        """The call of a complete pattern; none if its values are not allowed together."""
        try:
            return (Keyed(self.patterns.call(pattern), at_ns, pattern.filled),)
        except CalloutError:
            return ()

    def _chosen(self, choices: Sequence[Pattern]) -> Pattern:
        """The first of several calls on one key that the game would accept now, else the last."""
        whole = (p for p in choices[:-1] if not p.places and self.may(self.patterns.call(p)))
        return next(whole, choices[-1])


NUMBERS: Final = ("shirt", "count", "clock")
"""The kinds of place that are filled by digits."""


def value_of(place: Place, digits: str) -> Value | None:
    """The value of digits in a place; None if they are not allowed there."""
    if place.kind == "clock":
        return _tenths(digits)
    if not digits.isdecimal():
        return None
    if place.kind == "count":
        return int(digits) * place.unit if place.first <= int(digits) <= place.last else None
    return digits if digits in SHIRTS else None


def _tenths(digits: str) -> int | None:
    """The time that digits give, in tenths of a second; None if they give none."""
    match = TIME.fullmatch(digits)
    if match is None:
        return None
    minutes, seconds, tenths = (int(part or 0) for part in match.groups())
    return None if seconds > 59 else 600 * minutes + 10 * seconds + tenths


def _number(digits: str, asked: bool) -> Call | None:
    """A number alone: an answer if a question is open, else the number of an open line."""
    if digits not in SHIRTS:
        return None
    return calls.Answer(digits) if asked else calls.Number(digits)


def _digit(keying: Keying, digit: str) -> KeyStep:
    if len(keying.digits.replace(".", "")) >= MOST_DIGITS:
        return KeyStep(replace(keying, digits=""), refused=True)
    return KeyStep(replace(keying, digits=keying.digits + digit))


def _wants_number(pattern: Pattern) -> Place | None:
    """The first place that digits can fill, required or optional."""
    return next((p for p in (*pattern.places, *pattern.options) if p.kind in NUMBERS), None)


def _with_listed(waiting: Pattern, other: Pattern) -> Pattern | None:
    """The waiting call with a value from another key: after `coach`, the kind of foul."""
    place = next((p for p in waiting.places if p.kind == "listed"), None)
    if place is None or place.slot not in other.slots:
        return None
    return waiting.given(place.slot, other.slots[place.slot])
