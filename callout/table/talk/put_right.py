"""Which line of the book a correction is about: found at once, or asked about, the newest first;
pure.
"""

from __future__ import annotations

from dataclasses import replace
from typing import Final

from callout.game import calls
from callout.game.calls import Call
from callout.game.decide import Decisions, Refusal
from callout.game.figures.score import find, period_slots, shown
from callout.game.moves import booked, find_move
from callout.game.state import Charge, Game, Goal, Move, SubLine, TimeoutLine
from callout.table.speech.kinds import NONE_EARLIER, NONE_LATER, NOTHING_FITS
from callout.table.talk import question_kinds as kinds
from callout.table.talk.discrepancy import named, next_suspect, whose
from callout.table.talk.discrepancy import other_half as other_half
from callout.table.talk.questions import Heard, Question, until_ms

WALKING: Final = (calls.Yes, calls.No, calls.Earlier, calls.Later)
"""Answers to the question whether it is this line."""


def described(call: Call) -> calls.PutRight | None:
    """The description of a line that a call is, or that it signs; None for any other."""
    inner = call.call if isinstance(call, calls.Signed) else call
    return inner if isinstance(inner, calls.PutRight) else None


def put_right(
    heard: Heard, meant: calls.PutRight, decisions: Decisions
) -> Heard | Question | Refusal:
    """The correction of the one line that fits, or the question which of several is meant;
    `meant` is the description that was heard.
    """
    found: tuple[Call, ...] = decisions.fitting(meant)
    if isinstance(heard.call, calls.Signed):
        found = tuple(replace(heard.call, call=each) for each in found)
    if not found:
        return Refusal(NOTHING_FITS)
    # What no line can be made is refused before anything is asked.
    decision = decisions.on(found[0], heard.at)
    if isinstance(decision, Refusal):
        return decision
    if len(found) == 1:
        return replace(heard, call=found[0], doubt=None)
    question = Question(kinds.THIS_ONE, 0, heard, wants="this", choices=found)
    return _about(question, 0, heard, decisions.game)


def walked(question: Question, answer: Heard, game: Game) -> Heard | Question | Refusal | None:
    """What an answer comes to: the correction, the question about another line, or nothing.

    "No" goes on to the line before; after the oldest one it leaves the book as it is.
    """
    last = len(question.choices) - 1
    match answer.call:
        case calls.Yes():
            if lacking := whose(question, answer):
                return lacking
            right = question.choices[question.at]
            return replace(question.heard or answer, call=right, doubt=None)
        case calls.Later():
            if question.at == 0:
                return Refusal(NONE_LATER)
            return _about(question, question.at - 1, answer, game)
        case calls.Earlier() if question.at == last:
            return Refusal(NONE_EARLIER)
        case _:
            if question.at == last:
                return None
            return _about(question, question.at + 1, answer, game)


def _about(question: Question, at: int, heard: Heard, game: Game) -> Question:
    """The question about one of the lines."""
    if question.about:
        return next_suspect(question, at, heard)
    right = question.choices[at]
    right = right.call if isinstance(right, calls.Signed) else right
    assert isinstance(right, calls.Correct)
    slots = _described(game, right.item)
    return replace(question, at=at, until_ms=until_ms(heard), slots=slots)


def _described(game: Game, item: int) -> dict[str, object]:
    """What the book says of a line."""
    line = find(game, item)
    if line is None and (move := find_move(game, item)):
        entry = booked(game, move)
        of_line = {"points": None, "foul": None, "on": None, **_move(move)}
        return {**_when(game, entry.period, entry.left_tenths), "team": move.team, **of_line}
    assert isinstance(line, Goal | Charge | TimeoutLine)
    when = _when(game, line.period, line.left_tenths)
    return {**when, "team": line.team, "leaving": None, **named(line)}


def _when(game: Game, period: int, left_tenths: int) -> dict[str, object]:
    return {**period_slots(game, max(1, period)), "left_tenths": shown(game, left_tenths)}


def _move(move: Move) -> dict[str, object]:
    """What a move is, and who came in for whom."""
    if isinstance(move, SubLine):
        return {"line": "sub", "number": move.entering, "leaving": move.leaving}
    return {"line": "tip" if move.tip else "held", "number": None, "leaving": None}
