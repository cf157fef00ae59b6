"""The echoes of periods: their beginning and end, and what the clock announces by itself."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace
from typing import Any, Final

from callout.game import events
from callout.game.due import interval_warnings_s
from callout.game.events import Event
from callout.game.figures.opening import ball_at_start, next_period
from callout.game.figures.score import period_slots, score_slots
from callout.game.notices import kinds
from callout.game.notices.board import board_between
from callout.game.notices.kinds import Notice
from callout.game.notices.pregame import PREGAME, deadline
from callout.game.state import Game
from callout.game.terms import Moment


def _period_started(before: Game, event: events.PeriodStarted, after: Game) -> list[Notice]:
    slots = {**period_slots(after, event.period), **ball_at_start(after, event)}
    return [Notice(kinds.PERIOD_STARTED, slots=slots)]


def _period_ended(before: Game, event: events.PeriodEnded, after: Game) -> list[Notice]:
    slots = {**period_slots(after, event.period), **score_slots(after)}
    found = [Notice(kinds.PERIOD_ENDED, slots=slots), *board_between(after)]
    periods = after.profile.periods
    if event.period == periods.half_after and event.period < periods.count:
        found.append(Notice(kinds.HALF_TIME, {"team": after.arrow}))
    return found


_MOMENTS: Final = {
    Moment.TIMEOUT_WARNING: kinds.TIMEOUT_WARNING,
    Moment.TIMEOUT_END: kinds.TIMEOUT_END,
    Moment.INTERVAL_END: kinds.INTERVAL_END,
    Moment.REPLACE_END: kinds.REPLACE_END,
    Moment.CLOCK_STOPS: kinds.CLOCK_STOPS_NOW,
    Moment.GOALS_STOP: kinds.GOALS_STOP_NOW,
}
"""The notices of those reminders that have no values."""


def _reminded(before: Game, event: events.Reminded, after: Game) -> list[Notice]:
    if event.of is Moment.CLOCK_RUNS:
        return []  # `after_entry` says so, if the lead is big enough.
    if event.of is Moment.INTERVAL_WARNING:
        told = before.reminded.count(Moment.INTERVAL_WARNING.value)
        left_s, horn_s = interval_warnings_s(after)[told], after.profile.periods.horn_last_s
        return [_interval_warning(after, left_s, horn_s)]
    return [Notice(_MOMENTS[event.of])]


def _before_told(before: Game, event: events.BeforeTold, after: Game) -> list[Notice]:
    """The same notices before the first period, and the deadlines of its checklist."""
    rules = after.profile.before
    match event.of:
        case Moment.INTERVAL_WARNING:
            warning = _interval_warning(after, event.left_s, rules.horn_last_s)
            return [replace(warning, rule=after.profile.sources["before.warnings_s"])]
        case Moment.INTERVAL_END:
            return [Notice(kinds.INTERVAL_END)]
    soon = rules.soon_s // 60 if event.of is Moment.ITEM_SOON else None
    return [deadline(after, event.item, soon)] if event.item else []


def _interval_warning(after: Game, left_s: int, horn_s: int) -> Notice:
    """How long the interval still lasts: told to the referees, or sounded by the horn."""
    period, horn = next_period(after), left_s <= horn_s
    minutes = left_s // 60 if left_s >= 120 and left_s % 60 == 0 else None
    slots = {
        "minutes": minutes,
        "seconds": None if minutes else left_s,
        **period_slots(after, period.period),
        "team": ball_at_start(after, period)["team"],
    }
    return Notice(kinds.INTERVAL_WARNING if horn else kinds.INTERVAL_NOTICE, slots)


PERIODS: Final[Mapping[type[Event], Callable[[Game, Any, Game], list[Notice]]]] = {
    events.PeriodStarted: _period_started,
    events.PeriodEnded: _period_ended,
    events.Reminded: _reminded,
    events.BeforeTold: _before_told,
    **PREGAME,
}
"""The function for each of these classes of event."""
