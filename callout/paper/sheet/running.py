"""The running score of one team, as the cells of its column.

Source: FIBA, Official Basketball Rules 2022, Appendix B.10 to B.13.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any, Final

from callout.game.figures.score import score
from callout.game.state import Adjustment, Game, Goal, Phase
from callout.game.terms import Team
from callout.words import Words

MISSING: Final = "?"
"""Stands for a number that is missing, and after one that is on no list."""


def cells(words: Words, game: Game, team: Team) -> list[dict[str, Any]]:
    """The totals that the team reached, each with its mark and the scorer's number.

    Points that the officials took away are struck from the end: their cells are free again.
    """
    found: list[dict[str, Any]] = []
    total = 0
    for line in _lines(game, team):
        points = line.points if isinstance(line, Adjustment) else line.counts
        total += points
        found = [cell for cell in found if cell["total"] < total]
        if points > 0 or (found and found[-1]["total"] < total) or (not found and total > 0):
            found.append({"total": total, **_mark(words, line), "period": line.period})
    return found


def ends(game: Game, team: Team) -> list[dict[str, int]]:
    """The total at the end of each period that is over."""
    totals, total = [], 0
    for period in range(1, periods_over(game) + 1):
        total += score(game, team, period)
        totals.append({"period": period, "total": total})
    return totals


def periods_over(game: Game) -> int:
    """How many periods have ended."""
    return game.period if game.phase in (Phase.INTERVAL, Phase.OVER) else max(0, game.period - 1)


def _lines(game: Game, team: Team) -> Iterator[Goal | Adjustment]:
    """What changed the team's score, period by period; a goal may be booked after the horn."""
    lines: list[Goal | Adjustment] = [*game.goals, *game.adjustments]
    for line in sorted(lines, key=lambda line: (line.period, line.item)):
        if line.team is team and (isinstance(line, Adjustment) or line.made):
            yield line


def _mark(words: Words, line: Goal | Adjustment) -> dict[str, str]:
    """What is drawn, and by whom: own baskets, if nobody is credited, and the officials' word."""
    if isinstance(line, Adjustment):
        return {"mark": "ruled", "by": words("by_ruling")}
    if line.number is not None:
        by = line.number
    else:
        by = words("by_own") if line.own_basket else f"{line.said or ''}{MISSING}"
    if line.free_throw:
        return {"mark": "throw", "by": by}
    return {"mark": {1: "one", 3: "three"}.get(line.points, "two"), "by": by}
