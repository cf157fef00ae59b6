"""The figures of the book that are compared with another book's."""

from __future__ import annotations

from dataclasses import dataclass

from callout.game.figures.fouls import player_fouls, team_fouls
from callout.game.figures.score import score
from callout.game.figures.timeouts import timeouts_left
from callout.game.state import Game
from callout.game.terms import Figure, Team


@dataclass(frozen=True, slots=True)
class Compared:
    """Which figure is compared."""

    team: Team
    figure: Figure = Figure.SCORE
    number: str | None = None
    period: int | None = None
    """The period that a team's points are of; None for the whole game."""


def booked(game: Game, what: Compared, left_tenths: int) -> int:
    """What the book has; `left_tenths` is what the clock shows now."""
    number = what.number or ""
    match what.figure:
        case Figure.SCORE:
            return score(game, what.team, what.period)
        case Figure.POINTS:
            mine = (g for g in game.goals if (g.team, g.number) == (what.team, number))
            return sum(goal.counts for goal in mine)
        case Figure.FOULS:
            return player_fouls(game, what.team, number)
        case Figure.TEAM_FOULS:
            return team_fouls(game, what.team)
    return max(0, timeouts_left(game, what.team, left_tenths))
