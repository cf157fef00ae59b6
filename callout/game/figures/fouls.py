"""Fouls: what counts on a team and on a player, what the next one brings, and who is out."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from callout.game.choices import Span, ThrowRule, Why
from callout.game.events import FoulCharged
from callout.game.figures.score import entry_of, find, is_overtime, owed_to
from callout.game.profile.profile import Profile
from callout.game.profile.sections import Ejection, FoulRule, Tier
from callout.game.state import ITEMS_PER_ENTRY, Charge, Game, Owed
from callout.game.terms import Award, FoulKind, Offender, Team


def rule_of(game: Game, charge: Charge) -> FoulRule:
    """The league's rule for a foul of this kind."""
    return game.profile.fouls.kinds[charge.foul]


# --- team fouls -----------------------------------------------------------------------------


def team_weight(profile: Profile, charge: Charge) -> int:
    """The number of team fouls that a foul counts as: 0, 1 or 2."""
    fouls = profile.fouls
    if charge.on not in fouls.counted_on or (charge.double and not fouls.double_team):
        return 0
    return fouls.kinds[charge.foul].team


def counting_period(profile: Profile, period: int) -> int:
    """The period to which a period's fouls count: an overtime may continue the last regular one."""
    if profile.fouls.overtime_counts_last:
        return min(period, profile.periods.count)
    return period


def team_fouls_in(game: Game, team: Team, period: int) -> int:
    """A team's fouls that count to one period."""
    return sum(
        team_weight(game.profile, charge)
        for charge in game.charges
        if charge.team is team and counting_period(game.profile, charge.period) == period
    )


def in_same_span(profile: Profile, span: Span, one: int, other: int) -> bool:
    """Whether two periods lie in the same span: the same period, the same half, the game."""
    if span is Span.GAME:
        return True
    if span is Span.HALF:
        half = profile.periods.half_after
        return (one > half) == (other > half)
    return one == other


def team_fouls(game: Game, team: Team, period: int | None = None, last_s: int = 0) -> int:
    """The team fouls that count towards the penalty in a period, by default the present one.

    With `last_s`, only those made with at most this many seconds left in their period.
    """
    profile = game.profile
    now = counting_period(profile, max(1, period or game.period))
    return sum(
        team_weight(profile, charge)
        for charge in game.charges
        if charge.team is team
        and (not last_s or charge.left_tenths <= 10 * last_s)
        and in_same_span(
            profile, profile.penalty.over, now, counting_period(profile, charge.period)
        )
    )


def next_tier(game: Game, team: Team, period: int | None, left: int) -> Tier | None:
    """The tier of the penalty that a team's next common foul would reach, if any.

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
    # A tier for the whole period takes precedence over one for its last minutes.
    return max(reached, key=lambda tier: (not tier.last_s, tier.at), default=None)


def penalty(game: Game, team: Team, period: int | None, left_tenths: int) -> Award:
    """The throws that this team's next common foul would bring, at the time `left_tenths`."""
    tier = next_tier(game, team, period, left_tenths)
    return tier.award if tier else Award.NONE


def penalty_ball(game: Game, team: Team, left_tenths: int) -> bool:
    """Whether the ball follows the throws that this team's next common foul would bring."""
    tier = next_tier(game, team, None, left_tenths)
    return tier is not None and tier.ball


def foul_period(game: Game, before_horn: bool | None = None) -> int:
    """The period in which a foul called now counts; in an interval it may be the coming one."""
    if game.phase.between and game.profile.fouls.interval_counts_next and not before_horn:
        return game.period + 1
    return max(1, game.period)


def all_thrown(game: Game, team: Team) -> Award | None:
    """The award for the newest foul on a team if all its throws have been taken, else None.

    If no award was booked for that foul, three throws count as all, since no award has more. After
    the clock has run again the answer is None.
    """
    newest = _newest_on(game, team)
    if newest is None or entry_of(newest.item) < game.live_since or owed_to(game, team):
        return None
    award = next((done.award for done in game.thrown if done.foul == newest.item), None)
    enough = _thrown_since(game, team, newest) >= Award.THREE.throws
    return award or (Award.THREE if enough else None)


def award_begun(game: Game, team: Team) -> Owed | None:
    """The award that a team's newest free throw was taken for, until the clock runs again.

    Throws are taken in order, so it is the one that was begun last.
    """
    begun = [each for each in (*game.owed, *game.thrown) if each.team is team and each.taken]
    return next((each for each in begun if each in game.owed), begun[-1] if begun else None)


def brings_no_throw(game: Game, team: Team) -> bool:
    """Whether nothing in the book brings a team a free throw now.

    A foul on it since the clock was last started may bring one whose award nobody called, unless it
    is of a kind that brings none. For an older one only throws that were awarded and not taken can
    still be booked.
    """
    if owed_to(game, team):
        return False
    newest = _newest_on(game, team)
    if newest is None or newest.cancelled:
        return True
    recent = (c for c in _fouls_on(game, team) if entry_of(c.item) > game.live_since)
    if any(_most_throws(game, charge) or charge.award is not Award.NONE for charge in recent):
        return False
    return _thrown_since(game, team, newest) >= newest.award.throws


def _newest_on(game: Game, team: Team) -> Charge | None:
    """The newest foul by the other team."""
    return max(_fouls_on(game, team), key=lambda charge: charge.item, default=None)


def _fouls_on(game: Game, team: Team) -> list[Charge]:
    """The fouls by the other team."""
    return [charge for charge in game.charges if charge.team is team.other]


def _thrown_since(game: Game, team: Team, foul: Charge) -> int:
    """How many free throws of a team are booked after a foul, made or missed."""
    return sum(g.free_throw and g.team is team and g.item > foul.item for g in game.goals)


def throws_for(game: Game, charge: Charge) -> int:
    """The free throws for one foul: those awarded, else those taken for it with no award booked.

    A cancelled penalty has none. Without an award, a throw is taken to be for the newest foul on
    its team before it, if the clock has not run since that foul; throws beyond what such a foul can
    bring are for none of them.
    """
    if charge.cancelled or charge.award is not Award.NONE:
        return 0 if charge.cancelled else charge.award.throws
    later = [c.item for c in game.charges if c.team is charge.team and c.item > charge.item]
    later += [start.entry * ITEMS_PER_ENTRY for start in game.starts]
    end = min((item for item in later if item > charge.item), default=None)
    thrown = (g for g in game.goals if g.free_throw and g.team is charge.team.other)
    count = sum(g.item > charge.item and (end is None or g.item < end) for g in thrown)
    return min(count, _most_throws(game, charge))


def _most_throws(game: Game, charge: Charge) -> int:
    """The most throws that a foul of this kind can bring: for a missed try as many as its points.

    Source: FIBA 41.2.2 and 35-1 for none, interpretation 16-8 and B.8.3 for three; for the kinds
    that no try can be missed by, the league's award.
    """
    rule = rule_of(game, charge)
    if charge.double or rule.throws is ThrowRule.NEVER:
        return 0
    no_try = (FoulKind.TECHNICAL, FoulKind.CLASS_B, FoulKind.THROW_IN)
    return rule.award.throws if charge.foul in no_try else max(game.profile.goals.field)


def missed_into_play(before: Game, team: Team, owed: tuple[Owed, ...]) -> bool:
    """Whether the ball is in play after a throw that a team has just missed.

    `owed` are the awards left after the throw. The ball is dead if the team has another throw, if
    the throws are taken with the lane clear (after a technical foul and the like, and for a foul
    that brings no throws by the rules), and if no period is being played.
    Source: NFHS rulings 3172 and 2.10.6B for the lane.
    """
    was = owed_to(before, team)
    if was is None or not before.phase.in_period or any(each.team is team for each in owed):
        return False
    charge = find(before, was.foul)
    if not isinstance(charge, Charge):
        return False
    return rule_of(before, charge).throws is ThrowRule.PENALTY and not brings_ball(before, charge)


def brings_ball(game: Game, charge: Charge) -> bool:
    """Whether the team that was fouled keeps the ball after the throws, by kind or penalty tier."""
    rule = rule_of(game, charge)
    if rule.throws is not ThrowRule.PENALTY:
        return rule.ball
    without = replace(game, charges=tuple(c for c in game.charges if c.item < charge.item))
    tier = next_tier(without, charge.team, charge.period, charge.left_tenths)
    return tier is not None and tier.ball


def ends_throw_in(game: Game, charge: Charge) -> bool:
    """Whether a foul ends the throw-in that was to come when it was made.

    A foul that gives nobody the ball does not: play goes on where it was stopped. That is one whose
    whole penalty is throws, such as a technical foul by FIBA, and a double foul.
    Source: FIBA 36.3, 12.6.6; 35 and NFHS 4-36 for double fouls, from memory.
    """
    rule = rule_of(game, charge)
    return not charge.double and (rule.ball or rule.throws is not ThrowRule.ALWAYS)


# --- players and coaches ----------------------------------------------------------------------


def player_charges(game: Game, team: Team, number: str) -> tuple[Charge, ...]:
    """The fouls of a player, oldest first, with those that only eject him.

    Source: FIBA B.8.3.12 for a player on the bench: the foul is the coach's, but an ejection is the
    player's as well.
    """
    at_once = _ejecting_at_once(game.profile)
    return tuple(
        charge
        for charge in game.charges
        if (charge.team, charge.number) == (team, number)
        and charge.on in (Offender.PLAYER, Offender.BENCH)
        and (_is_own(game.profile, charge) or charge.foul in at_once)
    )


def _ejecting_at_once(profile: Profile) -> frozenset[FoulKind]:
    """The kinds of foul for which a single one ejects."""
    return frozenset(k for each in profile.fouls.ejections if each.count == 1 for k in each.of)


def player_fouls(game: Game, team: Team, number: str) -> int:
    """The number of fouls that count towards a player's limit."""
    own = [c for c in player_charges(game, team, number) if _is_own(game.profile, c)]
    return sum(rule_of(game, charge).player for charge in own)


def _is_own(profile: Profile, charge: Charge) -> bool:
    """Whether a foul with a number counts on the player, not only on his coach."""
    return charge.on is not Offender.BENCH or profile.fouls.bench_on_player


def at_limit(game: Game, team: Team, number: str) -> bool:
    """Whether a player has reached the league's limit of fouls."""
    return player_fouls(game, team, number) >= game.profile.fouls.limit


def why_ejected(game: Game, team: Team, number: str) -> Why:
    """Why a player who is ejected is out."""
    charged = [charge.foul for charge in player_charges(game, team, number)]
    if (team, number) in game.sent_off:
        return Why.SENT_OFF
    if game.side(team).coach == number and coach_is_out(game, team):
        return Why.COACH
    if not _ejecting_at_once(game.profile).isdisjoint(charged):
        return Why.AT_ONCE
    of = next((each.of for each in game.profile.fouls.ejections if _ejects(each, charged)), ())
    kinds = frozenset(of).intersection(charged)
    if {FoulKind.TECHNICAL, FoulKind.UNSPORTSMANLIKE} <= kinds:
        return Why.BOTH
    if FoulKind.CLASS_B in kinds:
        return Why.THREE_TECHNICALS
    alone = {FoulKind.UNSPORTSMANLIKE: Why.TWO_UNSPORTSMANLIKE, FoulKind.FLAGRANT: Why.TWO_FLAGRANT}
    return next((alone[kind] for kind in kinds if kind in alone), Why.TWO_TECHNICALS)


def _ejects(ejection: Ejection, charged: Sequence[FoulKind]) -> bool:
    """Whether a player with fouls of these kinds is out by that rule."""
    return sum(kind in ejection.of for kind in charged) >= ejection.count


def is_ejected(game: Game, team: Team, number: str) -> bool:
    """Whether a player is out because of the kinds of his fouls, whatever their number."""
    charged = [charge.foul for charge in player_charges(game, team, number)]
    if (team, number) in game.sent_off:
        return True
    if game.side(team).coach == number and coach_is_out(game, team):
        return True
    return any(_ejects(each, charged) for each in game.profile.fouls.ejections)


def is_out(game: Game, team: Team, number: str) -> bool:
    """Whether a player may not play any more: by the limit, or ejected."""
    return at_limit(game, team, number) or is_ejected(game, team, number)


def coach_charges(game: Game, team: Team) -> tuple[Charge, ...]:
    """The fouls entered on a team's coach: his own, and those for which he answers.

    Of those who leave the bench in one fight he answers once.
    Source: FIBA 39.3, from memory; B.8.3.13 for a substitute.
    """
    mine = (c for c in game.charges if c.team is team and c.on in (Offender.COACH, Offender.BENCH))
    return tuple(c for c in mine if c.on is Offender.COACH or not joins_fight(game, c))


def joins_fight(game: Game, charge: Charge | FoulCharged) -> bool:
    """Whether others of the team have been charged for the same fight, in the same stop, before."""
    since = max((s.entry for s in game.starts if s.entry < entry_of(charge.item)), default=0)
    return charge.fight and any(
        other.fight and other.team is charge.team and since < entry_of(other.item)
        and other.item < charge.item
        for other in game.charges
    )  # fmt: skip


def coach_is_out(game: Game, team: Team) -> bool:
    """Whether a team's coach has been ejected.

    If the coach also plays, his fouls as a player count as well, if they are of an ejecting kind.
    Source: FIBA interpretation 36-26 for a player who is the coach.
    """
    fouls = game.profile.fouls
    mine = coach_charges(game, team)
    own = [charge.foul for charge in mine if charge.on is Offender.COACH]
    number = game.side(team).coach
    if number is not None and own:
        worst = {kind for each in fouls.ejections for kind in each.of}
        own += [c.foul for c in player_charges(game, team, number) if c.foul in worst]
    # A minor technical counts only towards the larger limit, as those of the bench do.
    direct = sum(kind is not FoulKind.CLASS_B for kind in own)
    everything = len(own) + sum(charge.on is Offender.BENCH for charge in mine)
    return (
        (team, None) in game.sent_off
        or not _ejecting_at_once(game.profile).isdisjoint(own)
        or direct >= fouls.coach_own
        or everything >= fouls.coach_all
    )
