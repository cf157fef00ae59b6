"""Periods, times and lines of the book in words, as the sheet prints them."""

from __future__ import annotations

from datetime import datetime, tzinfo
from typing import Final

from callout.game import events
from callout.game.events import Event
from callout.game.figures.score import shown
from callout.game.profile.profile import Profile
from callout.game.state import Approval, Charge, Game, Goal
from callout.game.terms import FoulKind, Offender
from callout.plain import plain
from callout.table.clock import clock_text
from callout.words import Words

_UNITS: Final = {4: "quarter", 2: "half"}
"""What a regular period is, by how many there are."""


def period_name(words: Words, profile: Profile, period: int) -> str:
    """The short name of a period: Q1, H2, OT1."""
    return _period(words, profile, period, "short")


def period_head(words: Words, profile: Profile, period: int) -> str:
    """The name of a period where it has a line of its own."""
    return _period(words, profile, period, "head")


def _period(words: Words, profile: Profile, period: int, form: str) -> str:
    count = profile.periods.count
    if period > count:
        return words(f"overtime_{form}", nth=period - count)
    return words(f"{_UNITS.get(count, 'period')}_{form}", nth=period)


def when(words: Words, game: Game, period: int, left_tenths: int) -> str:
    """The period, and if a clock is kept what it showed."""
    left = shown(game, left_tenths)
    name = period_name(words, game.profile, max(1, period))
    return name if left is None else f"{name} {clock_text(left)}"


def day(wall_ms: int, zone: tzinfo | None) -> str:
    """The date, as ISO 8601 writes it."""
    return datetime.fromtimestamp(wall_ms / 1000, zone).strftime("%Y-%m-%d")


def time_of_day(wall_ms: int, zone: tzinfo | None, seconds: bool = False) -> str:
    """The time of the day, by 24 hours."""
    return datetime.fromtimestamp(wall_ms / 1000, zone).strftime("%H:%M:%S" if seconds else "%H:%M")


def line_words(words: Words, line: Goal | Charge) -> str:
    """What a line of the book is, without whose and when."""
    if isinstance(line, Charge):
        return foul_words(words, line.foul, line.on)
    if line.free_throw:
        return throw_words(words, line.made)
    return basket_words(words, line.points, line.own_basket)


def throw_words(words: Words, made: bool) -> str:
    """A free throw in words."""
    return words("throw_made" if made else "throw_missed")


def basket_words(words: Words, points: int, own: bool) -> str:
    """A field goal in words."""
    return words("own_basket" if own else "basket", points=points)


def foul_words(words: Words, foul: FoulKind, on: Offender) -> str:
    """A foul in words, with the one it is charged to if that is no player."""
    what = words("foul_kind", kind=words(f"kind_{foul.value}"))
    if on is Offender.PLAYER:
        return what
    return words("foul_on", foul=what, on=words(f"on_{on.value}"))


def number_words(words: Words, number: str | None, said: str | None) -> str:
    """Whose a line is: its number, the shirt that is on no list, or nobody's yet."""
    if number is not None:
        return words("number", number=number)
    return words("number_unlisted", number=said) if said else words("number_missing")


def approver(approval: Approval | events.ScoreApproved) -> str:
    """` (Ann Lee, referee)` where it is known who said that the score is approved."""
    return f" ({plain(approval.by)})" if approval.by else ""


def move_words(words: Words, event: Event) -> str:
    """A substitution, held ball or first control; empty for any other event."""
    match event:
        case events.Substituted():
            team = words(event.team.value)
            return words("moved_in", team=team, entering=event.entering, leaving=event.leaving)
        case events.BallHeld(throw_in=team):
            return words("held_for", team=words(team.value)) if team else words("held")
        case events.ControlWon():
            return words("control", team=words(event.team.value))
    return ""
