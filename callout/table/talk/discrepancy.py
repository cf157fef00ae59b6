"""The talk about a difference between two books: what could explain it is asked, the likeliest
first; pure.

The question names one line and what it may have been: "Third quarter, four twelve, home two, five.
Was it a three?" Yes puts it right, no goes on to the next. What was never booked is offered as it
would be. The rules give a time to put it right: after that the question says that it has passed,
and the officials decide.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from enum import Enum
from typing import Final

from callout.game.calls import CheckScore, CompareBook, Correct, Shot, Yes
from callout.game.choices import Until
from callout.game.decide import Decisions
from callout.game.figures.deadlines import still_open
from callout.game.figures.score import period_slots, shown
from callout.game.state import Charge, Game, Goal, TimeoutLine
from callout.game.suspect import Cause, Suspect
from callout.game.terms import FoulKind, Offender
from callout.table.talk import question_kinds as kinds
from callout.table.talk.questions import Heard, Question

LOOK_MS: Final = 30_000
"""How long each question waits: the two scorers look into the other book first.

Common practice, no source.
"""

MOST: Final = 9
"""The most lines that are asked about: beyond, two books are compared sooner page by page."""


class Half(Enum):
    """Which of two things that are wrong together a question is about."""

    FIRST = "first"
    SECOND = "second"


COMPARING: Final = (CheckScore, CompareBook)
"""Calls that tell a figure of the board or of another book."""


def differing(heard: Heard, decisions: Decisions) -> Question | None:
    """The question about the likeliest explanation; None where nothing explains a difference."""
    found = decisions.explained(heard.call, heard.at)[:MOST]
    first = _question(found, heard, decisions.game, Half.FIRST)
    second = (_question(each.also[:MOST], heard, decisions.game, Half.SECOND) for each in found)
    return first and replace(first, after=tuple(second))


def _question(found: Sequence[Suspect], heard: Heard, game: Game, half: Half) -> Question | None:
    """The question about the first of several explanations; None where there are none."""
    if not found:
        return None
    about = tuple(_described(game, each, heard.at.left_tenths, half) for each in found)
    choices, until = tuple(each.call for each in found), heard.at.wall_ms + LOOK_MS
    return Question(
        kinds.SUSPECT, until, heard, None, about[0], "this", choices=choices, about=about
    )


def other_half(question: Question, answer: Heard) -> Question | None:
    """The question about what must be wrong, too, once the first of two things is put right."""
    after = question.after[question.at] if question.after else None
    yes = isinstance(answer.call, Yes)
    return replace(after, until_ms=answer.at.wall_ms + LOOK_MS) if after and yes else None


def next_suspect(question: Question, at: int, heard: Heard) -> Question:
    """The question about another of the explanations."""
    until = heard.at.wall_ms + LOOK_MS
    return replace(question, at=at, until_ms=until, slots=question.about[at])


def whose(question: Question, answer: Heard) -> Question | None:
    """The question whose a line is that is another player's; None where the correction is whole."""
    right = question.choices[question.at]
    if right != Correct(getattr(right, "item", 0)):
        return None
    held = replace(question.heard or answer, call=right, doubt=None)
    until = answer.at.wall_ms + LOOK_MS
    return Question(kinds.WHOSE, until, held, wants="number", slot="number")


def _described(game: Game, suspect: Suspect, left_tenths: int, half: Half) -> dict[str, object]:
    """What the question says: when, which line, and what it may have been."""
    right, line, cause = suspect.call, suspect.line, suspect.cause
    place = (line.period, line.left_tenths)
    moment = suspect.moment if suspect.entry is None else place
    period = (
        {"nth": None, "unit": None} if moment is None else period_slots(game, max(1, moment[0]))
    )
    told: dict[str, object] = {
        **period,
        "left_tenths": None if moment is None else shown(game, moment[1]),
        "of_two": half.value if suspect.also or half is Half.SECOND else None,
        "team": line.team,
        **named(line),
        "cause": cause.value
        if cause in (Cause.EXTRA, Cause.UNDONE, Cause.LOST, Cause.UNTAKEN)
        else None,
        "to": None,
        "points_now": None,
        "made_now": None,
        "number_now": None,
        "late": True if _is_late(game, suspect, left_tenths) else None,
    }
    if not isinstance(right, Correct) or right.off:
        return told
    told |= {"to": right.team, "points_now": right.points, "made_now": right.made}
    # A line that is another team's says its team; its number goes without saying.
    told["number_now"] = None if right.team else right.number
    return told if cause is not Cause.NUMBER or right.number else {**told, "cause": cause.value}


def named(line: Goal | Charge | TimeoutLine) -> dict[str, object]:
    """What a line is, and whose."""
    told: dict[str, object] = dict.fromkeys(("points", "foul", "on", "number"))
    if isinstance(line, TimeoutLine):
        return {**told, "line": "timeout"}
    told["number"] = line.number or line.said
    if isinstance(line, Charge):
        foul = None if line.foul is FoulKind.PERSONAL else line.foul
        on = None if line.on is Offender.PLAYER else line.on
        return {**told, "line": "foul", "foul": foul, "on": on}
    if line.free_throw:
        return {**told, "line": "made" if line.made else "missed"}
    return {**told, "line": "basket", "points": line.points}


def _is_late(game: Game, suspect: Suspect, left_tenths: int) -> bool:
    """Whether the rules' time to put it right has passed.

    A throw that was never taken is an error of the officials, all else one of the book. Where the
    book may be put right until the officials leave, only they know whether they have.
    """
    rules = game.profile.corrections
    until = rules.throws if isinstance(suspect.call, Shot) else rules.book
    if until is Until.FINAL or suspect.entry is None:
        return False
    return not still_open(game, until, suspect.entry, left_tenths)
