"""What stands beside a line of the book: lines alike, throws of one foul, near calls; pure."""

from __future__ import annotations

import math
from collections.abc import Sequence

from callout.game.figures.score import find
from callout.game.put_right import Line
from callout.game.state import Charge, Game, Goal
from callout.game.terms import Award


def like_lines(game: Game, line: Line) -> list[Line]:
    """The lines of a team that the same call would make, oldest first, but for the number."""
    if isinstance(line, Goal):
        kind = (line.team, line.points, False)
        return [goal for goal in game.goals if (goal.team, goal.points, goal.free_throw) == kind]
    if isinstance(line, Charge):
        return [
            c for c in game.charges if (c.team, c.foul, c.on) == (line.team, line.foul, line.on)
        ]
    return [each for each in game.timeouts if each.team is line.team]


def over_award(game: Game, line: Goal) -> bool:
    """Whether more throws are booked than were awarded for the foul of this one."""
    fouls = sorted(c.item for c in game.charges if c.team is not line.team)
    before = [item for item in fouls if item < line.item]
    foul = find(game, before[-1]) if before else None
    if not isinstance(foul, Charge) or foul.award is Award.NONE:
        return False
    end = next((item for item in fouls if item > line.item), math.inf)
    thrown = (g.item for g in game.goals if g.free_throw and g.team is line.team)
    return sum(foul.item < item < end for item in thrown) > foul.award.throws


def within(gap_ms: int, steps: Sequence[tuple[int, float]]) -> float:
    """The factor of the first step that the time does not go beyond; 1 beyond the last."""
    return next((factor for most_ms, factor in steps if gap_ms <= most_ms), 1.0)
