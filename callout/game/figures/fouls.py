"""Questions about fouls: what is counted on whom, what the next one brings, and who is out."""

from __future__ import annotations

from dataclasses import replace

from callout.game.choices import Span, ThrowRule
from callout.game.figures.score import entry_of, find, is_overtime, owed_to
from callout.game.profile.profile import Profile
from callout.game.profile.sections import FoulRule, Tier
from callout.game.state import Charge, Game, Owed
from callout.game.terms import Award, FoulKind, Offender, Team


def rule_of(game: Game, charge: Charge) -> FoulRule:
    """What the league says of a foul of that kind."""
    return game.profile.fouls.kinds[charge.foul]


# --- team fouls -----------------------------------------------------------------------------


def team_weight(profile: Profile, charge: Charge) -> int:
    """How many team fouls a foul counts as."""
    fouls = profile.fouls
    if charge.on not in fouls.counted_on or (charge.double and not fouls.double_team):
        return 0
    return fouls.kinds[charge.foul].team


def counting_period(profile: Profile, period: int) -> int:
    """The period in which the fouls of a period are counted: overtime's may carry."""
    if profile.fouls.overtime_counts_last:
        return min(period, profile.periods.count)
    return period


def team_fouls_in(game: Game, team: Team, period: int) -> int:
    """Team fouls that are counted in one period."""
    return sum(
        team_weight(game.profile, charge)
        for charge in game.charges
        if charge.team is team and counting_period(game.profile, charge.period) == period
    )


def same_stretch(profile: Profile, span: Span, one: int, other: int) -> bool:
    """Whether two periods lie in the same stretch of the game: period, half or all of it."""
    if span is Span.GAME:
        return True
    if span is Span.HALF:
        half = profile.periods.half_after
        return (one > half) == (other > half)
    return one == other


def team_fouls(game: Game, team: Team, period: int | None = None, last_s: int = 0) -> int:
    """Team fouls that count towards the penalty in a period: by default the present one.

    With `last_s`, only those made with so many seconds or fewer left.
    """
    profile = game.profile
    now = counting_period(profile, max(1, period or game.period))
    return sum(
        team_weight(profile, charge)
        for charge in game.charges
        if charge.team is team
        and (not last_s or charge.left_tenths <= 10 * last_s)
        and same_stretch(
            profile, profile.penalty.over, now, counting_period(profile, charge.period)
        )
    )


def next_tier(game: Game, team: Team, period: int | None, left: int) -> Tier | None:
    """The step of the penalty that a team's next common foul falls under, if any.

    `left` is the time of that foul, in tenths of a second.
    """
    now = max(1, period or game.period)
    rules = game.profile.penalty
    tiers = rules.overtime_tiers if is_overtime(game, now) else ()
    reached = [
        tier
        for tier in tiers or rules.tiers
        if team_fouls(game, team, now, tier.last_s) + 1 >= tier.at
        and (not tier.last_s or left <= 10 * tier.last_s)
    ]
    # A step that holds for all of the period goes before one for its last minutes.
    return max(reached, key=lambda tier: (not tier.last_s, tier.at), default=None)


def penalty(game: Game, team: Team, period: int | None, left_tenths: int) -> Award:
    """What the opponent gets for this team's next common foul, with so much left."""
    tier = next_tier(game, team, period, left_tenths)
    return tier.award if tier else Award.NONE


def foul_period(game: Game, before_horn: bool | None = None) -> int:
    """The period in which a foul called now counts."""
    if game.phase.between and game.profile.fouls.interval_counts_next and not before_horn:
        return game.period + 1
    return max(1, game.period)


def all_thrown(game: Game, team: Team) -> Award | None:
    """What a team was awarded for the newest foul on it, if that has been thrown; else None.

    Where nothing was said of throws, there may be three, and so long as the clock has not run
    since.
    """
    fouls = [charge for charge in game.charges if charge.team is team.other]
    newest = max(fouls, key=lambda charge: charge.item, default=None)
    if newest is None or entry_of(newest.item) < game.live_since or owed_to(game, team):
        return None
    award = next((done.award for done in game.thrown if done.foul == newest.item), None)
    thrown = [g for g in game.goals if g.free_throw and g.team is team and g.item > newest.item]
    return award or (Award.THREE if len(thrown) >= Award.THREE.throws else None)


def missed_into_play(before: Game, team: Team, owed: tuple[Owed, ...]) -> bool:
    """Whether a throw that a team has just missed leaves the ball in play; `owed` is still owed.

    Not where that team has more throws, nor after a technical and the like, nor for a foul that
    never brings throws by the rules, nor with no period being played.
    Source: NFHS rulings 3172 and 2.10.6B: those throws are shot with the lane clear.
    """
    was = owed_to(before, team)
    if was is None or not before.phase.in_period or any(each.team is team for each in owed):
        return False
    charge = find(before, was.foul)
    if not isinstance(charge, Charge):
        return False
    return rule_of(before, charge).throws is ThrowRule.PENALTY and not brings_ball(before, charge)


def brings_ball(game: Game, charge: Charge) -> bool:
    """Whether the ball comes with the throws, for the foul's kind or the step of the penalty."""
    rule = rule_of(game, charge)
    if rule.throws is not ThrowRule.PENALTY:
        return rule.ball
    without = replace(game, charges=tuple(c for c in game.charges if c.item < charge.item))
    tier = next_tier(without, charge.team, charge.period, charge.left_tenths)
    return tier is not None and tier.ball


# --- players and coaches ----------------------------------------------------------------------


def player_charges(game: Game, team: Team, number: str) -> tuple[Charge, ...]:
    """The fouls on a player, in the order of the book.

    Source: FIBA B.8.3.12 for one on the bench: the coach's, but what puts him out is his as well.
    """
    at_once = _at_once(game.profile)
    return tuple(
        charge
        for charge in game.charges
        if (charge.team, charge.number) == (team, number)
        and charge.on in (Offender.PLAYER, Offender.BENCH)
        and (_is_own(game.profile, charge) or charge.foul in at_once)
    )


def _at_once(profile: Profile) -> frozenset[FoulKind]:
    """The kinds of fouls of which one is enough to be put out."""
    return frozenset(k for each in profile.fouls.ejections if each.count == 1 for k in each.of)


def player_fouls(game: Game, team: Team, number: str) -> int:
    """How many fouls count on a player."""
    own = [c for c in player_charges(game, team, number) if _is_own(game.profile, c)]
    return sum(rule_of(game, charge).player for charge in own)


def _is_own(profile: Profile, charge: Charge) -> bool:
    """Whether a foul with a number counts on that player, and not on the coach alone."""
    return charge.on is not Offender.BENCH or profile.fouls.bench_on_player


def at_limit(game: Game, team: Team, number: str) -> bool:
    """Whether a player has as many fouls as the league allows."""
    return player_fouls(game, team, number) >= game.profile.fouls.limit


def is_ejected(game: Game, team: Team, number: str) -> bool:
    """Whether the kinds of a player's fouls put him out of the game."""
    charged = [charge.foul for charge in player_charges(game, team, number)]
    if game.side(team).coach == number and coach_is_out(game, team):
        return True
    return any(
        sum(kind in ejection.of for kind in charged) >= ejection.count
        for ejection in game.profile.fouls.ejections
    )


def is_out(game: Game, team: Team, number: str) -> bool:
    """Whether a player may play no more."""
    return at_limit(game, team, number) or is_ejected(game, team, number)


def coach_is_out(game: Game, team: Team) -> bool:
    """Whether a team's coach has been put out of the game.

    One who also plays brings the fouls he had as a player.
    Source: FIBA interpretation 36-26 for a player who is the coach.
    """
    fouls = game.profile.fouls
    mine = [charge for charge in game.charges if charge.team is team]
    own = [charge.foul for charge in mine if charge.on is Offender.COACH]
    number = game.side(team).coach
    if number is not None and own:
        worst = {kind for each in fouls.ejections for kind in each.of}
        own += [c.foul for c in player_charges(game, team, number) if c.foul in worst]
    direct = sum(kind is not FoulKind.CLASS_B for kind in own)
    everything = len(own) + sum(charge.on is Offender.BENCH for charge in mine)
    return (
        not _at_once(game.profile).isdisjoint(own)
        or direct >= fouls.coach_own
        or everything >= fouls.coach_all
    )
