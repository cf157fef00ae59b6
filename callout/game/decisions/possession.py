"""The arrow: who is entitled to the next throw-in by it."""

from __future__ import annotations

from callout.game.calls import HeldBall, SetArrow, SwitchArrow, ThrowInViolation, Tip
from callout.game.decisions import refusals
from callout.game.decisions.base import Decision, Refusal
from callout.game.events import ArrowSet, BallDead, BallHeld, ControlWon, Event
from callout.game.state import At, Game, Phase


def tip(game: Game, call: Tip, at: At) -> Decision:
    """First control after a jump ball; the arrow is the other team's."""
    if game.phase in (Phase.BEFORE, Phase.OVER):
        return Refusal(refusals.NO_PERIOD)
    if not game.profile.arrow.used:
        return (ControlWon(call.team),)
    return (ControlWon(call.team), ArrowSet(call.team.other))


def held_ball(game: Game, call: HeldBall, at: At) -> Decision:
    """The arrow's team throws in; where there is no arrow yet, the ball is tossed again.

    A time-out may be called first and the held ball before it a moment later.
    """
    if game.phase not in (Phase.RUNNING, Phase.STOPPED, Phase.TIMEOUT):
        return Refusal(refusals.NO_PERIOD)
    running = game.phase is Phase.RUNNING and not game.ball_dead
    dead: tuple[Event, ...] = (BallDead(),) if running else ()
    return (*dead, BallHeld(game.arrow if game.profile.arrow.used else None))


def switch(game: Game, call: SwitchArrow, at: At) -> Decision:
    """The throw-in has ended; the arrow turns."""
    if game.arrow is None:
        return Refusal(refusals.NO_ARROW)
    return (ArrowSet(game.arrow.other),)


def violation(game: Game, call: ThrowInViolation, at: At) -> Decision:
    """The entitled team lost its throw-in by a violation, and the arrow with it."""
    if game.throw_in is None:
        return Refusal(refusals.NO_THROW_IN)
    return (ArrowSet(game.throw_in.other),)


def set_to(game: Game, call: SetArrow, at: At) -> Decision:
    """The arrow is the team's that the officials name."""
    if game.arrow is call.team:
        return Refusal(refusals.ARROW_IS_THAT, slots={"team": call.team})
    return (ArrowSet(call.team),)
