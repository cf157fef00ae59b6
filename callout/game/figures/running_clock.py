"""Leagues whose clock runs through whistles, leads after which it does, and target scores."""

from __future__ import annotations

from callout.game.figures.score import is_overtime, score
from callout.game.profile.sections import Mercy
from callout.game.state import Adjustment, Game, Goal
from callout.game.terms import Team


def goal_stops_clock(game: Game, goal: Goal) -> bool:
    """Whether the clock stops for this field goal, as late in a period as it was made."""
    return goal.left_tenths <= game.profile.goal_stops_tenths(goal.period) > 0


def clock_runs_on(game: Game, left_tenths: int) -> bool:
    """Whether the clock runs on through whistles, by the league's rule or because of a lead."""
    return mercy(game, left_tenths) or _runs_anyway(game, left_tenths)


def runs_for_lead(game: Game, left_tenths: int) -> bool:
    """Whether the clock runs on through whistles because of a lead and for nothing else."""
    return mercy(game, left_tenths) and not _runs_anyway(game, left_tenths)


def _runs_anyway(game: Game, left_tenths: int) -> bool:
    rules = game.profile.clock
    return rules.runs_on and not (ends_a_half(game) and left_tenths <= 10 * rules.stops_last_s)


def ends_a_half(game: Game) -> bool:
    """Whether the present period is the last of a half, or an overtime."""
    periods = game.profile.periods
    return is_overtime(game) or game.period in (periods.half_after, periods.count)


def mercy(game: Game, left_tenths: int) -> bool:
    """Whether the lead is so large that the clock runs on through whistles."""
    steps = [step for step in game.profile.clock.mercy if _applies(step, game, left_tenths)]
    if not steps:
        return False
    lead = _lead(game) if game.profile.clock.mercy_reverts else _largest_lead(game)
    return any(lead >= step.lead for step in steps)


def _applies(step: Mercy, game: Game, left_tenths: int) -> bool:
    if game.period != step.from_period:
        return game.period > step.from_period
    return not step.below_s or left_tenths < 10 * step.below_s


def _lead(game: Game) -> int:
    return abs(score(game, Team.HOME) - score(game, Team.GUEST))


def _largest_lead(game: Game) -> int:
    """The largest lead so far; corrections of the score count where they were booked."""
    lines: list[Goal | Adjustment] = [*game.goals, *game.adjustments]
    lead = largest = 0
    for line in sorted(lines, key=lambda line: line.item):
        points = line.counts if isinstance(line, Goal) else line.points
        lead += points if line.team is Team.HOME else -points
        largest = max(largest, abs(lead))
    return largest


def target_reached(game: Game, team: Team) -> bool:
    """Whether a team has reached the score that ends the game."""
    goals, over = game.profile.goals, is_overtime(game)
    first, target = 1, goals.target
    if over:
        first, target = game.profile.periods.count + 1, goals.overtime_target
    # Throws in the interval before an overtime are points of the overtime already.
    periods = range(first, max(1, game.period) + 1)
    return sum(score(game, team, period) for period in periods) >= target > 0
