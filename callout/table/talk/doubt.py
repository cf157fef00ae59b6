"""One sound that may have been several calls: what is booked of it, and what is asked; pure."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import MISSING, fields, replace
from typing import Any, Final

from callout.game import calls
from callout.game.calls import Call
from callout.table.talk import question_kinds as kinds
from callout.table.talk.questions import Doubt, Heard, Question, until_ms, with_value


def doubt_question(heard: Heard) -> tuple[Heard | None, Question | None]:
    """The call to book now, and the question to ask, of a call that may be in doubt.

    Where only a shirt number is in doubt, points and fouls are booked without it, and a call that
    needs the number waits for the answer. Where more is in doubt, nothing is booked before it.
    """
    if heard.doubt is None:
        return heard, None
    doubt, plain, until = heard.doubt, replace(heard, doubt=None), until_ms(heard)
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
    # A call to the table books nothing that the number could be added to.
    optional = any(f.name == slot and f.default is not MISSING for f in _fields(heard.call))
    if optional and not isinstance(heard.call, calls.TALK):
        pieces = tuple(map(calls.Number, numbers))
        bare = with_value(heard.call, slot, None)
        question = Question(kinds.NUMBER, until, None, None, slots, "number", slot, pieces, likely)
        return replace(plain, call=bare), replace(question, booked=bare)
    choices = tuple(with_value(heard.call, slot, number) for number in numbers)
    return None, Question(kinds.SHIRT, until, plain, None, slots, "number", slot, choices, likely)


def number_alone(doubt: Doubt) -> str | None:
    """The field of the shirt number that alone is in doubt; None where more is."""
    return None if doubt.maybe_none else number_in_doubt(doubt.calls)


def number_in_doubt(readings: Sequence[Call]) -> str | None:
    """The field of the shirt number that alone differs between the calls; else None.

    Some of them may have a number there and others none.
    """
    if len({type(call) for call in readings}) != 1:
        return None
    differing = [
        f.name
        for f in _fields(readings[0])
        if len({getattr(call, f.name) for call in readings}) > 1
    ]
    return differing[0] if len(differing) == 1 and differing[0] in NUMBERS else None


NUMBERS: Final = frozenset({"number", "to_number", "entering", "leaving", "home", "guest"})
"""Fields of calls that hold a shirt number."""


def numbers_in(call: Call) -> frozenset[str]:
    """The shirt numbers that a call names."""
    named = (getattr(call, f.name) for f in _fields(call) if f.name in NUMBERS)
    return frozenset(number for number in named if number is not None)


def _fields(call: Call) -> tuple[Any, ...]:
    return fields(call)  # type: ignore[arg-type]
