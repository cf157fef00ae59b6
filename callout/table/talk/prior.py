"""How likely a call is before it is heard: what the game and the talk say of it; pure."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from callout.game import calls
from callout.game.calls import Call
from callout.game.decide import Decisions
from callout.game.events import TakenBack
from callout.game.fold import Entry
from callout.game.state import At, Game
from callout.table.talk.dialogue import Dialogue, answering
from callout.table.talk.repeats import was_called

EXPECTED: Final = 150.0
"""The answer to the open question, beside any one call that is none: one of a few things that it
may be, for one of some hundred."""

REFUSED: Final = 0.02
"""A call that the game refuses now: one may start a clock that runs already, but seldom does."""

STRANGE: Final = 0.1
"""A number that is not on the team's list, beside one that is: it may be so, but seldom is."""

UNDONE: Final = 0.2
"""A call that was taken back within the last seconds: it was probably heard in error."""

UNDONE_MS: Final = 15_000


def prior(
    decisions: Decisions, dialogue: Dialogue, entries: Sequence[Entry], call: Call, moment: At
) -> float:
    """How many times likelier a call is than one of which nothing is known."""
    if answer := answering(dialogue, call):
        return EXPECTED * answer
    if isinstance(call, calls.Yes | calls.Answer | calls.Pick):
        return REFUSED
    if decisions.refuses(call, moment):
        # "Stop clock" said twice is no "start clock", though only that may be called now.
        return 1.0 if was_called(dialogue.recent, call, moment.wall_ms) else REFUSED
    if _is_strange(decisions.game, call):
        return STRANGE
    return UNDONE if _just_undone(entries, call, moment) else 1.0


def _is_strange(game: Game, call: Call) -> bool:
    """Whether it books something for a number that its team does not have."""
    if not isinstance(call, calls.Score | calls.Foul) or call.number is None:
        return False
    return not game.side(call.team).has(call.number)


def _just_undone(entries: Sequence[Entry], call: Call, moment: At) -> bool:
    newest = entries[-1] if entries else None
    if newest is None or moment.wall_ms - newest.at.wall_ms > UNDONE_MS:
        return False
    undone = {event.entry for event in newest.events if isinstance(event, TakenBack)}
    return any(entry.id in undone and entry.call == call for entry in entries)
