"""The echo of each kind of event: a function for each, joined in one table."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any, Final

from callout.game import events
from callout.game.events import Event
from callout.game.figures.fouls import missed_into_play
from callout.game.figures.score import (
    find,
    owed_to,
    score_slots,
    shown,
    unlisted,
)
from callout.game.kind import Kind
from callout.game.notices import kinds
from callout.game.notices.book_echoes import BOOKS
from callout.game.notices.changes import (
    changed,
    line_echo,
    number_given,
    open_line,
    put_back,
    replaced,
    taken_back,
)
from callout.game.notices.incident_echoes import INCIDENTS
from callout.game.notices.kinds import Notice
from callout.game.notices.move_echoes import ball_held
from callout.game.notices.period_echoes import PERIODS
from callout.game.state import Charge, Game, Goal
from callout.game.terms import Award, Team


def _scored(before: Game, event: events.Scored, after: Game) -> list[Notice]:
    line = find(after, event.item)
    if event.said is None or not isinstance(line, Goal):
        return line_echo(before, after, event.item)
    return open_line(line, event.said, after)


def _free_throw(before: Game, event: events.FreeThrow, after: Game) -> list[Notice]:
    owed = owed_to(after, event.team)
    was = owed_to(before, event.team)
    more = owed.left if owed and was and owed.foul == was.foul else None
    slots = {"team": event.team, "number": event.number, "more": more}
    if event.made:
        kind = kinds.THROW_MADE_MORE if more else kinds.THROW_MADE
        return [Notice(kind, slots={**slots, **score_slots(after)})]
    if more:
        return [Notice(kinds.THROW_MISSED, slots=slots)]
    del slots["more"]
    live = missed_into_play(before, event.team, after.owed)
    return [Notice(kinds.THROW_MISSED_LIVE if live else kinds.THROW_MISSED_DEAD, slots)]


def _score_set(before: Game, event: events.ScoreSet, after: Game) -> list[Notice]:
    slots = {"team": event.team, "points": event.points, **score_slots(after)}
    return [Notice(kinds.SCORE_SET, slots=slots)]


def _basket_cancelled(before: Game, event: events.BasketCancelled, after: Game) -> list[Notice]:
    line = find(before, event.item)
    if not isinstance(line, Goal):
        return []
    slots = {"team": line.team, "points": line.points, "number": line.number, **score_slots(after)}
    return [Notice(kinds.BASKET_OFF, slots=slots)]


def _foul_charged(before: Game, event: events.FoulCharged, after: Game) -> list[Notice]:
    line = find(after, event.item)
    if event.said is None or not isinstance(line, Charge):
        return line_echo(before, after, event.item)
    return open_line(line, event.said, after)


def _throws_awarded(before: Game, event: events.ThrowsAwarded, after: Game) -> list[Notice]:
    if event.award is Award.NONE:
        return [Notice(kinds.NO_SHOTS, slots={"team": event.team})]
    taken = any(done.foul == event.item for done in after.thrown)
    slots = {"team": event.team, "award": event.award}
    return [Notice(kinds.SHOTS_TAKEN, slots)] if taken else []


def _throws_dropped(before: Game, event: events.ThrowsDropped, after: Game) -> list[Notice]:
    told = []
    for team in Team:
        left = [owed.left for owed in before.owed if owed.team is team]
        fouls = len(left) if len(left) > 1 else None
        slots = {"team": team, "more": sum(left), "fouls": fouls}
        told += [Notice(kinds.THROWS_UNBOOKED, slots)] if left else []
    return told


def _penalties_cancelled(
    before: Game, event: events.PenaltiesCancelled, after: Game
) -> list[Notice]:
    return [Notice(kinds.PENALTIES_CANCEL)]


def _score_approved(before: Game, event: events.ScoreApproved, after: Game) -> list[Notice]:
    slots = {"home": event.home, "guest": event.guest, "open": event.open or None}
    return [Notice(kinds.SCORE_APPROVED, slots)]


def _correction_signed(before: Game, event: events.CorrectionSigned, after: Game) -> list[Notice]:
    return [Notice(kinds.CORRECTION_SIGNED)]


# --- clock and periods ----------------------------------------------------------------------


def _game_ended(before: Game, event: events.GameEnded, after: Game) -> list[Notice]:
    return [Notice(kinds.GAME_ENDED, slots=score_slots(after))]


def _clock_started(before: Game, event: events.ClockStarted, after: Game) -> list[Notice]:
    return [Notice(kinds.CLOCK_STARTED)]


def _clock_stopped(before: Game, event: events.ClockStopped, after: Game) -> list[Notice]:
    ended = event.left_tenths == 0
    left = shown(after, event.left_tenths)
    return [] if ended else [Notice(kinds.CLOCK_STOPPED, slots={"left_tenths": left})]


def _clock_set(before: Game, event: events.ClockSet, after: Game) -> list[Notice]:
    return [Notice(kinds.CLOCK_SET, slots={"left_tenths": event.left_tenths})]


def _clock_checked(before: Game, event: events.ClockChecked, after: Game) -> list[Notice]:
    if event.shown_tenths == event.ours_tenths:
        return [Notice(kinds.CLOCK_AGREES, slots={"left_tenths": event.ours_tenths})]
    slots = {"shown_tenths": event.shown_tenths, "ours_tenths": event.ours_tenths}
    return [Notice(kinds.CLOCK_DIFFERS, slots=slots)]


# --- time-outs, substitutions, possession -------------------------------------------------------


def _timeout_granted(before: Game, event: events.TimeoutGranted, after: Game) -> list[Notice]:
    return line_echo(before, after, event.item) if event.team else [Notice(kinds.TIMEOUT_OFFICIALS)]


def _substituted(before: Game, event: events.Substituted, after: Game) -> list[Notice]:
    slots = {"team": event.team, "entering": event.entering, "leaving": event.leaving}
    return [Notice(kinds.SUBSTITUTED, slots=slots)]


def _of_team(kind: Kind) -> Callable[[Game, Any, Game], list[Notice]]:
    """An echo whose only value is the event's team."""
    return lambda before, event, after: [Notice(kind, slots={"team": event.team})]


def _of_player(kind: Kind) -> Callable[[Game, Any, Game], list[Notice]]:
    """An echo whose only values are the event's team and number."""
    return lambda before, event, after: [
        Notice(kind, slots={"team": event.team, "number": event.number})
    ]


def _plain(kind: Kind) -> Callable[[Game, Any, Game], list[Notice]]:
    return lambda before, event, after: [Notice(kind)]


# --- the book itself --------------------------------------------------------------------------


def _marked(before: Game, event: events.Marked, after: Game) -> list[Notice]:
    return [Notice(kinds.MARKED, slots={"left_tenths": shown(after, event.left_tenths)})]


def _player_added(before: Game, event: events.PlayerAdded, after: Game) -> list[Notice]:
    slots = {"team": event.team, "number": event.number}
    if seen := unlisted(before, event.team, event.number):
        return [Notice(kinds.PLAYER_FILLED, slots={**slots, "entries": len(seen)})]
    return [Notice(kinds.PLAYER_ADDED, slots=slots)]


ECHOES: Final[Mapping[type[Event], Callable[[Game, Any, Game], list[Notice]]]] = {
    events.Scored: _scored,
    events.FreeThrow: _free_throw,
    events.ScoreSet: _score_set,
    events.BasketCancelled: _basket_cancelled,
    events.FoulCharged: _foul_charged,
    events.ThrowsAwarded: _throws_awarded,
    events.PenaltiesCancelled: _penalties_cancelled,
    events.ThrowsDropped: _throws_dropped,
    events.NumberGiven: number_given,
    events.TeamChanged: changed,
    events.PointsChanged: changed,
    events.GameEnded: _game_ended,
    events.ScoreApproved: _score_approved,
    events.CorrectionSigned: _correction_signed,
    events.ClockStarted: _clock_started,
    events.ClockStopped: _clock_stopped,
    events.ClockSet: _clock_set,
    events.ClockChecked: _clock_checked,
    events.BallDead: _plain(kinds.BALL_DEAD),
    events.TimeoutGranted: _timeout_granted,
    events.TimeoutAsked: _of_team(kinds.TIMEOUT_ASKED),
    events.TimeoutUnasked: _of_team(kinds.TIMEOUT_UNASKED),
    events.TimeoutEnded: _plain(kinds.TIMEOUT_OVER),
    events.SubReported: _of_team(kinds.SUB_REPORTED),
    events.SubLeft: _of_team(kinds.SUB_LEFT),
    events.SubsEntered: _plain(kinds.SUBS_ENTERED),
    events.Substituted: _substituted,
    events.ControlWon: _of_team(kinds.CONTROL),
    events.BallHeld: ball_held,
    events.ArrowSet: _of_team(kinds.ARROW),
    events.TakenBack: taken_back,
    events.PutBackIn: put_back,
    events.Replaced: replaced,
    events.Marked: _marked,
    events.PlayerAdded: _player_added,
    events.StarterNamed: _of_player(kinds.STARTER),
    **PERIODS,
    **INCIDENTS,
    **BOOKS,
}
"""The function for each class of event."""
