"""The same call again within seconds: one more, or the crew saying the first one aloud; pure.

A call that comes again with more in it, a number or throws, may be the first one told in full: if
it is none more, what it adds goes to the first one.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Final

from callout.game import calls
from callout.game.calls import Call
from callout.game.decide import Decisions, Refusal
from callout.game.events import FreeThrow, Scored
from callout.game.figures.score import entry_of, lines_of
from callout.game.fold import Entry, turned_by_clock
from callout.game.state import Charge, Game, Goal
from callout.table.talk import question_kinds as kinds
from callout.table.talk.booking_questions import NUMBER_MS
from callout.table.talk.questions import SPOKEN, Heard, Question, until_ms

# Source for these: the design of this table; no rule book speaks of them.
REPEAT_MS: Final = 4_000
"""The same call within this time may be the crew repeating it aloud."""
SAID_MS: Final = 300
"""Nobody says a call twice within this time; in a script, no time passes between two lines."""

ONCE_MORE: Final = (
    calls.AdjustClock,
    calls.Correct,
    calls.DoubleFoul,
    calls.PutBack,
    calls.SwitchArrow,
    calls.Timeout,
    calls.Undo,
)
"""Calls, beside goals and fouls, that change the book each time they are made.

Free throws are left out: whoever waits until both are thrown calls two in one breath.
"""


@dataclass(frozen=True, slots=True)
class LastCall:
    """A booked call, kept to recognize its repeat."""

    call: Call
    wall_ms: int
    spoken: bool
    entry: int
    by_clock: bool = False
    """Whether nobody called it: the clock turned the arrow as its throw-in ended."""


def last_goal(entry: Entry) -> LastCall | None:
    """The field goal that an entry booked, if it booked one."""
    return _last(entry) if any(isinstance(event, Scored) for event in entry.events) else None


def is_throw(heard: Heard, decisions: Decisions) -> bool:
    """Whether a call is a free throw; one of one point may be a field goal."""
    decision = decisions.on(heard.call, heard.at)
    made = () if isinstance(decision, Refusal) else decision
    return any(isinstance(event, FreeThrow) for event in made)


def was_called(recent: Sequence[LastCall], call: Call, now_ms: int) -> bool:
    """Whether the same call was made by voice within `REPEAT_MS`."""
    return any(each.call == call and now_ms - each.wall_ms <= REPEAT_MS for each in recent)


def with_newest(recent: Sequence[LastCall], entry: Entry) -> tuple[LastCall, ...]:
    """The calls that may be repeated after this entry, or told in full."""
    now_ms = entry.at.wall_ms
    kept = tuple(each for each in recent if now_ms - each.wall_ms <= NUMBER_MS)
    newest = _turn_by_clock(entry) or _last(entry)
    return (*kept, newest) if newest.spoken or newest.by_clock else kept


def _turn_by_clock(entry: Entry) -> LastCall | None:
    """The turn of the arrow that the clock made, as a call to turn it."""
    if not turned_by_clock(entry):
        return None
    return LastCall(calls.SwitchArrow(), entry.at.wall_ms, False, entry.id, by_clock=True)


def _last(entry: Entry) -> LastCall:
    return LastCall(entry.call, entry.at.wall_ms, entry.source == SPOKEN, entry.id)


def another(
    heard: Heard, game: Game, goal: LastCall | None, recent: Sequence[LastCall]
) -> Question | None:
    """The question whether a call is one more of the same, or the first one repeated."""
    call = heard.call
    if _is_turned_already(heard, game, recent):
        return Question(kinds.ARROW_TURNED, until_ms(heard), heard, slots={"team": game.arrow})
    if heard.source != SPOKEN:
        return None
    if isinstance(call, calls.Score):
        return _another_goal(heard, game, call, goal) if goal else None
    if isinstance(call, calls.Foul):
        return _another_foul(heard, game, call, recent)
    repeated = isinstance(call, ONCE_MORE) and _repeated(heard, game, recent)
    return Question(kinds.ONCE_MORE, until_ms(heard), heard) if repeated else None


def _is_turned_already(heard: Heard, game: Game, recent: Sequence[LastCall]) -> bool:
    """Whether a person switches the arrow just after the clock has turned it.

    The arrow that stands on the table is turned then, too, and whoever does it calls it, by voice,
    by a key or by a pedal.
    """
    if not isinstance(heard.call, calls.SwitchArrow) or game.throw_in is not None:
        return False
    turns = (each for each in recent if each.by_clock and each.entry not in game.taken_back)
    return any(_was_within(heard, each, NUMBER_MS) for each in turns)


def is_same_repeat(question: Question, other: Question | None) -> bool:
    """Whether two questions ask of the same call whether it is one more."""
    if other is None or question.heard is None or other.heard is None:
        return False
    return (question.kind, question.heard.call) == (other.kind, other.heard.call)


def _repeated(heard: Heard, game: Game, recent: Sequence[LastCall]) -> LastCall | None:
    """The same call, made within `REPEAT_MS` and not taken back."""
    found = (
        each
        for each in reversed(recent)
        if _is_same(heard.call, each.call)
        and _was_within(heard, each, REPEAT_MS)
        and each.entry not in game.taken_back
    )
    return next(found, None)


def _was_within(heard: Heard, first: LastCall, ms: int) -> bool:
    return SAID_MS <= heard.at.wall_ms - first.wall_ms <= ms


def _is_same(call: Call, other: Call) -> bool:
    """Whether both are one goal or foul, even if only one of them has its number or throws."""
    return _bare(call) == _bare(other)


def _bare(call: Call) -> Call:
    match call:
        case calls.Score():
            return replace(call, number=None)
        case calls.Foul():
            return replace(call, award=None, before_horn=None)
        case calls.Correct():
            # The same words again would find another line, since the first is right by now.
            return replace(call, item=0)
        case _:
            return call


def _another_foul(
    heard: Heard, game: Game, call: calls.Foul, recent: Sequence[LastCall]
) -> Question | None:
    """The question whether it is another foul; what it adds to the first one goes there by a no."""
    newest = next((charge for charge in reversed(game.charges) if charge.team is call.team), None)
    first = _repeated(heard, game, recent) or _told_in_full(heard, game, call, newest, recent)
    if first is None or not lines_of(game, first.entry):
        return None
    slots = {"team": call.team, "number": call.number}
    question = Question(kinds.ANOTHER_FOUL, until_ms(heard), heard, None, slots)
    if newest is None or entry_of(newest.item) != first.entry or heard.doubt:
        return question
    otherwise, besides, *_ = (*_added(heard, game, call, newest), None, None)
    return replace(question, otherwise=otherwise, besides=besides)


def _told_in_full(
    heard: Heard,
    game: Game,
    call: calls.Foul,
    line: Charge | None,
    recent: Sequence[LastCall],
) -> LastCall | None:
    """The team's newest foul, if it was called without its number and this is it with the number.

    The number comes as late as one called by itself: the official gives it at the table. Once the
    clock has been started since, it is another foul.
    """
    if call.number is None or line is None or (line.number or line.said) not in (None, call.number):
        return None
    first = next((each for each in recent if each.entry == entry_of(line.item)), None)
    if first is None or first.entry < game.live_since or not _was_within(heard, first, NUMBER_MS):
        return None
    return first if _is_same(replace(call, number=None), first.call) else None


def _added(heard: Heard, game: Game, call: calls.Foul, line: Charge) -> tuple[Heard, ...]:
    """What the foul told again adds to the one that is booked: its number, its throws."""
    found: list[Call] = []
    if call.number and line.number is None and game.side(call.team).has(call.number):
        found.append(calls.LastNumber(call.team, "foul", call.number))
    if call.award not in (None, line.award):
        found.append(calls.SetAward(call.award, call.team.other))
    return tuple(replace(heard, call=each) for each in found)


def _another_goal(heard: Heard, game: Game, call: calls.Score, last: LastCall) -> Question | None:
    stood = not game.clock.running or last.entry < game.live_since
    if stood or not lines_of(game, last.entry):
        return None
    if not last.spoken or not _is_same(call, last.call):
        return None
    if not 0 <= heard.at.wall_ms - last.wall_ms <= REPEAT_MS:
        return None
    slots = {"team": call.team, "points": call.points}
    number = _its_number(heard, game, call, last)
    return Question(kinds.ANOTHER, until_ms(heard), heard, number, slots)


def _its_number(heard: Heard, game: Game, call: calls.Score, last: LastCall) -> Heard | None:
    """The repeated call as the number of the first one, if that was left out."""
    lacking = any(isinstance(g, Goal) and g.number is None for g in lines_of(game, last.entry))
    if call.number is None or heard.doubt or not lacking:
        return None
    if not game.side(call.team).has(call.number):
        return None
    return replace(heard, call=calls.LastNumber(call.team, "basket", call.number))
