"""The talk between table and scorer: a call may answer, complete or close an open question, or it
may need a question of its own before it is booked.

Pure: `hear` takes a call and the question that is open, and returns the calls to book now and the
question that is open next. The rooms behind it never learn whether a call was spoken, pressed or
read from a script.

- `step`: what is open, and what follows from something heard.
- `answers`: what a call means to the question that is open.
- `in_full`: a call that is asked about, made once more with what it lacked.
- `doubt`: one sound may have been several calls, or several numbers.
- `leaning`: what the answers tell about numbers that sound alike.
- `repeats`: the same call within seconds, one more or said twice.
- `booking_questions`: calls that are asked about whatever they sounded like.
- `follow_ups`: what is asked once a call is booked.
- `requests`: calls that are for the table itself.
- `prior`: how likely a call is before it is heard.
"""

from __future__ import annotations

from dataclasses import replace
from typing import Final

from callout.game import calls
from callout.game.decide import Decisions, Refusal
from callout.game.notices.kinds import Notice
from callout.table.speech.kinds import NOT_AN_ANSWER, NOTHING_ASKED
from callout.table.talk import question_kinds as kinds
from callout.table.talk.answers import (
    ANSWERS,
    asked_again,
    choice_of,
    completed,
    is_agreed,
    is_cancelled,
    number_of_first,
    plain_number,
    taught,
    with_more,
    with_number,
)
from callout.table.talk.booking_questions import question_for
from callout.table.talk.doubt import doubt_question, number_alone
from callout.table.talk.follow_ups import follow_up
from callout.table.talk.put_right import WALKING, described, other_half, put_right, walked
from callout.table.talk.questions import ANSWER_MS, QUIET, Heard, Question
from callout.table.talk.repeats import another, is_same_repeat, is_throw
from callout.table.talk.step import Dialogue as Dialogue
from callout.table.talk.step import Step as Step
from callout.table.talk.step import booked as booked

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
"""Calls that leave a question open; those of the clock cannot wait for its answer."""


def hear(dialogue: Dialogue, heard: Heard, decisions: Decisions) -> Step:
    """What follows from a call."""
    question = dialogue.question
    if question is None:
        return _unasked(dialogue, heard, decisions)
    if question.settled:
        return _settled(dialogue, question, heard, decisions)
    return _asked(dialogue, question, heard, decisions)


def _unasked(dialogue: Dialogue, heard: Heard, decisions: Decisions) -> Step:
    """What follows from a call while no question is open."""
    if isinstance(heard.call, ANSWERS):
        return Step(dialogue, refusal=Refusal(NOTHING_ASKED))
    if isinstance(heard.call, calls.Cancel):
        return _fresh(dialogue, replace(heard, call=calls.Undo()), decisions)
    quiet = heard.source in QUIET and not isinstance(heard.call, calls.PutRight)
    return Step(dialogue, (heard,)) if quiet else _fresh(dialogue, heard, decisions)


def _settled(dialogue: Dialogue, question: Question, heard: Heard, decisions: Decisions) -> Step:
    """What follows from a call soon after the game has answered the question by itself: an answer
    that was on its way is confirmed, and anything else is a call like any other.
    """
    call, closed = heard.call, replace(dialogue, question=None)
    held = question.heard.call if question.heard else None
    if isinstance(call, calls.Yes) and isinstance(held, calls.StartPeriod):
        # The period before it is over now; the one that was called for begins.
        return _fresh(closed, replace(heard, call=held, doubt=None), decisions)
    answer = isinstance(call, calls.Yes | calls.No | calls.EndPeriod)
    if answer or is_cancelled(question, heard):
        agreed = question.kind.agreed
        return Step(closed, notices=(Notice(agreed),) if agreed else ())
    if isinstance(call, calls.Answer):
        heard = plain_number(heard, call.number)
    return _unasked(closed, heard, decisions)


def _asked(dialogue: Dialogue, question: Question, heard: Heard, decisions: Decisions) -> Step:
    """What follows from a call while a question is open: it may answer the question, complete the
    call that it is about, leave it open, or close it.
    """
    call = heard.call
    if number := number_of_first(question, heard):
        return _closed(dialogue, number)
    if question.kind is kinds.ANOTHER and isinstance(call, calls.Answer):
        # A crew that is asked about one more goal, and says a number, means the goal booked.
        kept = _closed(dialogue, replace(question, otherwise=None))
        return _after(kept, plain_number(heard, call.number), decisions)
    if question.wants == "this" and isinstance(call, WALKING):
        return _walked(dialogue, question, heard, decisions)
    if again := asked_again(question, heard):
        return _ask(dialogue, again)
    dialogue = replace(dialogue, leaning=taught(dialogue.leaning, question, heard.call))
    closed = replace(dialogue, question=None)
    if picked := choice_of(question, heard):
        # What was picked counts from when it was called, and may need a question of its own.
        first = question.heard or heard
        return _fresh(closed, replace(first, call=picked, doubt=None), decisions)
    if isinstance(call, (calls.Answer, calls.Pick, *WALKING)):
        return _answered(dialogue, question, heard, decisions)
    if is_cancelled(question, heard):
        return Step(closed, notices=(_kept(question),))
    if is_agreed(question, call):
        return Step(closed, (heard,))
    beside = isinstance(call, BESIDE) and question_for(heard, decisions.game) is None
    if beside or heard.source in QUIET:
        return Step(dialogue, (heard,))
    if more := with_more(question, heard):
        return _more(dialogue, question, more, decisions)
    if question.kind in kinds.ENDING and isinstance(call, calls.EndPeriod | calls.StartPeriod):
        # Whether the period goes on is not said to somebody who says that it does not.
        return _fresh(closed, heard, decisions)
    if question.kind in (kinds.ANOTHER, kinds.ANOTHER_FOUL):
        third = _fresh(closed, heard, decisions)
        if is_same_repeat(question, third.dialogue.question):
            # It answers nothing: whether it is one more is still not known.
            return third
    return _after(_closed(dialogue, question), heard, decisions)


def expire(dialogue: Dialogue, now_ms: int) -> Step | None:
    """What follows from the end of the open question; None while it may still be answered."""
    question = dialogue.question
    if question is None or now_ms < question.until_ms:
        return None
    return _closed(dialogue, question)


def open_question(dialogue: Dialogue, question: Question) -> tuple[Dialogue, Notice]:
    """The dialogue with that question open, and the question as a notice."""
    return replace(dialogue, question=question), _asking(question)


# --- an entry of the past, put right ------------------------------------------------------------


def _put_right(
    dialogue: Dialogue, heard: Heard, meant: calls.PutRight, decisions: Decisions
) -> Step:
    """A description of what is wrong in the book: its line is found, or asked for."""
    found = put_right(heard, meant, decisions)
    if isinstance(found, Refusal):
        return Step(dialogue, refusal=found)
    if isinstance(found, Question):
        return _ask(dialogue, found)
    again = another(found, decisions.game, dialogue.last, dialogue.recent)
    return _ask(dialogue, again) if again else Step(dialogue, (found,))


def _walked(dialogue: Dialogue, question: Question, heard: Heard, decisions: Decisions) -> Step:
    """What follows from an answer to the question whether it is this entry."""
    match walked(question, heard, decisions.game):
        case Heard() as found:
            then = other_half(question, heard)
            return Step(replace(dialogue, question=None), (found,), then=then)
        case Question() as other:
            return _ask(dialogue, other)
        case Refusal() as refusal:
            return Step(dialogue, refusal=refusal)
    return _closed(dialogue, question)


# --- a new call -------------------------------------------------------------------------------


def _fresh(dialogue: Dialogue, heard: Heard, decisions: Decisions) -> Step:
    """A call while nothing is open: asked about, or booked."""
    if (meant := described(heard.call)) and not heard.doubt:
        return _put_right(dialogue, heard, meant, decisions)
    if heard.doubt and number_alone(heard.doubt) is None:
        # Which of the calls it was comes first: each of them may have a question of its own.
        return _book(dialogue, heard, decisions)
    # A call that would be refused is refused at once, and not asked about first; but a throw
    # without its team would be refused only until the team is known.
    needs_team = isinstance(heard.call, calls.Shot) and heard.call.team is None
    if needs_team or not decisions.refuses(heard.call, heard.at):
        game = decisions.game
        again = another(heard, game, dialogue.last, dialogue.recent)
        if question := again or question_for(heard, game):
            return _ask(dialogue, question)
    return _book(dialogue, heard, decisions)


def _book(dialogue: Dialogue, heard: Heard, decisions: Decisions | None = None) -> Step:
    """A call that needs no question before, unless it is in doubt; one may follow it."""
    certain, question = doubt_question(heard)
    if certain is None and question is not None:
        return _ask(dialogue, question)
    if certain is not None and decisions is not None:
        question = question or follow_up(certain, decisions)
        if question and question.booked and is_throw(certain, decisions):
            # The same words once more are the next throw of the same player.
            question = replace(question, booked=None)
    return Step(dialogue, () if certain is None else (certain,), then=question)


def _ask(dialogue: Dialogue, question: Question) -> Step:
    now, asks = open_question(dialogue, question)
    return Step(now, asks=asks)


def _after(closed: Step, heard: Heard, decisions: Decisions) -> Step:
    """A new call after the question that it has closed."""
    fresh = _fresh(closed.dialogue, heard, decisions)
    again = fresh.asks and closed.notices and fresh.asks.slots == closed.notices[0].slots
    return replace(
        fresh,
        calls=(*closed.calls, *fresh.calls),
        # The same call once more asks the same question: its "no" would only confuse.
        notices=() if again else (*closed.notices, *fresh.notices),
    )


# --- answers ----------------------------------------------------------------------------------


def _answered(dialogue: Dialogue, question: Question, heard: Heard, decisions: Decisions) -> Step:
    """What follows from a yes, a no, a number or a pick that names none of the choices."""
    call, closed = heard.call, replace(dialogue, question=None)
    if isinstance(call, calls.No):
        return _closed(dialogue, question)
    if isinstance(call, calls.Yes) and question.wants == "yes":
        if question.heard is None:
            agreed = question.kind.agreed
            return Step(closed, notices=(Notice(agreed),) if agreed else ())
        own = question.kind is kinds.ANOTHER_FOUL and question_for(question.heard, decisions.game)
        if own:
            # One more foul may have a question of its own, such as whether it came before the horn.
            return _ask(closed, own)
        return _book(closed, question.heard, decisions)
    if isinstance(call, calls.Answer):
        if question.wants == "number":
            whole = with_number(question, heard, call.number)
            if isinstance(whole.call, calls.PutRight):
                return _fresh(closed, whole, decisions)
            return Step(closed, (whole,))
        if more := completed(question, calls.Number(call.number)):
            return _more(dialogue, question, more, decisions)
    return Step(dialogue, refusal=Refusal(NOT_AN_ANSWER, slots={"wants": question.wants}))


def _more(dialogue: Dialogue, question: Question, more: Question, decisions: Decisions) -> Step:
    """The completed call if it lacked nothing else, or the question about it once more."""
    if more.wants == "team" and more.heard:
        closed, asks = replace(dialogue, question=None), question_for(more.heard, decisions.game)
        # That nobody is owed a throw was asked about with the team.
        known = asks is not None and asks.kind is kinds.UNOWED_THROW
        return (_book if known else _fresh)(closed, more.heard, decisions)
    return _ask(dialogue, replace(more, until_ms=question.until_ms + ANSWER_MS))


def _closed(dialogue: Dialogue, question: Question) -> Step:
    """What follows from a question that ends without a yes."""
    closed = replace(dialogue, question=None)
    if question.settled:
        return Step(closed)
    if question.otherwise is None:
        return Step(closed, notices=(_kept(question),))
    # Its echo says what was booked.
    step = _book(closed, question.otherwise)
    return replace(step, calls=(*step.calls, question.besides)) if question.besides else step


def _asking(question: Question) -> Notice:
    return Notice(question.kind.ask, dict(question.slots))


def _kept(question: Question) -> Notice:
    return Notice(question.kind.kept, dict(question.slots))
