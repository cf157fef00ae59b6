"""Questions about chances: when a waiting time-out or substitute may be let in.

The table sees whistles, goals, throws and the clock, not the ball in an official's hands; where
the end of a chance cannot be known here, the chance is taken to last.
"""

from __future__ import annotations

from typing import Final

from callout.game.choices import After
from callout.game.figures.score import fresh_goal, goal_by
from callout.game.state import Game, Owner, Phase
from callout.game.terms import Moment, Team

FRESH_TENTHS: Final = 50
"""So long after a goal on a running clock the ball may still be waiting for its throw-in; later it
is another live ball.

Source: common practice, no source.
"""


def timeout_chance(game: Game, team: Team, left_tenths: int) -> bool:
    """Whether a time-out asked for at the table may be granted to that team now."""
    rules = game.profile.chances
    if not game.phase.under_way or too_early(game):
        return False
    if game.phase is Phase.INTERVAL:
        return game.profile.timeouts.in_interval > 0
    if _by_goal(game, left_tenths):
        return _for(rules.goal_timeout, game, team)
    return game.ball_dead and (rules.timeout_between_throws or not throws_begun(game))


def sub_chance(game: Game, team: Team | None, left_tenths: int) -> bool:
    """Whether a substitute may be let in now, for one team or for either."""
    rules = game.profile.chances
    if game.phase is Phase.OVER or too_early(game) or warned_already(game):
        return False
    if game.phase.between or game.phase is Phase.TIMEOUT:
        return True
    if _by_goal(game, left_tenths):
        return game.phase is Phase.STOPPED and _for(rules.goal_sub, game, team)
    if game.phase is Phase.RUNNING and game.owner is Owner.OURS and not rules.sub_running:
        return False
    return game.ball_dead and sub_between_throws(game)


def warned_already(game: Game) -> bool:
    """Whether a warning horn has gone after which no substitute may come before the clock runs."""
    warnings = {Moment.TIMEOUT_WARNING.value, Moment.INTERVAL_WARNING.value}
    late = not game.profile.chances.sub_after_warning
    return late and not warnings.isdisjoint(game.reminded)


def throws_begun(game: Game) -> bool:
    """Whether some of the throws for one foul are taken and some are not."""
    return any(owed.taken for owed in game.owed)


def sub_between_throws(game: Game) -> bool:
    """Whether the throws that are owed let a substitute in: before the last, or before all."""
    left = sum(owed.left for owed in game.owed)
    if game.profile.chances.sub_last_throw:
        return left <= 1
    return not throws_begun(game)


def too_early(game: Game) -> bool:
    """Whether nobody has a chance yet, since the game's clock has not run for the first time."""
    begun = game.period > 1 or game.starts or game.phase is Phase.BEFORE
    return not game.profile.chances.before_first_clock and not begun


def _by_goal(game: Game, left_tenths: int) -> bool:
    """Whether the ball is dead by a field goal alone, and may still be."""
    goal = fresh_goal(game)
    if goal is None:
        return False
    running = game.phase is Phase.RUNNING
    return not running or goal.left_tenths - left_tenths <= FRESH_TENTHS


def _for(rule: After, game: Game, team: Team | None) -> bool:
    if rule is After.CONCEDING:
        return team is not goal_by(game)
    return rule is After.BOTH
