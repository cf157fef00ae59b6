"""The talk between table and scorer: which call answers, completes or closes an open question.

Pure: `hear` takes what is open and a call, and gives what is open next with the calls that may be
booked now. Nothing behind it knows whether a call was spoken, pressed or read from a script.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Final

from callout.game import calls
from callout.game.calls import Call
from callout.game.decide import Refusal, decide
from callout.game.fold import Entry
from callout.game.notices.kinds import Notice
from callout.game.state import Game
from callout.table.speech.kinds import NOT_AN_ANSWER, NOTHING_ASKED
from callout.table.talk import question_kinds as kinds
from callout.table.talk.booking_questions import question_for
from callout.table.talk.doubt import asked_again, chosen, doubt_question, number_alone
from callout.table.talk.questions import (
    ANSWER_MS,
    QUIET,
    SPOKEN,
    Heard,
    Question,
    with_value,
)
from callout.table.talk.repeats import LastCall, another, last_goal, with_newest

BESIDE: Final = (
    calls.Ask,
    calls.RefereeTold,
    calls.SayLevel,
    calls.SayHow,
    calls.PauseListening,
    calls.ListenAgain,
    calls.StartClock,
    calls.StopClock,
    calls.DeadBall,
    calls.Mark,
)
"""Calls that leave an open question open: the clock cannot wait for an answer."""

CLOCK: Final = (calls.SetClock, calls.StartClock, calls.StopClock)
"""Calls that say where the clock stands, and so answer whether it is right."""

NEITHER: Final = 0.1
"""How often it is none of what was asked about."""

ANOTHER: Final = 0.001
"""How often it is one certain number beside those that were asked about."""


@dataclass(frozen=True, slots=True)
class Dialogue:
    """What is open between table and scorer."""

    question: Question | None = None
    last: LastCall | None = None
    recent: tuple[LastCall, ...] = ()
    """What was called by voice in the last seconds."""


@dataclass(frozen=True, slots=True)
class Step:
    """What follows from something heard, or from a question's end."""

    dialogue: Dialogue
    calls: tuple[Heard, ...] = ()
    """To be booked or done now, in this order."""
    notices: tuple[Notice, ...] = ()
    """To be said before the echo of those calls."""
    asks: Notice | None = None
    """The question that was opened."""
    then: Question | None = None
    """A question to open once the last of the calls is booked."""
    refusal: Refusal | None = None


def hear(dialogue: Dialogue, heard: Heard, game: Game) -> Step:
    """What follows from a call."""
    call, question = heard.call, dialogue.question
    if isinstance(call, calls.Answer) and question and question.kind is kinds.ANOTHER:
        # Asked whether it was one more goal, a crew that says a number means the one booked.
        return _after(_closed(dialogue, question), _plain_number(heard, call.number), game)
    if question and (again := asked_again(question, heard)):
        now, asks = open_question(dialogue, again)
        return Step(now, asks=asks)
    if question and (picked := _picked(question, heard)):
        return _pick(dialogue, question, heard, picked, game)
    if isinstance(call, calls.Yes | calls.No | calls.Answer | calls.Pick):
        return _answered(dialogue, heard, game)
    if isinstance(call, calls.Cancel):
        if question is None:
            return _fresh(dialogue, replace(heard, call=calls.Undo()), game)
        return Step(replace(dialogue, question=None), notices=(_kept(question),))
    insists = question and question.kind is kinds.START_EARLY and isinstance(call, calls.StartClock)
    if question and (insists or (question.kind in kinds.TAKEN_UP and isinstance(call, CLOCK))):
        return Step(replace(dialogue, question=None), (heard,))
    beside = question and isinstance(call, BESIDE) and question_for(heard, game) is None
    if heard.source in QUIET or beside:
        return Step(dialogue, (heard,))
    if question and (more := _completed(question, call)):
        return _more(dialogue, question, more, game)
    if question:
        return _after(_closed(dialogue, question), heard, game)
    return _fresh(dialogue, heard, game)


def answering(dialogue: Dialogue, call: Call) -> float:
    """How likely a call is as an answer to the open question: 1 at best, 0 where it is none.

    Of what was asked about, the likelier by its first sound is the likelier answer.
    """
    question = dialogue.question
    if question is None:
        return 0.0
    plain = question.wants == "yes" or len(question.choices) == 1
    if isinstance(call, calls.Yes | calls.No) and plain:
        return 1.0
    if isinstance(call, calls.No):
        return NEITHER
    named = isinstance(call, calls.Answer) and question.wants == "number"
    meant = chosen(question, call)
    return max(
        (
            p / max(question.likely)
            for choice, p in zip(question.choices, question.likely, strict=True)
            if choice in meant
        ),
        default=ANOTHER if named else 0.0,
    )


def expire(dialogue: Dialogue, now_ms: int) -> Step | None:
    """What follows when the open question has waited long enough; None while it has not."""
    question = dialogue.question
    if question is None or now_ms < question.until_ms:
        return None
    return _closed(dialogue, question)


def open_question(dialogue: Dialogue, question: Question) -> tuple[Dialogue, Notice]:
    """The dialogue with a question open, and the question in its form of a notice."""
    return replace(dialogue, question=question), _asking(question)


def booked(dialogue: Dialogue, entry: Entry) -> Dialogue:
    """The dialogue that remembers the newest field goal, and what was called just now."""
    goal, recent = last_goal(entry) or dialogue.last, with_newest(dialogue.recent, entry)
    return replace(dialogue, last=goal, recent=recent)


# --- a new call -------------------------------------------------------------------------------


def _fresh(dialogue: Dialogue, heard: Heard, game: Game) -> Step:
    """A call while nothing is open: asked about, or booked."""
    if heard.doubt and number_alone(heard.doubt) is None:
        # Which of them it was comes first: each may have a question of its own.
        return _book(dialogue, heard)
    # What would be refused is refused at once, and not asked about first.
    refused = isinstance(decide(game, heard.call, heard.at), Refusal)
    talk = isinstance(heard.call, calls.TALK)
    needs_team = isinstance(heard.call, calls.Shot) and heard.call.team is None
    if talk or needs_team or not refused:
        question = another(heard, game, dialogue.last, dialogue.recent) or question_for(heard, game)
        if question is not None:
            now, asks = open_question(dialogue, question)
            return Step(now, asks=asks)
    return _book(dialogue, heard)


def _book(dialogue: Dialogue, heard: Heard) -> Step:
    """A call that may be in doubt."""
    certain, question = doubt_question(heard, heard.at.wall_ms)
    if certain is None and question is not None:
        now, asks = open_question(dialogue, question)
        return Step(now, asks=asks)
    return Step(dialogue, () if certain is None else (certain,), then=question)


def _after(closed: Step, heard: Heard, game: Game) -> Step:
    """A new call that closes the open question on its way."""
    fresh = _fresh(closed.dialogue, heard, game)
    again = fresh.asks and closed.notices and fresh.asks.slots == closed.notices[0].slots
    return replace(
        fresh,
        calls=(*closed.calls, *fresh.calls),
        # Called once more, the same thing is asked once more; nothing was settled in between.
        notices=() if again else (*closed.notices, *fresh.notices),
    )


# --- answers ----------------------------------------------------------------------------------


def _picked(question: Question, heard: Heard) -> Call | None:
    """The one of the question's choices that a call picks."""
    choices, call = question.choices, heard.call
    if isinstance(call, calls.Yes | calls.No):
        # Two keys choose between two things; spoken, "yes" would not say which.
        if heard.source == SPOKEN and len(choices) > 1:
            return None
        nth = 0 if isinstance(call, calls.Yes) else 1
        return choices[nth] if nth < len(choices) <= 2 else None
    if question.wants != "which" and not isinstance(call, calls.Pick):
        return None
    meant = chosen(question, call)
    return meant[0] if len(meant) == 1 else None


def _pick(dialogue: Dialogue, question: Question, heard: Heard, call: Call, game: Game) -> Step:
    """What was picked, as it was called at first; it may need an answer of its own."""
    closed = replace(dialogue, question=None)
    return _fresh(closed, replace(question.heard or heard, call=call, doubt=None), game)


def _answered(dialogue: Dialogue, heard: Heard, game: Game) -> Step:
    question, call = dialogue.question, heard.call
    if question is None:
        return Step(dialogue, refusal=Refusal(NOTHING_ASKED))
    if isinstance(call, calls.No):
        return _closed(dialogue, question)
    if isinstance(call, calls.Yes) and question.wants == "yes":
        closed = replace(dialogue, question=None)
        if question.heard is None:
            agreed = question.kind.agreed
            return Step(closed, notices=(Notice(agreed),) if agreed else ())
        return _book(closed, question.heard)
    if isinstance(call, calls.Answer):
        if question.wants == "number":
            done = _with_number(question, heard, call.number)
            return Step(replace(dialogue, question=None), (done,))
        if more := _completed(question, calls.Number(call.number)):
            return _more(dialogue, question, more, game)
    return Step(dialogue, refusal=Refusal(NOT_AN_ANSWER, slots={"wants": question.wants}))


def _with_number(question: Question, heard: Heard, number: str) -> Heard:
    """The call that was waiting for its number, or the number for what was booked without it."""
    held = question.heard
    if held is None:
        return _plain_number(heard, number)
    return replace(held, call=with_value(held.call, question.slot, number))


def _plain_number(heard: Heard, number: str) -> Heard:
    return replace(heard, call=calls.Number(number))


def _completed(question: Question, piece: Call) -> Question | None:
    """The question with a piece added to the call it is about, if the piece belongs to it."""
    held = question.heard.call if question.heard else None
    if question.kind is kinds.TEAM and isinstance(piece, calls.MakeTeam):
        return _with_piece(question, "team", piece.team)
    if question.kind is kinds.BEFORE_HORN and isinstance(held, calls.Foul):
        if isinstance(piece, calls.Number) and held.number is None:
            return _with_piece(question, "number", piece.number)
        if isinstance(piece, calls.SetAward):
            return _with_piece(question, "award", piece.award)
    return None


def _with_piece(question: Question, slot: str, value: object) -> Question:
    heard, otherwise = (
        each and replace(each, call=with_value(each.call, slot, value))
        for each in (question.heard, question.otherwise)
    )
    return replace(question, heard=heard, otherwise=otherwise)


def _more(dialogue: Dialogue, question: Question, more: Question, game: Game) -> Step:
    """The question asked again with what is now known, or settled where that was all."""
    if more.wants == "team" and more.heard:
        return _fresh(replace(dialogue, question=None), more.heard, game)
    now, asks = open_question(dialogue, replace(more, until_ms=question.until_ms + ANSWER_MS))
    return Step(now, asks=asks)


def _closed(dialogue: Dialogue, question: Question) -> Step:
    """The question ended without a yes."""
    closed = replace(dialogue, question=None)
    if question.otherwise is None:
        return Step(closed, notices=(_kept(question),))
    # What is booked after all has an echo, and needs no other word.
    return _book(closed, question.otherwise)


def _asking(question: Question) -> Notice:
    return Notice(question.kind.ask, dict(question.slots))


def _kept(question: Question) -> Notice:
    return Notice(question.kind.kept, dict(question.slots))
