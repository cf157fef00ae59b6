"""The next state of a game: `(game, event)` gives a new game, by one table of small functions.

Pure and total; `decide.py` says why. An event may refer to a line that has been taken back since:
it changes only `misfits` then, which names the entry, so that every journal folds into a game.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace
from typing import Any, Final

from callout.game import book_lines as lines
from callout.game import events
from callout.game import incident_lines as incidents
from callout.game import pregame_lines as pregame
from callout.game.events import Event
from callout.game.figures.running_clock import goal_stops_clock
from callout.game.figures.score import fresh_goal
from callout.game.game_clock import Clock
from callout.game.state import (
    ITEMS_PER_ENTRY,
    Approval,
    BallLine,
    Change,
    Game,
    Move,
    Phase,
    Signature,
    Start,
    SubLine,
    TimeoutLine,
)
from callout.game.terms import Team


def apply(game: Game, event: Event) -> Game:
    """The game after the event."""
    return TABLE[type(event)](game, event)


# --- clock and periods ----------------------------------------------------------------------


def _period_started(game: Game, event: events.PeriodStarted) -> Game:
    arrow = None if event.jump and game.profile.arrow.used else game.arrow
    return replace(
        game,
        phase=Phase.STOPPED,
        period=event.period,
        arrow=arrow,
        fresh_goal=None,
        clock=Clock(event.left_tenths),
        throw_in=event.throw_in,
        ball_dead=True,
        interval_since_ms=None,
    )


def _period_ended(game: Game, event: events.PeriodEnded) -> Game:
    return replace(
        game,
        phase=Phase.INTERVAL,
        clock=Clock(0),
        throw_in=None,
        fresh_goal=None,
        ball_dead=True,
        interval_since_ms=event.wall_ms,
        ended=game.entry,
        reminded=(),
    )


def _game_ended(game: Game, event: events.GameEnded) -> Game:
    return replace(game, phase=Phase.OVER, owed=(), timeouts_asked=(), subs_waiting=())


def _clock_started(game: Game, event: events.ClockStarted) -> Game:
    same = game.clock.left_tenths == event.left_tenths
    clock = (game.clock if same else Clock(event.left_tenths)).started_at(event.wall_ms)
    # The chances of the dead ball are over; whoever still waits, waits for the next one.
    return replace(
        game,
        phase=Phase.RUNNING,
        clock=clock,
        ball_dead=False,
        # This also drops throws that an undo has brought back: play has gone on since.
        owed=(),
        starts=(*game.starts, Start(game.entry, game.period, event.left_tenths)),
        changes=(),
        thrown=(),
        again=None,
        fresh_goal=None,
        throw_in=None,
        reminded=(),
    )


def _clock_stopped(game: Game, event: events.ClockStopped) -> Game:
    clock = Clock(event.left_tenths, None, event.spent_ms)
    if not game.phase.in_period:
        return game  # The start of the period was taken back.
    if game.phase is not Phase.RUNNING:
        return replace(game, clock=clock)
    # The rules stop the clock after a late goal without a whistle: the goal stays fresh.
    goal = fresh_goal(game)
    still = game.fresh_goal if goal and goal_stops_clock(game, goal) else None
    return replace(game, phase=Phase.STOPPED, clock=clock, ball_dead=True, fresh_goal=still)


def _clock_set(game: Game, event: events.ClockSet) -> Game:
    since = event.wall_ms if game.phase is Phase.RUNNING else None
    phase = Phase.STOPPED if game.phase is Phase.INTERVAL else game.phase
    return replace(game, phase=phase, clock=Clock(event.left_tenths, since))


def _clock_checked(game: Game, event: events.ClockChecked) -> Game:
    return game


def _ball_dead(game: Game, event: events.BallDead) -> Game:
    return replace(game, ball_dead=True, fresh_goal=None)


def _reminded(game: Game, event: events.Reminded) -> Game:
    return replace(game, reminded=(*game.reminded, event.of.value))


# --- time-outs and substitutions --------------------------------------------------------------


def _timeout_granted(game: Game, event: events.TimeoutGranted) -> Game:
    line = TimeoutLine(
        event.item, event.team, event.kind, event.period, event.left_tenths, event.wall_ms
    )
    asked = tuple(team for team in game.timeouts_asked if team is not event.team)
    game = replace(game, timeouts=(*game.timeouts, line), timeouts_asked=asked, fresh_goal=None)
    # An interval goes on, and so do its announcements; before the game nobody times it.
    if game.phase.between:
        return game
    return replace(game, phase=Phase.TIMEOUT, reminded=())


def _timeout_asked(game: Game, event: events.TimeoutAsked) -> Game:
    return replace(game, timeouts_asked=(*game.timeouts_asked, event.team))


def _timeout_unasked(game: Game, event: events.TimeoutUnasked) -> Game:
    asked = tuple(team for team in game.timeouts_asked if team is not event.team)
    return replace(game, timeouts_asked=asked)


def _timeout_ended(game: Game, event: events.TimeoutEnded) -> Game:
    # `reminded` stays until the clock runs: after the warning, substitutes may have to wait.
    return replace(game, phase=Phase.STOPPED) if game.phase is Phase.TIMEOUT else game


def _sub_reported(game: Game, event: events.SubReported) -> Game:
    return replace(game, subs_waiting=(*game.subs_waiting, event.team))


def _sub_left(game: Game, event: events.SubLeft) -> Game:
    waiting = list(game.subs_waiting)
    for team in (event.team, None):
        if team in waiting:
            waiting.remove(team)
            return replace(game, subs_waiting=tuple(waiting))
    return lines.misfit(game)


def _subs_entered(game: Game, event: events.SubsEntered) -> Game:
    return replace(game, subs_waiting=())


def _substituted(game: Game, event: events.Substituted) -> Game:
    courts = dict(game.on_court)
    now = courts.get(event.team, game.side(event.team).starters)
    rest = tuple(number for number in now if number not in (event.leaving, event.entering))
    courts[event.team] = (*rest, event.entering)
    waiting = list(game.subs_waiting)
    for team in (event.team, None):
        if team in waiting:
            waiting.remove(team)
            break
    pairs = tuple((team, courts[team]) for team in Team if team in courts)
    change = Change(event.team, event.entering, event.leaving)
    game = _moved(game, SubLine(_item(game), event.team, event.entering, event.leaving))
    return replace(
        game, on_court=pairs, subs_waiting=tuple(waiting), changes=(*game.changes, change)
    )


# --- possession -------------------------------------------------------------------------------


def _control_won(game: Game, event: events.ControlWon) -> Game:
    game = _moved(game, BallLine(_item(game), event.team, tip=True))
    return replace(game, first_control=game.first_control or event.team)


def _ball_held(game: Game, event: events.BallHeld) -> Game:
    game = _moved(game, BallLine(_item(game), event.throw_in, tip=False))
    return replace(game, throw_in=event.throw_in)


def _arrow_set(game: Game, event: events.ArrowSet) -> Game:
    return replace(game, arrow=event.team, throw_in=None)


def _moved(game: Game, move: Move) -> Game:
    return replace(game, moves=(*game.moves, move))


def _item(game: Game) -> int:
    """The name of the one move that an entry makes."""
    return game.entry * ITEMS_PER_ENTRY


# --- the book itself --------------------------------------------------------------------------


def _taken_back(game: Game, event: events.TakenBack) -> Game:
    return replace(game, taken_back=(*game.taken_back, event.entry))


def _put_back(game: Game, event: events.PutBackIn) -> Game:
    rest = tuple(entry for entry in game.taken_back if entry != event.entry)
    return replace(game, taken_back=rest)


def _replaced(game: Game, event: events.Replaced) -> Game:
    # `fold` has put the new events in the place of the old ones.
    return lines.number_assumed(game, event.item) if event.assumed and event.item else game


def _marked(game: Game, event: events.Marked) -> Game:
    return replace(game, marks=(*game.marks, (event.period, event.left_tenths)))


def _player_added(game: Game, event: events.PlayerAdded) -> Game:
    side = game.side(event.team)
    late = side.late or game.phase is not Phase.BEFORE
    numbers = (*side.numbers, event.number)
    return game.with_side(event.team, replace(side, numbers=numbers, late=late))


def _score_approved(game: Game, event: events.ScoreApproved) -> Game:
    return replace(game, approval=Approval(game.entry, event.home, event.guest, event.by))


def _correction_signed(game: Game, event: events.CorrectionSigned) -> Game:
    signature = Signature(game.entry, event.by, event.reason)
    return replace(game, signatures=(*game.signatures, signature))


TABLE: Final[Mapping[type[Event], Callable[[Game, Any], Game]]] = {
    events.Scored: lines.scored,
    events.FreeThrow: lines.free_throw,
    events.ScoreSet: lines.score_set,
    events.BasketCancelled: lines.basket_cancelled,
    events.FoulCharged: lines.foul_charged,
    events.ThrowsAwarded: lines.throws_awarded,
    events.PenaltiesCancelled: lines.penalties_cancelled,
    events.ThrowsDropped: lines.throws_dropped,
    events.NumberGiven: lines.number_given,
    events.TeamChanged: lines.team_changed,
    events.PointsChanged: lines.points_changed,
    events.PeriodStarted: _period_started,
    events.PeriodEnded: _period_ended,
    events.GameEnded: _game_ended,
    events.ClockStarted: _clock_started,
    events.ClockStopped: _clock_stopped,
    events.ClockSet: _clock_set,
    events.ClockChecked: _clock_checked,
    events.BallDead: _ball_dead,
    events.Reminded: _reminded,
    events.TimeoutGranted: _timeout_granted,
    events.TimeoutAsked: _timeout_asked,
    events.TimeoutUnasked: _timeout_unasked,
    events.TimeoutEnded: _timeout_ended,
    events.SubReported: _sub_reported,
    events.SubLeft: _sub_left,
    events.SubsEntered: _subs_entered,
    events.Substituted: _substituted,
    events.ControlWon: _control_won,
    events.BallHeld: _ball_held,
    events.ArrowSet: _arrow_set,
    events.TakenBack: _taken_back,
    events.PutBackIn: _put_back,
    events.Replaced: _replaced,
    events.Marked: _marked,
    events.PlayerAdded: _player_added,
    events.StarterNamed: pregame.starter_named,
    events.StarterDropped: pregame.starter_dropped,
    events.StartersConfirmed: pregame.starters_confirmed,
    events.TipSet: pregame.tip_set,
    events.ItemChecked: pregame.item_checked,
    events.BeforeTold: pregame.before_told,
    events.ShirtChanged: incidents.shirt_changed,
    events.SentOff: incidents.sent_off,
    events.PlayerHurt: incidents.player_hurt,
    events.ThrowVoided: incidents.throw_voided,
    events.GameForfeited: incidents.game_forfeited,
    events.GameSuspended: incidents.game_suspended,
    events.DelayWarned: incidents.delay_warned,
    events.TooManySeen: incidents.unchanged,
    events.ScoreChecked: incidents.unchanged,
    events.BookCompared: incidents.unchanged,
    events.HandedOver: incidents.unchanged,
    events.ScoreApproved: _score_approved,
    events.CorrectionSigned: _correction_signed,
}
"""The one table of transitions."""
