"""A call that is asked about, made once more with what it lacked; pure.

The first call is not booked yet. As a new call the second one would close the question: the first
throw would be lost, or two fouls would be booked for one.
"""

from __future__ import annotations

from dataclasses import replace

from callout.game import calls
from callout.game.terms import Team
from callout.table.talk import question_kinds as kinds
from callout.table.talk.doubt import number_in_doubt
from callout.table.talk.questions import SPOKEN, Heard, Question


def told_in_full(question: Question, heard: Heard) -> Question | None:
    """The question about a call that is made once more, with what the first one lacked: a throw
    with its team, a foul with its number or throws.
    """
    first = question.heard
    if first is None or (heard.doubt and number_in_doubt(heard.doubt.calls) is None):
        return None
    match question.kind, first.call, heard.call:
        case kinds.TEAM, calls.Shot() as held, calls.Shot(team=Team()) as call:
            same = call.made is held.made and held.number in (None, call.number)
            return replace(question, heard=replace(heard, at=first.at)) if same else None
        case kinds.BEFORE_HORN, calls.Foul() as held, calls.Foul() as call:
            if _bare(call) == _bare(held):
                return _foul_in_full(question, first, heard, held, call)
    return None


def _foul_in_full(
    question: Question, first: Heard, heard: Heard, held: calls.Foul, call: calls.Foul
) -> Question | None:
    """The question about the foul that was called first, with the number and throws of the second;
    None where another number was called, or the same key pressed twice.
    """
    was, now = _numbers(first), _numbers(heard)
    both = was & now
    if was != {None} and not both:
        return None
    number, doubt = (call.number, heard.doubt) if was == {None} else (held.number, first.doubt)
    if len(both) == 1:
        (number,), doubt = both, None
    whole = replace(held, number=number, award=call.award or held.award)
    if whole == held and heard.source != SPOKEN:
        # A crew repeats aloud what was called; nobody does so by a key.
        return None
    told = replace(first, call=whole, doubt=doubt)
    return replace(
        question, heard=told, otherwise=replace(told, call=replace(whole, before_horn=False))
    )


def _numbers(heard: Heard) -> frozenset[str | None]:
    """The numbers that a foul may have been called with."""
    readings = heard.doubt.calls if heard.doubt else (heard.call,)
    return frozenset(call.number for call in readings if isinstance(call, calls.Foul))


def _bare(foul: calls.Foul) -> calls.Foul:
    """A foul without what may be told later, or was asked already."""
    return replace(foul, number=None, award=None, before_horn=None)
