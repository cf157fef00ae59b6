"""Decisions on what happens seldom: shirts, injuries, lane violations, games not played out."""

from __future__ import annotations

from callout.game.calls import (
    ChangeShirt,
    CheckScore,
    CompareBook,
    DelayWarning,
    Forfeit,
    HandOver,
    Hurt,
    LaneViolation,
    SendOff,
    Suspend,
    TooManyOn,
)
from callout.game.decisions import refusals
from callout.game.decisions.base import Decision, Refusal, standing
from callout.game.events import (
    BookCompared,
    DelayWarned,
    GameForfeited,
    GameSuspended,
    HandedOver,
    PlayerHurt,
    ScoreChecked,
    SentOff,
    ShirtChanged,
    ThrowVoided,
    TimeoutEnded,
    TooManySeen,
)
from callout.game.figures.compared import Compared, booked
from callout.game.figures.score import newest, score
from callout.game.state import At, Game, Goal, Phase


def change_shirt(game: Game, call: ChangeShirt, at: At) -> Decision:
    """A player's number changes; the new one must be free, or it would be two players."""
    if call.number == call.new:
        slots = {"team": call.team, "number": call.new}
        return Refusal(refusals.NUMBER_IS_THAT, slots=slots)
    if call.new in game.side(call.team).numbers:
        return Refusal(refusals.ON_ROSTER, slots={"team": call.team, "number": call.new})
    return (ShirtChanged(call.team, call.number, call.new),)


def send_off(game: Game, call: SendOff, at: At) -> Decision:
    """A player or the coach is out, with no foul."""
    if (call.team, call.number) in game.sent_off:
        slots = {"team": call.team, "number": call.number}
        return Refusal(refusals.ALREADY_OFF, slots=slots)
    return (SentOff(call.team, call.number),)


def hurt(game: Game, call: Hurt, at: At) -> Decision:
    """A player must be replaced; whether he was is not known without the players on court."""
    return (PlayerHurt(call.team, call.number, call.bleeds),)


def lane_violation(game: Game, call: LaneViolation, at: At) -> Decision:
    """The newest free throw is void, or thrown again if the opponents violated and it was missed.

    Source: FIBA 43 and NFHS 9-1, from memory.
    """
    line = newest(game)
    if not isinstance(line, Goal) or not line.free_throw:
        return Refusal(refusals.NO_THROW)
    if call.team is line.team:
        return (ThrowVoided(line.item),)
    if line.made:
        return Refusal(refusals.THROW_COUNTS, slots={"team": line.team})
    return (ThrowVoided(line.item, again=True),)


def forfeit(game: Game, call: Forfeit, at: At) -> Decision:
    """The game is over, and lost by a team, perhaps before it began."""
    if game.phase is Phase.OVER:
        return Refusal(refusals.GAME_OVER)
    over = (TimeoutEnded(),) if game.phase is Phase.TIMEOUT else ()
    return (*over, *standing(game, at), GameForfeited(call.team, call.default))


def suspend(game: Game, call: Suspend, at: At) -> Decision:
    """The game is broken off; the clock stands."""
    if game.phase is Phase.OVER:
        return Refusal(refusals.GAME_OVER)
    if game.phase is Phase.BEFORE:
        return Refusal(refusals.NOT_STARTED)
    return (*standing(game, at), GameSuspended(game.period, at.left_tenths, at.wall_ms))


def delay_warning(game: Game, call: DelayWarning, at: At) -> Decision:
    """A warning is kept: the rules make a technical foul of a later delay."""
    return (DelayWarned(call.team),)


def too_many_on(game: Game, call: TooManyOn, at: At) -> Decision:
    """A player too many was seen on court."""
    return (TooManySeen(call.team),)


def check_score(game: Game, call: CheckScore, at: At) -> Decision:
    """The board's score is compared with the book's, and changes nothing."""
    return (ScoreChecked(call.team, call.points, score(game, call.team)),)


def compare_book(game: Game, call: CompareBook, at: At) -> Decision:
    """A figure of another book is compared with ours, and changes nothing."""
    if call.number is not None and not game.side(call.team).has(call.number):
        slots = {"team": call.team, "number": call.number}
        return Refusal(refusals.NOT_ON_ROSTER, slots=slots)
    ours = booked(game, Compared(call.team, call.figure, call.number, call.period), at.left_tenths)
    return (BookCompared(call.team, call.figure, call.count, ours, call.number, call.period),)


def hand_over(game: Game, call: HandOver, at: At) -> Decision:
    """The next crew takes over; the book goes on as it stands."""
    if game.phase is Phase.OVER:
        return Refusal(refusals.GAME_OVER)
    return (HandedOver(at.wall_ms),)
