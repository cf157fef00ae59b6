"""What a call means to an open question: its answer, a part of the call that it is about, or
nothing; pure.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import Final

from callout.game import calls
from callout.game.calls import Call
from callout.table.talk import question_kinds as kinds
from callout.table.talk.costs import CERTAIN
from callout.table.talk.doubt import number_in_doubt, numbers_in
from callout.table.talk.in_full import told_in_full
from callout.table.talk.leaning import Leaning, leaned
from callout.table.talk.questions import (
    QUIET,
    SPOKEN,
    Heard,
    Question,
    until_ms,
    with_value,
)

ANSWERS: Final = (
    calls.Yes, calls.No, calls.Answer, calls.Pick, calls.Earlier, calls.Later,
)  # fmt: skip
"""Calls that mean nothing without a question."""

CLOCK: Final = (calls.SetClock, calls.StartClock, calls.StopClock)
"""Calls that put the clock right; they answer whether the game goes on as the journal has it."""

OFFERED: Final = (kinds.EXPIRED, kinds.SUSPECT, kinds.TECHNICAL, *kinds.TAKEN_UP)
"""Kinds of question that the table opens by itself: nobody has called what they hold."""

NEITHER: Final = 0.1
"""Share of the answers to "which?" that are "no": it was none of the choices."""

ANOTHER: Final = 0.001
"""Probability that the answer is one particular number that was not offered."""


def answering(question: Question | None, call: Call) -> float:
    """How likely a call is as an answer to a question: 1 at best, 0 if it answers nothing.

    A choice that was likelier by its first sound is likelier to be the answer, too.
    """
    if question is None:
        return 0.0
    if question.settled:
        return 1.0 if isinstance(call, calls.Yes | calls.No) else 0.0
    if question.wants == "this" and isinstance(call, calls.Earlier | calls.Later):
        return 1.0
    plain = question.wants in ("yes", "this") or len(question.choices) == 1
    if isinstance(call, calls.Yes | calls.No) and plain:
        return 1.0
    if question.wants == "this":
        # Its choices are asked about one by one, and none of them is named.
        return 0.0
    if isinstance(call, calls.No):
        return NEITHER
    named = isinstance(call, calls.Answer) and question.wants == "number"
    meant = chosen(question, call)
    # Entries that are asked about one by one are no readings of a sound, and have no shares.
    shares = zip(question.choices, question.likely, strict=True) if question.likely else ()
    return max(
        (p / max(question.likely) for choice, p in shares if choice in meant),
        default=ANOTHER if named else 0.0,
    )


def can_answer(question: Question | None, call: Call) -> bool:
    """Whether a call answers a question; True for a call that is no answer.

    Yes and no may choose between two things, too (`choice_of`).
    """
    if not isinstance(call, ANSWERS):
        return True
    two = question is not None and len(question.choices) == 2
    return answering(question, call) > 0 or (two and isinstance(call, calls.Yes | calls.No))


def _means(choice: Call, call: Call) -> bool:
    """Whether a call, said as an answer, means this choice."""
    return call == choice or (
        isinstance(call, calls.Answer | calls.Number) and call.number in numbers_in(choice)
    )


def is_said_whole(question: Question, call: Call) -> bool:
    """Whether a call is the one that was booked without its number, said again with the number.

    A call heard a second time is an answer that comes naturally, and not one more of the same.
    """
    booked = question.booked
    if booked is None or type(call) is not type(booked) or not getattr(call, question.slot):
        return False
    bare = with_value(call, question.slot, None)
    if isinstance(bare, calls.Foul) and isinstance(booked, calls.Foul) and bare.before_horn is None:
        # Whether it came before the horn has been asked already.
        bare = replace(bare, before_horn=booked.before_horn)
    return bare == booked


def chosen(question: Question, call: Call) -> tuple[Call, ...]:
    """The choices of a question that an answer names, or picks by their order."""
    if isinstance(call, calls.Pick):
        return question.choices[call.nth - 1 : call.nth]
    if is_said_whole(question, call):
        call = calls.Number(getattr(call, question.slot))
    return tuple(each for each in question.choices if _means(each, call))


def picking(question: Question, said: Sequence[Call]) -> calls.Pick | None:
    """The answer that picks what was really said; None where that is none of the choices."""
    numbers = frozenset[str]().union(*map(numbers_in, said))
    for nth, choice in enumerate(question.choices, 1):
        piece = isinstance(choice, calls.Number) and choice.number in numbers
        if piece or choice in said:
            return calls.Pick(nth)
    return None


def choice_of(question: Question, heard: Heard) -> Call | None:
    """The one choice of the question that a call picks, if it picks one."""
    choices, call = question.choices, heard.call
    if isinstance(call, calls.Yes | calls.No):
        # Two keys, yes and no, choose between two things; a spoken "yes" does not say which.
        if heard.source == SPOKEN and len(choices) > 1:
            return None
        nth = 0 if isinstance(call, calls.Yes) else 1
        return choices[nth] if nth < len(choices) <= 2 else None
    picks = isinstance(call, calls.Pick) or is_said_whole(question, call)
    if question.wants != "which" and not picks:
        return None
    meant = chosen(question, call)
    return meant[0] if len(meant) == 1 else None


def asked_again(question: Question, heard: Heard) -> Question | None:
    """The question once more, if its answer is in doubt as well; else None.

    The choices keep what was heard at first: the readings of the answer have been weighed by it
    (`answering`).
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
        # "The first one" and the call itself are two readings of one answer.
        return None
    return replace(question, until_ms=until_ms(heard), likely=now)


def taught(leaning: Leaning, question: Question, call: Call) -> Leaning:
    """What the answer to a question tells of this voice, if it was asked which number was said."""
    meant, choices = chosen(question, call), question.choices
    slot = number_in_doubt(choices) if len(choices) > 1 and question.likely else None
    if slot is None or len(meant) != 1:
        return leaning
    heard_as = zip(choices, question.likely, strict=True)
    shares = {getattr(choice, slot): p for choice, p in heard_as}
    # A call without its number is no number that sounds like another.
    if None in shares:
        return leaning
    return leaned(leaning, shares, getattr(meant[0], slot))


def is_agreed(question: Question, call: Call) -> bool:
    """Whether a call says by itself what the question asks, and is then simply booked."""
    insists = question.kind is kinds.START_EARLY and isinstance(call, calls.StartClock)
    held = question.heard.call if question.heard else None
    same = question.kind is kinds.TECHNICAL and _same_foul(held, call)
    return insists or same or (question.kind in kinds.TAKEN_UP and isinstance(call, CLOCK))


def is_cancelled(question: Question, heard: Heard) -> bool:
    """Whether a call drops what the question holds.

    "Undo that" means what was called last. While that waits for an answer, no older entry is meant.
    """
    if isinstance(heard.call, calls.Cancel):
        return True
    if not isinstance(heard.call, calls.Undo) or heard.source in QUIET:
        return False
    held = None if question.kind in OFFERED else question.heard
    # Who is asked whether to undo once more, and says "undo that", has not changed his mind.
    return held is not None and not isinstance(held.call, calls.Undo)


def _same_foul(asked: Call | None, call: Call) -> bool:
    """Whether a foul that is called is the one that was asked about, perhaps with its award."""
    if not isinstance(asked, calls.Foul) or not isinstance(call, calls.Foul):
        return False
    return (call.team, call.foul, call.on) == (asked.team, asked.foul, asked.on)


def with_number(question: Question, heard: Heard, number: str) -> Heard:
    """The call that was waiting for its number, or the number for what was booked without it."""
    held = question.heard
    if held is None:
        return plain_number(heard, number)
    return replace(held, call=with_value(held.call, question.slot, number))


def plain_number(heard: Heard, number: str) -> Heard:
    """A number by itself, called as the answer was."""
    return replace(heard, call=calls.Number(number))


def number_of_first(question: Question, heard: Heard) -> Question | None:
    """The question whether it is one more, with another number for the first one in place of the
    number that came with the second; None where no number was said, or none is lacking.
    """
    call, told = heard.call, question.otherwise
    if told is None or heard.doubt or not isinstance(call, calls.Answer | calls.Number):
        return None
    if not isinstance(told.call, calls.LastNumber):
        return None
    return replace(question, otherwise=replace(told, call=replace(told.call, number=call.number)))


def with_more(question: Question, heard: Heard) -> Question | None:
    """The question about the call with what a later one adds: a piece, or the call in full."""
    return completed(question, heard.call) or told_in_full(question, heard)


def completed(question: Question, piece: Call) -> Question | None:
    """The question about the call with a piece added, if that call lacks such a piece."""
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
