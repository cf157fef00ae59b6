"""Substitutions, held balls and first controls put right: the part of `put_right.py` for what
stands in no column of the book. Pure.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from callout.game.calls import Call, Correct, HeldBall, PutRight, Substitution, Tip
from callout.game.decisions import refusals
from callout.game.decisions.base import Refusal
from callout.game.events import ArrowSet, BallHeld, ClockStarted, PeriodStarted
from callout.game.figures.score import entry_of
from callout.game.fold import Entry
from callout.game.state import BallLine, Game, Line, Move, SubLine

ENDING: Final = (ArrowSet, ClockStarted)
"""Events that show that a throw-in by the arrow has ended."""


def find_move(game: Game, item: int) -> Move | None:
    """The substitution, held ball or first control with that name, if it still counts."""
    return next((move for move in game.moves if move.item == item), None)


def booked(game: Game, move: Move) -> Line:
    """When it was called: its journal entry.

    Raises:
        LookupError: it is of another game.
    """
    entry = entry_of(move.item)
    return next(line for line in reversed(game.lines) if line.entry == entry)


def fits(game: Game, move: Move, call: PutRight) -> bool:
    """Whether a move is as the call describes it, and can be changed as it says."""
    told = (call.worth, call.made, call.foul)
    if told != (None, None, None) or call.period not in (None, max(1, booked(game, move).period)):
        return False
    if isinstance(move, SubLine):
        named = call.number in (None, move.entering, move.leaving)
        return call.entry == "sub" and call.team is move.team and named
    if call.entry != ("tip" if move.tip else "held") or call.team not in (None, move.team):
        return False
    # Where no arrow gave the ball to a team, it was another jump ball.
    return call.off or (call.to is not None and move.team is not None)


def correction(move: Move, call: PutRight) -> Correct:
    """What the call makes of a move.

    Of a substitution, "five was four" changes the one of the two who was called five.
    """
    number = call.to_number if call.points is None else str(call.points)
    if call.leaving is not None or not isinstance(move, SubLine):
        return Correct(move.item, call.to, number, off=call.off, leaving=call.leaving)
    left = number is not None and call.number == move.leaving != move.entering
    entering, leaving = (None, number) if left else (number, None)
    return Correct(move.item, call.to, entering, off=call.off, leaving=leaving)


def changes(move: Move, right: Correct) -> bool:
    """Whether the correction makes it another one."""
    if right.off or right.team not in (None, move.team):
        return True
    if isinstance(move, BallLine):
        return False
    new = (right.number or move.entering, right.leaving or move.leaving)
    return new != (move.entering, move.leaving)


def impossible(game: Game, move: Move, right: Correct) -> Refusal | None:
    """Why a move cannot be what it is said to be."""
    team = right.team or move.team
    for number in (right.number, right.leaving):
        if number is not None and team and not game.side(team).has(number):
            return Refusal(refusals.NOT_ON_ROSTER, slots={"team": team, "number": number})
    return None if changes(move, right) else Refusal(refusals.NOTHING_TO_CORRECT)


def called_rightly(move: Move, right: Correct) -> Call | None:
    """The call that should have been made; None if there should have been none."""
    team = right.team or move.team
    if right.off or team is None:
        return None
    if isinstance(move, SubLine):
        return Substitution(team, right.number or move.entering, right.leaving or move.leaving)
    return Tip(team) if move.tip else HeldBall(team)


def taken_as_booked(entries: Sequence[Entry]) -> frozenset[int]:
    """The entries that gave a throw-in by the arrow which has ended.

    Whose the arrow should have been does not change who threw in: once the ball is touched on court
    it is too late, and the team that was entitled keeps the arrow.
    Source: FIBA interpretation 12-9, NFHS 6-4 (from memory).
    """
    last = max((each.id for each in entries if _has(each, ENDING)), default=0)
    giving = (each for each in entries if _has(each, (BallHeld, PeriodStarted)))
    return frozenset(each.id for each in giving if each.id < last or _has(each, (ClockStarted,)))


def _has(entry: Entry, kinds: tuple[type, ...]) -> bool:
    return any(isinstance(event, kinds) for event in entry.events)
