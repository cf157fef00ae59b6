"""Opportunities: whether a time-out may be granted or a substitute let in now.

The rule books end an opportunity when an official hands over the ball, which the table does not
see. It knows whistles, goals, throws and the clock; where these do not show the end of an
opportunity, it is taken to last.
"""

from __future__ import annotations

from typing import Final

from callout.game.choices import After
from callout.game.figures.score import entry_of, fresh_goal, goal_by
from callout.game.state import Game, Goal, Owner, Phase
from callout.game.terms import Moment, Team

FRESH_TENTHS: Final = 50
"""For this long after a goal on a running clock the ball may still be waiting for its throw-in.
After that it has been live again.

Source: common practice, no source.
"""


def same_ball(game: Game, last: Goal, left_tenths: int) -> bool:
    """Whether the ball has not been live again since a goal, as far as the table can tell."""
    if last.period != max(1, game.period) or entry_of(last.item) < game.live_since:
        return False
    return last.left_tenths - left_tenths <= FRESH_TENTHS


def timeout_chance(game: Game, team: Team, left_tenths: int) -> bool:
    """Whether a time-out asked for at the table may be granted to that team now."""
    rules = game.profile.chances
    if not game.phase.under_way or too_early(game):
        return False
    if game.phase is Phase.INTERVAL:
        return game.profile.timeouts.in_interval > 0
    if _dead_by_goal(game, left_tenths):
        return _allows(rules.goal_timeout, game, team)
    return game.ball_dead and (rules.timeout_between_throws or not throws_begun(game))


def sub_chance(game: Game, team: Team | None, left_tenths: int) -> bool:
    """Whether a substitute may be let in now; without a team, one of either team."""
    rules = game.profile.chances
    if game.phase is Phase.OVER or too_early(game) or warned_already(game):
        return False
    if game.phase.between or game.phase is Phase.TIMEOUT:
        return True
    if _dead_by_goal(game, left_tenths):
        return game.phase is Phase.STOPPED and _allows(rules.goal_sub, game, team)
    # If the official clock is another one, ours may run on through a whistle that stopped it.
    if game.phase is Phase.RUNNING and game.owner is Owner.OURS and not rules.sub_running:
        return False
    return game.ball_dead and sub_between_throws(game)


def warned_already(game: Game) -> bool:
    """Whether a warning horn has sounded after which no substitute may enter before the start."""
    warnings = {Moment.TIMEOUT_WARNING.value, Moment.INTERVAL_WARNING.value}
    late = not game.profile.chances.sub_after_warning
    return late and not warnings.isdisjoint(game.reminded)


def throws_begun(game: Game) -> bool:
    """Whether an award has begun and not ended: the players are at the line."""
    return any(owed.taken for owed in game.owed)


def sub_between_throws(game: Game) -> bool:
    """Whether the throws that are owed admit a substitute: before the last one, or before all."""
    left = sum(owed.left for owed in game.owed)
    if game.profile.chances.sub_last_throw:
        return left <= 1
    return not throws_begun(game)


def too_early(game: Game) -> bool:
    """Whether the league allows nothing yet because the clock has not run for the first time.

    Where no clock is kept, nobody knows.
    """
    begun = game.period > 1 or game.starts or game.phase is Phase.BEFORE
    begun = begun or game.owner is Owner.NONE
    return not game.profile.chances.before_first_clock and not begun


def _dead_by_goal(game: Game, left_tenths: int) -> bool:
    """Whether the ball is dead because of a field goal alone, and has not been live since."""
    goal = fresh_goal(game)
    if goal is None:
        return False
    running = game.phase is Phase.RUNNING
    return not running or goal.left_tenths - left_tenths <= FRESH_TENTHS


def _allows(rule: After, game: Game, team: Team | None) -> bool:
    if rule is After.CONCEDING:
        return team is not goal_by(game)
    return rule is After.BOTH
