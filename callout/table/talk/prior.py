"""How likely a call is before it is heard, by the state of the game and of the talk; pure.

Weights multiply the likelihood of the sound; 1.0 is neutral.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from callout.game import calls
from callout.game.calls import Call
from callout.game.decide import Decisions
from callout.game.events import TakenBack
from callout.game.figures.score import completed_by
from callout.game.fold import Entry
from callout.game.state import At, Game
from callout.table.talk import leaning
from callout.table.talk.answers import answering
from callout.table.talk.answers import can_answer as can_answer
from callout.table.talk.booking_questions import is_fresh
from callout.table.talk.dialogue import Dialogue
from callout.table.talk.repeats import was_called

EXPECTED: Final = 150.0
"""Weight of an answer to the open question: it is one of a few answers, beside some hundred other
calls.
"""

REFUSED: Final = 0.02
"""Weight of a call that the game would refuse: people seldom start a clock that is running."""

STRANGE: Final = 0.1
"""Weight of a number that is not on the team's list: such players exist, but are rare."""

ASIDE: Final = 0.37
"""Weight of what is seldom called and books no play: a question, a mark, the next crew. One nat.

In 52 minutes of talk near the microphone 4 of 13 false calls were such ("thank you" as "hand
over"), all heard by less than one nat too well; of 34 questions that were meant and heard in six
voices at 12 and 6 dB none was.
"""

COMPLETING: Final = 20.0
"""Weight of a shirt number called by itself just after a call that lacks one: "home two", "number
five". Few other calls are as likely then.

Of 50 such numbers, each heard clean and at 18, 12 and 6 dB, 161 of 200 are right at once with this
weight and 13 are lost; with a weight of 1.0, 156 and 17. None is wrong.
"""

UNDONE: Final = 0.2
"""Weight of a call that was taken back within `UNDONE_MS`: it was probably misheard."""

UNDONE_MS: Final = 15_000
"""A call that is taken back later than this may have been heard rightly."""


def prior(
    decisions: Decisions, dialogue: Dialogue, entries: Sequence[Entry], call: Call, moment: At
) -> float:
    """The prior weight of a call made at that moment."""
    if answer := answering(dialogue.question, call):
        return EXPECTED * answer
    if isinstance(call, calls.Yes | calls.Answer | calls.Pick):
        return REFUSED
    if decisions.refuses(call, moment):
        # A repeated "stop clock" must not be heard as "start clock", the only one possible now.
        return 1.0 if was_called(dialogue.recent, call, moment.wall_ms) else REFUSED
    return leaning.weight(dialogue.leaning, call) * _likely(decisions.game, entries, call, moment)


def _likely(game: Game, entries: Sequence[Entry], call: Call, moment: At) -> float:
    """The weight of a call that is no answer and would not be refused."""
    if _is_strange(game, call):
        return STRANGE
    if isinstance(call, calls.Ask | calls.Mark | calls.HandOver):
        return ASIDE
    weight = _completing(game, call, moment) if isinstance(call, calls.Number) else 1.0
    return UNDONE * weight if _just_undone(entries, call, moment) else weight


def _is_strange(game: Game, call: Call) -> bool:
    """Whether it books something for a number that is not on its team's list."""
    if not isinstance(call, calls.Score | calls.Foul) or call.number is None:
        return False
    return not game.side(call.team).has(call.number)


def _completing(game: Game, call: calls.Number, moment: At) -> float:
    """The weight of a number that is called by itself, and would complete an earlier call."""
    line = completed_by(game, call.number)
    if line is None or not is_fresh(game, line, moment.wall_ms):
        return 1.0
    return COMPLETING * (1.0 if game.side(line.team).has(call.number) else STRANGE)


def _just_undone(entries: Sequence[Entry], call: Call, moment: At) -> bool:
    newest = entries[-1] if entries else None
    if newest is None or moment.wall_ms - newest.at.wall_ms > UNDONE_MS:
        return False
    undone = {event.entry for event in newest.events if isinstance(event, TakenBack)}
    return any(entry.id in undone and entry.call == call for entry in entries)
