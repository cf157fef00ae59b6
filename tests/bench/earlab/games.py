"""Moments of games in which calls are heard, since the table weighs a reading by the game."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import cache
from typing import Final

from callout.game.calls import Call, Number
from callout.game.decide import Decisions, Refusal, decide
from callout.game.fold import Entry, advance, new_game
from callout.game.profile.file import load_profile
from callout.game.state import Game, Side
from callout.game.terms import Team
from callout.language.parser import Parser
from callout.table.clock import at
from callout.table.talk.dialogue import Dialogue
from callout.table.talk.prior import prior
from callout.table.talk.questions import SPOKEN
from earlab.items import ROSTERS

Rosters = tuple[tuple[str, ...], tuple[str, ...]]
"""The numbers of home and of guest."""

OURS: Final[Rosters] = (ROSTERS[Team.HOME], ROSTERS[Team.GUEST])

LATER_MS: Final = 10_000
"""The time between two calls."""

MOMENTS: Final = (
    "tip home",
    "tip home, home two number five, guest three number eight",
    "tip home, home two, guest foul number eight shooting two, stop clock",
    "tip home, home two number four, held ball, stop clock",
    "tip home, guest two number six, guest timeout",
    "tip home, guest two number six, home sub waiting, end period",
    "",
)
"""The calls before each moment, after the clock was started; before the last one there were none,
and the clock was not started."""

WITHOUT_NUMBER: Final = tuple(
    f"tip home, {team} {call}" for team in ("home", "guest") for call in ("two", "three", "foul")
)
"""The same, with a call at the end that lacks its shirt number: only there is a number by itself a
call."""


@dataclass(frozen=True, slots=True)
class Moment:
    """A moment of a game."""

    said: tuple[str, ...]
    """The calls made before it, `LATER_MS` apart."""
    game: Game
    entries: tuple[Entry, ...]
    now_ms: int

    def may(self, call: Call) -> bool:
        """Whether the game would accept a call."""
        return not Decisions(self.game).refuses(call, at(self.game, self.now_ms))

    def prior(self, dialogue: Dialogue) -> Callable[[Call, float], float]:
        """The prior weight that the table gives to each call at this moment."""
        moment, decisions = at(self.game, self.now_ms), Decisions(self.game)
        return lambda call, _: prior(decisions, dialogue, self.entries, call, moment)


def moment_for(call: Call | None, parser: Parser, seed: int, rosters: Rosters = OURS) -> Moment:
    """A moment in which the call would be accepted; any moment if there is none, or no call."""
    moments = all_moments(parser, rosters, isinstance(call, Number))
    fitting = [each for each in moments if call is None or each.may(call)] or moments
    return fitting[seed % len(fitting)]


@cache
def all_moments(
    parser: Parser, rosters: Rosters = OURS, for_number: bool = False
) -> tuple[Moment, ...]:
    """Every moment, with its game played."""
    texts = WITHOUT_NUMBER if for_number else MOMENTS
    return tuple(_played(text, parser, rosters) for text in texts)


def _played(text: str, parser: Parser, rosters: Rosters) -> Moment:
    rules = load_profile("youth-6-minute")
    home, guest = (Side(team.value, numbers) for team, numbers in zip(Team, rosters, strict=True))
    start = game = new_game(rules, home, guest)
    entries: list[Entry] = []
    now_ms = 1_000_000
    said = ("start clock", *text.split(", ")) if text else ()
    for words in said:
        (call,) = parser.parse([*parser.wake, *words.split()]).calls  # type: ignore[union-attr]
        events = decide(game, call, at(game, now_ms))
        assert not isinstance(events, Refusal), (words, events)
        entries.append(Entry(game.entry + 1, call, SPOKEN, at(game, now_ms), events))
        game = advance(start, entries[:-1], game, entries[-1])
        now_ms += LATER_MS
    return Moment(said, game, tuple(entries), now_ms)
