"""Decisions on fouls and on the free throws that they bring."""

from __future__ import annotations

from callout.game.calls import DoubleFoul, Foul, SetAward
from callout.game.choices import ThrowRule
from callout.game.decisions import refusals
from callout.game.decisions.base import Decision, Refusal, known, left_in, next_item, unknown
from callout.game.events import (
    BallDead,
    Event,
    FoulCharged,
    PenaltiesCancelled,
    ThrowsAwarded,
)
from callout.game.figures.fouls import foul_period, is_out, joins_fight, penalty
from callout.game.figures.opportunities import FRESH_TENTHS
from callout.game.figures.score import entry_of, find, newest_charge
from callout.game.state import At, Charge, Game, Owed, Owner, Phase
from callout.game.terms import Award, FoulKind, Offender, Team


def foul(game: Game, call: Foul, at: At) -> Decision:
    """A foul is charged, with the throws that the official signals, else those of the rules."""
    if call.foul not in game.profile.fouls.kinds:
        return Refusal(refusals.FOUL_UNKNOWN, slots={"foul": call.foul})
    period = foul_period(game, call.before_horn)
    whose, kind = _charged_to(game, call)
    # Only a player's foul waits for a number: coaches and the bench may have none.
    on_player = call.on is Offender.PLAYER
    charge = FoulCharged(
        next_item(game),
        call.team,
        known(game, call.team, call.number),
        kind,
        whose,
        period,
        left_in(game, period, at),
        said=unknown(game, call.team, call.number) if on_player else None,
        fight=call.fight,
    )
    award = call.award or _by_rule(game, charge)
    return (*_whistle(game), charge, *_awarding(game, charge, award))


def _charged_to(game: Game, call: Foul) -> tuple[Offender, FoulKind]:
    """Who is charged with the foul, and its kind.

    A foul by a player who is already out may be charged to the coach or the bench, then as a
    technical foul.
    Source: FIBA 40, interpretations 36-20 and 37-9: the head coach is charged for the bench.
    """
    after = game.profile.fouls.after_out
    mine = call.on is Offender.PLAYER and call.number is not None
    if not mine or after is Offender.PLAYER or not is_out(game, call.team, call.number or ""):
        return call.on, call.foul
    common = game.profile.fouls.kinds[call.foul].throws is not ThrowRule.ALWAYS
    return after, FoulKind.TECHNICAL if common else call.foul


def _whistle(game: Game) -> tuple[Event, ...]:
    """The ball is dead from the foul on, even if the clock still runs."""
    live = game.phase in (Phase.RUNNING, Phase.STOPPED) and not game.ball_dead
    return (BallDead(),) if live else ()


def _by_rule(game: Game, charge: FoulCharged) -> Award:
    rule = game.profile.fouls.kinds[charge.foul]
    if joins_fight(game, charge):
        return Award.NONE  # The one foul of the fight that is entered on the coach has them.
    if rule.throws is ThrowRule.ALWAYS:
        return rule.award
    # The penalty is for team fouls; a foul of a kind that counts as none never brings it.
    if rule.throws is ThrowRule.NEVER or not rule.team:
        return Award.NONE
    return penalty(game, charge.team, charge.period, charge.left_tenths)


def _awarding(game: Game, charge: FoulCharged | Charge, award: Award) -> tuple[Event, ...]:
    """The throws for a foul; if the opponents have an equal foul in the same stop, both cancel."""
    if award is Award.NONE:
        return ()
    equal = next((owed for owed in game.owed if _cancels(game, owed, charge, award)), None)
    if equal:
        return (PenaltiesCancelled(equal.foul, charge.item),)
    return (ThrowsAwarded(charge.item, charge.team.other, award),)


def _cancels(game: Game, owed: Owed, charge: FoulCharged | Charge, award: Award) -> bool:
    rules = game.profile.fouls
    other = find(game, owed.foul)
    if not rules.cancels or owed.taken or not isinstance(other, Charge):
        return False
    ball = rules.kinds[other.foul].ball
    same = (owed.award, ball) == (award, rules.kinds[charge.foul].ball)
    if not same or owed.team is not charge.team or other.item == charge.item:
        return False
    return _same_stop(game, other, charge)


def _same_stop(game: Game, first: Charge, then: FoulCharged | Charge) -> bool:
    """Whether two fouls fall into one stopped-clock period, as far as the table can tell.

    The clock must not have run between them. A start of the clock drops all throws that are owed,
    so this has to exclude only a clock that was never stopped. Nor may anybody have scored, except
    for a goal that was made with the first foul.
    Source: FIBA 42.1.
    """
    if first.period == then.period and first.left_tenths - then.left_tenths > FRESH_TENTHS:
        return False
    if first.period != then.period and game.owner is Owner.NONE:
        return False
    between = [
        goal for goal in game.goals if not goal.free_throw and first.item < goal.item < then.item
    ]
    with_it = first.foul is not FoulKind.TECHNICAL and between and between[0].team is then.team
    return len(between) == bool(with_it)


def double_foul(game: Game, call: DoubleFoul, at: At) -> Decision:
    """Each of two opponents is charged with a foul; no throws are awarded.

    Source: NFHS 3.4.3C for two technical fouls; FIBA 35-1, and 42 for equal penalties.
    """
    if call.foul not in game.profile.fouls.kinds:
        return Refusal(refusals.FOUL_UNKNOWN, slots={"foul": call.foul})
    period = foul_period(game)
    pairs = ((Team.HOME, call.home), (Team.GUEST, call.guest))
    charges = tuple(
        FoulCharged(
            next_item(game, position),
            team,
            known(game, team, number),
            call.foul,
            Offender.PLAYER,
            period,
            left_in(game, period, at),
            double=True,
            said=unknown(game, team, number),
        )
        for position, (team, number) in enumerate(pairs)
    )
    rules = game.profile.fouls
    equal = rules.cancels and rules.kinds[call.foul].throws is ThrowRule.ALWAYS
    cancelled = (PenaltiesCancelled(charges[0].item, charges[1].item),) if equal else ()
    return (*_whistle(game), *charges, *cancelled)


def set_award(game: Game, call: SetAward, at: At) -> Decision:
    """The newest foul, or the newest one on the named team, brings the throws signalled now."""
    charge = newest_charge(game)
    if charge is None:
        return Refusal(refusals.NO_FOUL)
    if call.team is charge.team:
        # Both teams may have fouled in one stop; a foul before it is not meant any more.
        stop = [c for c in game.charges if entry_of(c.item) > game.live_since]
        mine = [c for c in stop if c.team is call.team.other]
        if not mine:
            return Refusal(refusals.SHOTS_OF_OTHER, slots={"team": charge.team})
        charge = mine[-1]
    none = (ThrowsAwarded(charge.item, charge.team.other, Award.NONE),)
    return _awarding(game, charge, call.award) or none
