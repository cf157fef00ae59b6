"""What is booked and what is asked where one sound may have been several calls; pure."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import MISSING, fields, replace
from typing import Any, Final

from callout.game import calls
from callout.game.calls import Call
from callout.table.talk import question_kinds as kinds
from callout.table.talk.questions import ANSWER_MS, CERTAIN, Doubt, Heard, Question, with_value


def doubt_question(heard: Heard, now_ms: int) -> tuple[Heard | None, Question | None]:
    """What of a doubtful call is booked now, and what is asked about the rest.

    Where only a number is in doubt, points and fouls are booked without it, and a call that is
    nothing without its number waits for the answer; else nothing is booked before the answer.
    """
    if heard.doubt is None:
        return heard, None
    doubt, plain = heard.doubt, replace(heard, doubt=None)
    until = now_ms + ANSWER_MS
    likely = doubt.chances
    if (slot := number_alone(doubt)) is None:
        words, choices = {"words": doubt.words}, doubt.calls
        question = Question(kinds.WHICH, until, plain, None, words, "which", "", choices, likely)
        return None, question
    found: dict[str, float] = {}
    for call, p in zip(doubt.calls, likely, strict=True):
        if (number := getattr(call, slot)) is not None:
            found[number] = found.get(number, 0.0) + p
    numbers, likely = tuple(found), tuple(found.values())
    slots = {"numbers": numbers}
    # What is asked of the table books nothing to which the number could be added later.
    optional = any(f.name == slot and f.default is not MISSING for f in _fields(heard.call))
    if optional and not isinstance(heard.call, calls.Ask):
        pieces = tuple(map(calls.Number, numbers))
        question = Question(kinds.NUMBER, until, None, None, slots, "number", "", pieces, likely)
        return replace(plain, call=with_value(heard.call, slot, None)), question
    choices = tuple(with_value(heard.call, slot, number) for number in numbers)
    return None, Question(kinds.SHIRT, until, plain, None, slots, "number", slot, choices, likely)


def answers(choice: Call, call: Call) -> bool:
    """Whether a call is the answer that means this choice."""
    return call == choice or (
        isinstance(call, calls.Answer | calls.Number) and call.number in numbers_in(choice)
    )


def chosen(question: Question, call: Call) -> tuple[Call, ...]:
    """The choices of a question that a call names, or picks by their order."""
    if isinstance(call, calls.Pick):
        return question.choices[call.nth - 1 : call.nth]
    return tuple(each for each in question.choices if answers(each, call))


def picking(question: Question, said: Sequence[Call]) -> calls.Pick | None:
    """What picks that which was said, among a question's choices; None where it is none of them."""
    numbers = frozenset[str]().union(*map(numbers_in, said))
    for nth, choice in enumerate(question.choices, 1):
        piece = isinstance(choice, calls.Number) and choice.number in numbers
        if piece or choice in said:
            return calls.Pick(nth)
    return None


def asked_again(question: Question, heard: Heard) -> Question | None:
    """The question once more, where its answer is in doubt too; None where it is not.

    How likely each choice is now holds what was heard at first as well: the answer's readings were
    weighed by it before they came here.
    """
    doubt = heard.doubt
    if doubt is None or not chosen(question, doubt.calls[0]):
        return None
    heard_as = tuple(zip(doubt.calls, doubt.chances, strict=True))
    now = tuple(
        sum(p for call, p in heard_as if choice in chosen(question, call))
        for choice in question.choices
    )
    if max(now) >= CERTAIN * sum(doubt.chances):
        # "The first one" and the call itself are two readings, and one answer.
        return None
    return replace(question, until_ms=heard.at.wall_ms + ANSWER_MS, likely=now)


def number_alone(doubt: Doubt) -> str | None:
    """The field of the one number that is all the doubt there is; None where there is more."""
    return None if doubt.maybe_none else number_in_doubt(doubt.calls)


def number_in_doubt(readings: Sequence[Call]) -> str | None:
    """The field of the one shirt number in which the calls differ; None where they differ in more.

    A number may be heard in some of them and not in others.
    """
    if len({type(call) for call in readings}) != 1:
        return None
    differing = [
        f.name
        for f in _fields(readings[0])
        if len({getattr(call, f.name) for call in readings}) > 1
    ]
    return differing[0] if len(differing) == 1 and differing[0] in NUMBERS else None


NUMBERS: Final = frozenset({"number", "entering", "leaving", "home", "guest"})
"""Fields of calls that hold a shirt number."""


def numbers_in(call: Call) -> frozenset[str]:
    """The shirt numbers that a call names."""
    named = (getattr(call, f.name) for f in _fields(call) if f.name in NUMBERS)
    return frozenset(number for number in named if number is not None)


def _fields(call: Call) -> tuple[Any, ...]:
    return fields(call)  # type: ignore[arg-type]
