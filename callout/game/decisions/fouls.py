"""Fouls, and the free throws they bring."""

from __future__ import annotations

from callout.game.calls import DoubleFoul, Foul, SetAward
from callout.game.decisions.base import Decision, Refusal, known, next_item, unknown
from callout.game.events import BallDead, Event, FoulCharged, ThrowsAwarded
from callout.game.profile import ThrowRule
from callout.game.questions import award_for, foul_period, newest_charge, team_fouls
from callout.game.state import At, Game, Phase
from callout.game.terms import Award, FoulKind, Offender, Team


def foul(game: Game, call: Foul, at: At) -> Decision:
    """A foul is charged, with the throws that the official signals or the rules give."""
    if call.foul not in game.profile.fouls.kinds:
        return Refusal("foul_unknown", slots={"foul": call.foul})
    period = foul_period(game, call.before_horn)
    # Only a player's foul waits for a number: coaches and the bench may have none.
    on_player = call.on is Offender.PLAYER
    charge = FoulCharged(
        next_item(game),
        call.team,
        known(game, call.team, call.number),
        call.foul,
        call.on,
        period,
        at.left_tenths,
        said=unknown(game, call.team, call.number) if on_player else None,
    )
    award = call.award or _by_rule(game, call, period)
    throws = (ThrowsAwarded(charge.item, call.team.other, award),)
    return (*_whistle(game), charge, *(throws if award is not Award.NONE else ()))


def _whistle(game: Game) -> tuple[Event, ...]:
    """The ball is dead from the foul on, though the clock may still run."""
    return (BallDead(),) if game.phase is Phase.RUNNING and not game.ball_dead else ()


def _by_rule(game: Game, call: Foul, period: int) -> Award:
    rule = game.profile.fouls.kinds[call.foul]
    if rule.throws is ThrowRule.ALWAYS:
        return rule.award
    if rule.throws is ThrowRule.NEVER or not rule.team:
        return Award.NONE
    return award_for(game, team_fouls(game, call.team, period) + 1)


def double_foul(game: Game, call: DoubleFoul, at: At) -> Decision:
    """One foul on each of two opponents, and no throws."""
    period = foul_period(game)
    pairs = ((Team.HOME, call.home), (Team.GUEST, call.guest))
    charges = tuple(
        FoulCharged(
            next_item(game, position),
            team,
            known(game, team, number),
            FoulKind.PERSONAL,
            Offender.PLAYER,
            period,
            at.left_tenths,
            double=True,
            said=unknown(game, team, number),
        )
        for position, (team, number) in enumerate(pairs)
    )
    return (*_whistle(game), *charges)


def set_award(game: Game, call: SetAward, at: At) -> Decision:
    """The newest foul brings the throws that the official signals."""
    charge = newest_charge(game)
    if charge is None:
        return Refusal("no_foul")
    return (ThrowsAwarded(charge.item, charge.team.other, call.award),)
