"""The echo of each kind of event: a function for each, joined in one table."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any, Final

from callout.game import events
from callout.game.choices import Held
from callout.game.events import Event
from callout.game.figures.fouls import missed_into_play, player_fouls, team_fouls
from callout.game.figures.opening import ball_at_start, next_period
from callout.game.figures.score import (
    all_lines,
    both_scores,
    find,
    lines_of,
    owed_to,
    period_slots,
    shown,
    unlisted,
)
from callout.game.figures.timeouts import timeouts_left
from callout.game.kind import Kind
from callout.game.notices import kinds
from callout.game.notices.board import board_between
from callout.game.notices.changes import changed_line, foul_kind, period_of
from callout.game.notices.kinds import Notice
from callout.game.state import BookLine, Charge, Game, Goal, TimeoutLine
from callout.game.terms import Award, Moment, Offender, Team


def _score(game: Game) -> dict[str, object]:
    home, guest = both_scores(game)
    return {"home": home, "guest": guest}


def _line(before: Game, after: Game, item: int) -> list[Notice]:
    """The echo of a line: a goal, foul or time-out as it now stands in the book."""
    line = find(after, item)
    if isinstance(line, Goal):
        return [_goal(line, after)]
    if isinstance(line, Charge):
        return [_charge(line, after)]
    if isinstance(line, TimeoutLine) and line.team is not None:
        left = max(0, timeouts_left(after, line.team, after.seen_tenths))
        return [Notice(kinds.TIMEOUT, slots={"team": line.team, "kind": line.kind, "left": left})]
    return []


def _goal(line: Goal, game: Game) -> Notice:
    slots = {"team": line.team, "points": line.points, **_score(game)}
    if line.own_basket:
        return Notice(kinds.OWN_BASKET, {**slots, "credit": game.profile.goals.own_basket})
    return Notice(kinds.GOAL, slots={**slots, "number": line.number})


def _charge(line: Charge, game: Game) -> Notice:
    number = line.number if line.on is Offender.PLAYER else None
    slots = {
        "team": line.team,
        "number": line.number,
        **foul_kind(line),
        "nth": player_fouls(game, line.team, number) if number else None,
        "fouls": team_fouls(game, line.team, line.period),
    }
    return Notice(kinds.FOUL, slots=slots)


def _scored(before: Game, event: events.Scored, after: Game) -> list[Notice]:
    if event.said is None:
        return _line(before, after, event.item)
    slots = {"team": event.team, "points": event.points, "said": event.said, **_score(after)}
    return [Notice(kinds.GOAL_OPEN, slots=slots)]


def _free_throw(before: Game, event: events.FreeThrow, after: Game) -> list[Notice]:
    owed = owed_to(after, event.team)
    was = owed_to(before, event.team)
    more = owed.left if owed and was and owed.foul == was.foul else None
    slots = {"team": event.team, "number": event.number, "more": more}
    if event.made:
        kind = kinds.THROW_MADE_MORE if more else kinds.THROW_MADE
        return [Notice(kind, slots={**slots, **_score(after)})]
    if more:
        return [Notice(kinds.THROW_MISSED, slots=slots)]
    del slots["more"]
    live = missed_into_play(before, event.team, after.owed)
    return [Notice(kinds.THROW_MISSED_LIVE if live else kinds.THROW_MISSED_DEAD, slots)]


def _score_set(before: Game, event: events.ScoreSet, after: Game) -> list[Notice]:
    slots = {"team": event.team, "points": event.points, **_score(after)}
    return [Notice(kinds.SCORE_SET, slots=slots)]


def _basket_cancelled(before: Game, event: events.BasketCancelled, after: Game) -> list[Notice]:
    line = find(before, event.item)
    if not isinstance(line, Goal):
        return []
    slots = {"team": line.team, "points": line.points, "number": line.number, **_score(after)}
    return [Notice(kinds.BASKET_OFF, slots=slots)]


def _foul_charged(before: Game, event: events.FoulCharged, after: Game) -> list[Notice]:
    if event.said is None:
        return _line(before, after, event.item)
    fouls = team_fouls(after, event.team, event.period)
    slots = {"team": event.team, "said": event.said, "fouls": fouls}
    return [Notice(kinds.FOUL_OPEN, slots=slots)]


def _throws_awarded(before: Game, event: events.ThrowsAwarded, after: Game) -> list[Notice]:
    none = event.award is Award.NONE
    return [Notice(kinds.NO_SHOTS, slots={"team": event.team})] if none else []


def _throws_dropped(before: Game, event: events.ThrowsDropped, after: Game) -> list[Notice]:
    more = {team: sum(owed.left for owed in before.owed if owed.team is team) for team in Team}
    return [
        Notice(kinds.THROWS_UNBOOKED, {"team": team, "more": left})
        for team, left in more.items()
        if left
    ]


def _penalties_cancelled(
    before: Game, event: events.PenaltiesCancelled, after: Game
) -> list[Notice]:
    return [Notice(kinds.PENALTIES_CANCEL)]


def _number_given(before: Game, event: events.NumberGiven, after: Game) -> list[Notice]:
    line = find(before, event.item)
    listed = isinstance(line, Goal | Charge) and before.side(line.team).has(event.number)
    # Lines of a player who was not listed are said when the player is added.
    return _changed(before, event, after) if listed else []


def _changed(
    before: Game,
    event: events.NumberGiven | events.TeamChanged | events.PointsChanged,
    after: Game,
) -> list[Notice]:
    """What a line is now and was before; only the line itself where its number was still open."""
    was, now = find(before, event.item), find(after, event.item)
    if isinstance(event, events.NumberGiven) and getattr(was, "number", None) is None:
        of_period = period_of(now, after)
        before_it = [Notice(kinds.OF_PERIOD, of_period)] if of_period["nth"] else []
        return [*before_it, *_line(before, after, event.item)]
    return changed_line(was, now, after)


def _replaced(before: Game, event: events.Replaced, after: Game) -> list[Notice]:
    """What became of the line that was put right; what follows from it is told by `after_entry`."""
    if event.item is None:
        return []
    was, now = find(before, event.item), find(after, event.item)
    if was and not now:
        return [_undone(was, after)]
    return changed_line(was, now, after)


# --- clock and periods ----------------------------------------------------------------------


def _period_started(before: Game, event: events.PeriodStarted, after: Game) -> list[Notice]:
    slots = {**period_slots(after, event.period), **ball_at_start(after, event)}
    return [Notice(kinds.PERIOD_STARTED, slots=slots)]


def _period_ended(before: Game, event: events.PeriodEnded, after: Game) -> list[Notice]:
    slots = {**period_slots(after, event.period), **_score(after)}
    found = [Notice(kinds.PERIOD_ENDED, slots=slots), *board_between(after)]
    periods = after.profile.periods
    if event.period == periods.half_after and event.period < periods.count:
        found.append(Notice(kinds.HALF_TIME, {"team": after.arrow}))
    return found


def _game_ended(before: Game, event: events.GameEnded, after: Game) -> list[Notice]:
    return [Notice(kinds.GAME_ENDED, slots=_score(after))]


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


_MOMENTS: Final = {
    Moment.TIMEOUT_WARNING: kinds.TIMEOUT_WARNING,
    Moment.TIMEOUT_END: kinds.TIMEOUT_END,
    Moment.INTERVAL_END: kinds.INTERVAL_END,
    Moment.CLOCK_STOPS: kinds.CLOCK_STOPS_NOW,
    Moment.GOALS_STOP: kinds.GOALS_STOP_NOW,
}
"""The notices of those reminders that have no values."""


def _reminded(before: Game, event: events.Reminded, after: Game) -> list[Notice]:
    if event.of is Moment.CLOCK_RUNS:
        return []  # `after_entry` says so, if the lead is big enough.
    if event.of is Moment.INTERVAL_WARNING:
        begins = ball_at_start(after, next_period(after))
        return [Notice(kinds.INTERVAL_WARNING, {"team": begins["team"]})]
    return [Notice(_MOMENTS[event.of])]


# --- time-outs, substitutions, possession -------------------------------------------------------


def _timeout_granted(before: Game, event: events.TimeoutGranted, after: Game) -> list[Notice]:
    return _line(before, after, event.item) if event.team else [Notice(kinds.TIMEOUT_OFFICIALS)]


def _substituted(before: Game, event: events.Substituted, after: Game) -> list[Notice]:
    slots = {"team": event.team, "entering": event.entering, "leaving": event.leaving}
    return [Notice(kinds.SUBSTITUTED, slots=slots)]


def _ball_held(before: Game, event: events.BallHeld, after: Game) -> list[Notice]:
    if event.throw_in is not None:
        return [Notice(kinds.HELD_BALL, {"team": event.throw_in})]
    defence = after.profile.arrow.held is Held.DEFENCE
    return [Notice(kinds.HELD_BALL_DEFENCE if defence else kinds.HELD_BALL_JUMP)]


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


def _taken_back(before: Game, event: events.TakenBack, after: Game) -> list[Notice]:
    lines = lines_of(before, event.entry)
    if lines:
        return [_undone(line, after) for line in lines]
    # The entry may be missing in a game that was recovered from a damaged file.
    call = next((line.call for line in before.lines if line.entry == event.entry), None)
    if event.entry in before.turns:
        return [_unturned(before, call, after)]
    changed = next((line for line in all_lines(after) if find(before, line.item) != line), None)
    if changed:
        # Whose the line is now, and not only that a change of it was undone.
        was, throw = find(before, changed.item), isinstance(changed, Goal) and changed.free_throw
        now = changed_line(was, changed, after) if throw and was else []
        now = now or _line(before, after, changed.item)
        return [Notice(kinds.UNDONE_CHANGE, {"call": call}), *now]
    return [Notice(kinds.UNDONE, slots={"call": call, **_score(after)})]


def _unturned(before: Game, call: str | None, after: Game) -> Notice:
    """The echo of a period's end or start that was undone.

    After an undone end it says what the clock shows; that is None where no clock is kept.
    """
    if after.period < before.period:
        return Notice(kinds.UNDONE_START, slots=period_slots(before, before.period))
    left = shown(after, after.clock.left_tenths)
    slots = {"call": call, "left_tenths": left, **period_slots(after, after.period)}
    return Notice(kinds.UNDONE_END, slots=slots)


def _undone(line: BookLine, after: Game) -> Notice:
    of_period = period_of(line, after)
    if isinstance(line, Goal):
        slots = {**of_period, "team": line.team, "number": line.number, **_score(after)}
        if line.free_throw:
            return Notice(kinds.UNDONE_THROW, slots={**slots, "made": line.made})
        return Notice(kinds.UNDONE_GOAL, slots={**slots, "points": line.points})
    if isinstance(line, Charge):
        fouls = team_fouls(after, line.team, line.period)
        slots = {"team": line.team, "number": line.number, "fouls": fouls, **foul_kind(line)}
        return Notice(kinds.UNDONE_FOUL, slots={**of_period, **slots})
    if isinstance(line, TimeoutLine):
        left = max(0, timeouts_left(after, line.team, after.seen_tenths)) if line.team else None
        return Notice(kinds.UNDONE_TIMEOUT, slots={**of_period, "team": line.team, "left": left})
    return Notice(kinds.UNDONE, slots={"call": "set_score", **_score(after)})


def _put_back(before: Game, event: events.PutBackIn, after: Game) -> list[Notice]:
    call = next((line.call for line in after.lines if line.entry == event.entry), None)
    return [Notice(kinds.PUT_BACK, slots={"call": call, **_score(after)})]


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
    events.NumberGiven: _number_given,
    events.TeamChanged: _changed,
    events.PointsChanged: _changed,
    events.PeriodStarted: _period_started,
    events.PeriodEnded: _period_ended,
    events.GameEnded: _game_ended,
    events.ClockStarted: _clock_started,
    events.ClockStopped: _clock_stopped,
    events.ClockSet: _clock_set,
    events.ClockChecked: _clock_checked,
    events.BallDead: _plain(kinds.BALL_DEAD),
    events.Reminded: _reminded,
    events.TimeoutGranted: _timeout_granted,
    events.TimeoutAsked: _of_team(kinds.TIMEOUT_ASKED),
    events.TimeoutUnasked: _of_team(kinds.TIMEOUT_UNASKED),
    events.TimeoutEnded: _plain(kinds.TIMEOUT_OVER),
    events.SubReported: _of_team(kinds.SUB_REPORTED),
    events.SubLeft: _of_team(kinds.SUB_LEFT),
    events.SubsEntered: _plain(kinds.SUBS_ENTERED),
    events.Substituted: _substituted,
    events.ControlWon: _of_team(kinds.CONTROL),
    events.BallHeld: _ball_held,
    events.ArrowSet: _of_team(kinds.ARROW),
    events.TakenBack: _taken_back,
    events.PutBackIn: _put_back,
    events.Replaced: _replaced,
    events.Marked: _marked,
    events.PlayerAdded: _player_added,
    events.StarterNamed: _of_player(kinds.STARTER),
}
"""The function for each class of event."""
