"""Decisions on possession: the toss, held balls, and the alternating-possession arrow."""

from __future__ import annotations

from callout.game.calls import HeldBall, SetArrow, SwitchArrow, ThrowInViolation, Tip
from callout.game.decisions import refusals
from callout.game.decisions.base import Decision, Refusal
from callout.game.events import ArrowSet, BallDead, BallHeld, ControlWon, Event
from callout.game.state import At, Game, Phase


def tip(game: Game, call: Tip, at: At) -> Decision:
    """A team has first control after a jump ball; the arrow then favours the other team."""
    if game.phase is Phase.OVER:
        return Refusal(refusals.GAME_OVER)
    if not game.profile.arrow.used:
        # First control matters there, too: it decides who begins the later periods.
        return (ControlWon(call.team),)
    return (ControlWon(call.team), ArrowSet(call.team.other))


def held_ball(game: Game, call: HeldBall, at: At) -> Decision:
    """The team with the arrow throws in; if nobody has it yet, there is another jump ball.

    Where it was put right, the officials gave the ball to `call.team`, and so the arrow was that
    team's. It is accepted during a time-out and after a period's end, too: the scorer may call the
    time-out or the horn first, and then the held ball that came before it.
    """
    if game.phase is Phase.OVER:
        return Refusal(refusals.GAME_OVER)
    running = game.phase is Phase.RUNNING and not game.ball_dead
    dead: tuple[Event, ...] = (BallDead(),) if running else ()
    if not game.profile.arrow.used:
        return Refusal(refusals.ARROW_UNUSED) if call.team else (*dead, BallHeld(None))
    other = call.team is not None and call.team is not game.arrow
    pointed = (ArrowSet(call.team),) if call.team and other else ()
    return (*dead, *pointed, BallHeld(call.team or game.arrow))


def switch(game: Game, call: SwitchArrow, at: At) -> Decision:
    """A throw-in by the arrow has ended, and the arrow turns."""
    if not game.profile.arrow.used:
        return Refusal(refusals.ARROW_UNUSED)
    if game.arrow is None:
        return Refusal(refusals.NO_ARROW)
    # A throw-in that an error gave to the other team takes nothing from the one entitled to it.
    return (ArrowSet((game.throw_in or game.arrow).other),)


def violation(game: Game, call: ThrowInViolation, at: At) -> Decision:
    """The team that had the throw-in by the arrow violates, and loses the arrow."""
    if game.throw_in is None:
        return Refusal(refusals.NO_THROW_IN)
    return (ArrowSet(game.throw_in.other),)


def set_to(game: Game, call: SetArrow, at: At) -> Decision:
    """The arrow is set to the team that the officials name."""
    if not game.profile.arrow.used:
        return Refusal(refusals.ARROW_UNUSED)
    if game.arrow is call.team:
        return Refusal(refusals.ARROW_IS_THAT, slots={"team": call.team})
    return (ArrowSet(call.team),)
