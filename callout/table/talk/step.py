"""What is open between table and scorer, and what follows from something heard; pure."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace

from callout.game.decide import Refusal
from callout.game.events import PeriodEnded
from callout.game.fold import Entry
from callout.game.notices.kinds import Notice
from callout.table.talk.question_kinds import ENDING
from callout.table.talk.questions import ANSWER_MS, Heard, Question
from callout.table.talk.repeats import LastCall, last_goal, with_newest


@dataclass(frozen=True, slots=True)
class Dialogue:
    """What is open between table and scorer."""

    question: Question | None = None
    last: LastCall | None = None
    recent: tuple[LastCall, ...] = ()
    """What was called by voice in the last seconds."""
    leaning: Mapping[str, float] = field(default_factory=dict, hash=False)
    """What the answers to earlier questions told about numbers that sound alike."""


@dataclass(frozen=True, slots=True)
class Step:
    """What follows from something heard, or from a question's end."""

    dialogue: Dialogue
    calls: tuple[Heard, ...] = ()
    """To be booked or done now, in this order."""
    notices: tuple[Notice, ...] = ()
    """To be said before the echo of those calls."""
    asks: Notice | None = None
    """The question that has been opened, as a notice."""
    then: Question | None = None
    """A question to open once the calls are booked, unless one of them is refused."""
    refusal: Refusal | None = None


def booked(dialogue: Dialogue, entry: Entry) -> Dialogue:
    """The dialogue after an entry: it keeps the newest field goal and the newest calls.

    Where the entry ended the period, whether it is over is no question any more.
    """
    goal, recent = last_goal(entry) or dialogue.last, with_newest(dialogue.recent, entry)
    question = dialogue.question
    ended = any(isinstance(event, PeriodEnded) for event in entry.events)
    if ended and question and question.kind in ENDING:
        question = replace(question, settled=True, until_ms=entry.at.wall_ms + ANSWER_MS)
    return replace(dialogue, question=question, last=goal, recent=recent)
