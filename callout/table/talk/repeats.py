"""The same call again within seconds: one more, or the crew saying the first one aloud; pure."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Final

from callout.game import calls
from callout.game.calls import Call
from callout.game.decide import Decisions, Refusal
from callout.game.events import FreeThrow, Scored
from callout.game.figures.score import lines_of
from callout.game.fold import Entry
from callout.game.state import Game, Goal
from callout.table.talk import question_kinds as kinds
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
    """The calls that may be repeated after this entry."""
    now_ms = entry.at.wall_ms
    kept = tuple(each for each in recent if now_ms - each.wall_ms <= REPEAT_MS)
    newest = _last(entry)
    return (*kept, newest) if newest.spoken else kept


def _last(entry: Entry) -> LastCall:
    return LastCall(entry.call, entry.at.wall_ms, entry.source == SPOKEN, entry.id)


def another(
    heard: Heard, game: Game, goal: LastCall | None, recent: Sequence[LastCall]
) -> Question | None:
    """The question whether a call is one more of the same, or the first one repeated."""
    call = heard.call
    if heard.source != SPOKEN:
        return None
    if isinstance(call, calls.Score):
        return _another_goal(heard, game, call, goal) if goal else None
    if not isinstance(call, (calls.Foul, *ONCE_MORE)) or not _repeated(heard, game, recent):
        return None
    if isinstance(call, calls.Foul):
        slots = {"team": call.team, "number": call.number}
        return Question(kinds.ANOTHER_FOUL, until_ms(heard), heard, None, slots)
    return Question(kinds.ONCE_MORE, until_ms(heard), heard)


def _repeated(heard: Heard, game: Game, recent: Sequence[LastCall]) -> bool:
    """Whether the same call was made within `REPEAT_MS` and has not been taken back."""
    return any(
        _is_same(heard.call, each.call)
        and SAID_MS <= heard.at.wall_ms - each.wall_ms <= REPEAT_MS
        and each.entry not in game.taken_back
        for each in recent
    )


def _is_same(call: Call, other: Call) -> bool:
    """Whether both are one goal or foul, even if only one of them has its number or throws."""
    return _bare(call) == _bare(other)


def _bare(call: Call) -> Call:
    match call:
        case calls.Score():
            return replace(call, number=None)
        case calls.Foul():
            return replace(call, award=None)
        case calls.Correct():
            # The same words again would find another line, since the first is right by now.
            return replace(call, item=0)
        case _:
            return call


def _another_goal(heard: Heard, game: Game, call: calls.Score, last: LastCall) -> Question | None:
    stood = not game.clock.running or last.entry < game.live_since
    if stood or last.entry in game.taken_back:
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
