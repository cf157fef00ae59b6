"""How a period begins: by a jump ball, or by a throw-in after the arrow or a foul."""

from __future__ import annotations

from typing import Final

from callout.game.choices import Opening
from callout.game.events import ArrowSet, Event, PeriodStarted
from callout.game.figures.fouls import rule_of
from callout.game.figures.score import is_decided
from callout.game.state import Game
from callout.game.terms import Award, Team

TOSS_TENTHS: Final = 100
"""A foul within this time after a toss is assumed to have come before anyone had control.

Source: common practice, no source.
"""


def beginning(game: Game) -> tuple[Event, ...]:
    """The events with which the next period begins."""
    period = game.period + 1
    how = game.profile.opening(period)
    ball = ball_by_foul(game, period)
    # A throw-in for a foul leaves the arrow as it is. Only where the period should have begun with
    # a jump ball does this throw-in set the arrow in its place.
    set_anew = ball and how is Opening.JUMP and game.profile.arrow.used
    return (next_period(game), *((ArrowSet(ball.other),) if ball and set_anew else ()))


def next_period(game: Game) -> PeriodStarted:
    """The next period as it begins if nothing else happens before."""
    period = game.period + 1
    how, length = game.profile.opening(period), game.profile.length_tenths(period)
    if ball_by_foul(game, period):
        return PeriodStarted(period, length, None)
    jump = how is Opening.JUMP and not _tossed(game)
    return PeriodStarted(period, length, None if jump else _entitled(game, how), jump)


def _tossed(game: Game) -> bool:
    """Whether first control was called before the period was: then it has set the arrow."""
    tips = (line.entry for line in game.lines if line.call == "tip")
    return game.phase.between and any(entry > game.ended for entry in tips)


def ball_at_start(game: Game, event: PeriodStarted) -> dict[str, object]:
    """Who has the ball at a period's beginning, or what settles that, as slots of a notice."""
    team = event.throw_in or ball_by_foul(game, event.period)
    how = None if team else game.profile.opening(event.period)
    how = None if how is Opening.JUMP and not event.jump else how
    return {"team": team, "opening": how if how in (Opening.JUMP, Opening.TOSS) else None}


def ball_by_foul(game: Game, period: int) -> Team | None:
    """The team that has the ball at a period's beginning because of a foul in the interval.

    After fouls of both teams the last penalty has it. A foul without throws gives it to nobody: a
    double foul, one whose penalty was cancelled, or for which the officials signalled none.
    Source: FIBA interpretations 12-10, 12-21 and 42-17; 42 for the last penalty, other codes from
    memory. NFHS 3.4.3C for two fouls without throws.
    """
    place = (period, game.profile.length_tenths(period))
    giving = (
        charge
        for charge in game.charges
        if (charge.period, charge.left_tenths) == place
        and rule_of(game, charge).ball
        and not (charge.award is Award.NONE or charge.cancelled)
    )
    last = max(giving, key=lambda charge: charge.item, default=None)
    return last.team.other if last else None


def _entitled(game: Game, how: Opening) -> Team | None:
    """The team that begins a period with a throw-in, as far as it is known."""
    first = game.first_control
    if how is Opening.ARROW:
        return game.arrow
    if how is Opening.WINNER:
        return first
    return first.other if how is Opening.LOSER and first else None


def lacks_first_control(game: Game, left_tenths: int) -> bool:
    """Whether play shows that a team had control after the toss, and nobody has called which.

    First control sets the arrow (FIBA 12.6.2), or says who begins the later periods. A basket shows
    it, a period that is over, or one that has been played for longer than a toss takes.
    """
    rules, period = game.profile.arrow, game.period
    known = game.arrow if rules.used else game.first_control
    needed = rules.used or _by_control(game)
    if not period or known or not needed:
        return False
    if game.phase.between:
        # A jump ball would settle it anew, and after the game nobody needs it.
        return game.profile.opening(period + 1) is not Opening.JUMP and not is_decided(game)
    if rules.used and game.profile.opening(period) is not Opening.JUMP:
        return True
    scored = any(goal.period == period and not goal.free_throw for goal in game.goals)
    return scored or game.profile.length_tenths(period) - left_tenths > TOSS_TENTHS


def _by_control(game: Game) -> bool:
    """Whether a period to come is begun by the team that had first control, or by the other."""
    to_come = game.profile.arrow.openings[game.period :]
    return not {Opening.WINNER, Opening.LOSER}.isdisjoint(to_come)
