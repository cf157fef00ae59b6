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

_UNITS: Final = {4: "Q", 2: "H"}
"""A regular period's letter, by how many there are."""


def period_name(profile: Profile, period: int) -> str:
    """The short name of a period: Q1, H2, OT1."""
    count = profile.periods.count
    if period > count:
        return f"OT{period - count}"
    return f"{_UNITS.get(count, 'P')}{period}"


def when(game: Game, period: int, left_tenths: int) -> str:
    """The period, and if a clock is kept what it showed."""
    left = shown(game, left_tenths)
    name = period_name(game.profile, max(1, period))
    return name if left is None else f"{name} {clock_text(left)}"


def day(wall_ms: int, zone: tzinfo | None) -> str:
    """The date, as ISO 8601 writes it."""
    return datetime.fromtimestamp(wall_ms / 1000, zone).strftime("%Y-%m-%d")


def time_of_day(wall_ms: int, zone: tzinfo | None, seconds: bool = False) -> str:
    """The time of the day, by 24 hours."""
    return datetime.fromtimestamp(wall_ms / 1000, zone).strftime("%H:%M:%S" if seconds else "%H:%M")


def line_words(line: Goal | Charge) -> str:
    """What a line of the book is, without whose and when."""
    if isinstance(line, Charge):
        return foul_words(line.foul, line.on)
    if line.free_throw:
        return f"free throw {'made' if line.made else 'missed'}"
    return basket_words(line.points, line.own_basket)


def basket_words(points: int, own: bool) -> str:
    """A field goal in words."""
    return f"basket of {points}" + (", own basket" if own else "")


def foul_words(foul: FoulKind, on: Offender) -> str:
    """A foul in words, with the one it is charged to if that is no player."""
    who = "" if on is Offender.PLAYER else f"{on.value} "
    return f"{who}{foul.value} foul"


def number_words(number: str | None, said: str | None) -> str:
    """Whose a line is: its number, the shirt that is on no list, or nobody's yet."""
    if number is not None:
        return f"number {number}"
    return f"number {said}, not listed" if said else "number missing"


def approver(approval: Approval | events.ScoreApproved) -> str:
    """` (Ann Lee, referee)` where it is known who said that the score is approved."""
    return f" ({plain(approval.by)})" if approval.by else ""


def move_words(event: Event) -> str:
    """A substitution, held ball or first control; empty for any other event."""
    match event:
        case events.Substituted():
            return f"{event.team.value} substitution, {event.entering} for {event.leaving}"
        case events.BallHeld(throw_in=team):
            return f"held ball, {team.value}" if team else "held ball"
        case events.ControlWon():
            return f"{event.team.value} control"
    return ""
