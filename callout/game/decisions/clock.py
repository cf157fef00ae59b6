"""Decisions on the game clock and on the beginning and end of periods."""

from __future__ import annotations

from callout.game.calls import (
    AdjustClock,
    CheckClock,
    ClockExpired,
    DeadBall,
    EndGame,
    EndPeriod,
    Reminder,
    SetClock,
    StartClock,
    StartPeriod,
    StopClock,
)
from callout.game.decisions import refusals
from callout.game.decisions.base import Decision, Refusal, standing
from callout.game.due import due
from callout.game.events import (
    ArrowSet,
    BallDead,
    ClockChecked,
    ClockSet,
    ClockStarted,
    ClockStopped,
    Event,
    GameEnded,
    PeriodEnded,
    PeriodStarted,
    Reminded,
    ThrowsDropped,
    TimeoutEnded,
)
from callout.game.figures.opening import beginning
from callout.game.state import At, Game, Owner, Phase


def start(game: Game, call: StartClock, at: At) -> Decision:
    """The clock runs. Between periods this begins the next one; a throw-in by the arrow ends."""
    if game.phase is Phase.RUNNING:
        return Refusal(refusals.ALREADY_RUNNING)
    if game.phase is Phase.OVER:
        return Refusal(refusals.GAME_OVER)
    first: tuple[Event, ...] = ()
    left, throw_in, number = at.left_tenths, game.throw_in, game.period
    if game.phase.between:
        number += 1
        first = beginning(game)
        begun = next(event for event in first if isinstance(event, PeriodStarted))
        left, throw_in = begun.left_tenths, begun.throw_in
    elif game.phase is Phase.TIMEOUT:
        first = (TimeoutEnded(),)
    if left == 0 and game.profile.length_tenths(number):
        return Refusal(refusals.NO_TIME_LEFT)
    # A clock that starts shows that play went on, whether the throws were taken or forgotten.
    dropped = (ThrowsDropped(),) if game.owed else ()
    # A throw-in by the arrow ends when the ball is touched, which is when the clock starts.
    turned = (ArrowSet(throw_in.other),) if throw_in and game.profile.arrow.used else ()
    return (*first, *dropped, ClockStarted(left, at.wall_ms), *turned)


def stop(game: Game, call: StopClock, at: At) -> Decision:
    """The clock stops."""
    return standing(game, at) or Refusal(refusals.ALREADY_STOPPED)


def dead_ball(game: Game, call: DeadBall, at: At) -> Decision:
    """The ball is dead on a running clock."""
    return Refusal(refusals.ALREADY_DEAD) if game.ball_dead else (BallDead(),)


def put_to(game: Game, call: SetClock, at: At) -> Decision:
    """The clock shows what the officials say; in an interval this reopens the period just ended."""
    return _put(game, call.left_tenths, at)


def adjust(game: Game, call: AdjustClock, at: At) -> Decision:
    """Time is added or taken off."""
    if game.owner is Owner.NONE:
        return Refusal(refusals.NO_CLOCK)
    return _put(game, at.left_tenths + call.tenths, at)


def _put(game: Game, left_tenths: int, at: At) -> Decision:
    if game.phase is Phase.OVER:
        return Refusal(refusals.GAME_OVER)
    if not 0 <= left_tenths <= game.profile.length_tenths(max(1, game.period)):
        return Refusal(refusals.CLOCK_IMPOSSIBLE, slots={"left_tenths": max(0, left_tenths)})
    if left_tenths == at.left_tenths:
        return Refusal(refusals.CLOCK_IS_THAT, slots={"left_tenths": left_tenths})
    return (*_begun(game), ClockSet(left_tenths, at.wall_ms))


def _begun(game: Game) -> tuple[Event, ...]:
    """The start of the first period if a time is called before it: only a period has a clock."""
    return beginning(game) if game.phase is Phase.BEFORE else ()


def check(game: Game, call: CheckClock, at: At) -> Decision:
    """Our clock is compared with the gym's, and follows it where that is the official one."""
    if game.phase is Phase.OVER:
        return Refusal(refusals.GAME_OVER)
    if game.owner is Owner.NONE:
        return Refusal(refusals.NO_CLOCK)
    if call.left_tenths > game.profile.length_tenths(max(1, game.period)):
        return Refusal(refusals.CLOCK_IMPOSSIBLE, slots={"left_tenths": call.left_tenths})
    compared = ClockChecked(call.left_tenths, at.left_tenths)
    if game.owner is Owner.FOLLOW and call.left_tenths != at.left_tenths:
        return (*_begun(game), compared, ClockSet(call.left_tenths, at.wall_ms))
    return (compared,)


def start_period(game: Game, call: StartPeriod, at: At) -> Decision:
    """The next period begins with its clock stopped; one that is still open ends with it."""
    if game.phase is Phase.OVER:
        return Refusal(refusals.GAME_OVER)
    ending = _ending(game, at) if game.phase.in_period else ()
    return (*ending, *beginning(game))


def end_period(game: Game, call: EndPeriod, at: At) -> Decision:
    """The period is over, whatever the clock shows."""
    if not game.phase.in_period:
        return Refusal(refusals.NO_PERIOD)
    return _ending(game, at)


def _ending(game: Game, at: At) -> tuple[Event, ...]:
    over = (TimeoutEnded(),) if game.phase is Phase.TIMEOUT else ()
    return (*over, *standing(game, at), PeriodEnded(game.period, at.wall_ms))


def end_game(game: Game, call: EndGame, at: At) -> Decision:
    """The game is over."""
    if game.phase is Phase.OVER:
        return Refusal(refusals.GAME_OVER)
    if game.phase is Phase.BEFORE:
        return Refusal(refusals.NOT_STARTED)
    ending = () if game.phase is Phase.INTERVAL else _ending(game, at)
    return (*ending, GameEnded())


def expired(game: Game, call: ClockExpired, at: At) -> Decision:
    """The clock reached zero."""
    if game.phase is not Phase.RUNNING:
        return Refusal(refusals.ALREADY_STOPPED)
    return (ClockStopped(0), PeriodEnded(game.period, at.wall_ms))


def reminder(game: Game, call: Reminder, at: At) -> Decision:
    """A moment of the clock, a time-out or an interval is announced, if it is still due."""
    waiting = any(each.call == call for each in due(game))
    return (Reminded(call.of),) if waiting else Refusal(refusals.NOTHING_DUE)
