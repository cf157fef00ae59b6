"""The score of a game that a team has lost without its being played out."""

from __future__ import annotations

from typing import Final

from callout.game.figures.score import both_scores, score
from callout.game.state import Forfeited, Game
from callout.game.terms import Team

DEFAULT: Final = 2
"""The winner's points in a game lost by default.

Source: FIBA 21, from memory.
"""


def official_score(game: Game, lost: Forfeited) -> tuple[int, int]:
    """Home's points and guest's as the rules set them for a forfeited game.

    The score stands where the winner leads, but not in a FIBA forfeit.
    Source: FIBA 20 and 21, NFHS 5-4, all from memory.
    """
    winner = lost.team.other
    stands = lost.default or game.profile.goals.forfeit_stands
    if stands and score(game, winner) > score(game, lost.team):
        return both_scores(game)
    points = DEFAULT if lost.default else game.profile.goals.forfeit
    return (points, 0) if winner is Team.HOME else (0, points)
