"""The true book of an invented game, and the five of each team who are on court."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final, Protocol, TypeVar

from callout.game.calls import Call
from callout.game.decide import Refusal, decide
from callout.game.figures.fouls import is_out
from callout.game.fold import Entry, enter
from callout.game.state import At, Game
from callout.game.terms import Team
from callout.practice.facts import SCRIPT

T = TypeVar("T")

FIVE: Final = 5
"""Players of a team on court: practice plays five against five."""


class Chance(Protocol):
    """A source of chance, such as `random.Random`."""

    def random(self) -> float:
        """A number from 0 to below 1."""


def any_of(chance: Chance, of: Sequence[T]) -> T:
    """One of them, each as likely as the others."""
    return of[int(chance.random() * len(of))]


class Truth:
    """What really happens, by the rules engine."""

    def __init__(self, start: Game, chance: Chance) -> None:
        self.game = start
        self._chance = chance
        legal = start.profile.legal_numbers()
        self._lists = {team: start.side(team).numbers or legal[: 2 * FIVE] for team in Team}
        self.court = {team: self._starters(start, team) for team in Team}

    def _starters(self, start: Game, team: Team) -> list[str]:
        starters = start.side(team).starters
        return [*starters, *(each for each in self._lists[team] if each not in starters)][:FIVE]

    def books(self, call: Call, now_ms: int) -> bool:
        """Whether the call can be booked; then it has been."""
        at = At(self.game.clock.left_at(now_ms), now_ms)
        decision = decide(self.game, call, at)
        if isinstance(decision, Refusal):
            return False
        entry = Entry(self.game.entry + 1, call, SCRIPT, at, decision)
        self.game = enter(self.game, entry, counts=True)
        return True

    def player(self, team: Team) -> str:
        """One who is on court and not out."""
        court = [each for each in self.court[team] if not is_out(self.game, team, each)]
        return any_of(self._chance, court or self._lists[team])

    def change(self, team: Team) -> None:
        """One goes in for another, those who are out first."""
        court = self.court[team]
        bench = [each for each in self._lists[team] if each not in court]
        fit = [each for each in bench if not is_out(self.game, team, each)]
        if fit:
            out = [at for at, each in enumerate(court) if is_out(self.game, team, each)]
            leaves = out[0] if out else int(self._chance.random() * len(court))
            court[leaves] = any_of(self._chance, fit)
