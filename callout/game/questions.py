"""Questions that one may ask of a game; every figure of the book is counted here, none stored."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from callout.game.profile import Allotment, Profile, Span
from callout.game.state import (
    ITEMS_PER_ENTRY,
    BookLine,
    Charge,
    Game,
    Goal,
    Owed,
    Phase,
    TimeoutLine,
)
from callout.game.terms import Award, Offender, Team

# --- score ----------------------------------------------------------------------------------


def score(game: Game, team: Team, period: int | None = None) -> int:
    """A team's points, in the whole game or in one period."""
    lines = [(goal.team, goal.period, goal.counts) for goal in game.goals]
    lines += [(line.team, line.period, line.points) for line in game.adjustments]
    return sum(p for t, q, p in lines if t is team and period in (None, q))


def both_scores(game: Game) -> tuple[int, int]:
    """Home's points and guest's."""
    return score(game, Team.HOME), score(game, Team.GUEST)


# --- fouls ----------------------------------------------------------------------------------


def counts_for_team(profile: Profile, charge: Charge) -> bool:
    """Whether a foul counts towards the team's fouls."""
    if charge.on is not Offender.PLAYER and not profile.fouls.bench_team:
        return False
    return profile.fouls.kinds[charge.foul].team


def counting_period(profile: Profile, period: int) -> int:
    """The period in which the fouls of a period are counted: overtime's may carry."""
    if profile.fouls.overtime_counts_last:
        return min(period, profile.periods.count)
    return period


def team_fouls_in(game: Game, team: Team, period: int) -> int:
    """Team fouls that are counted in one period."""
    return sum(
        counting_period(game.profile, charge.period) == period
        for charge in game.charges
        if charge.team is team and counts_for_team(game.profile, charge)
    )


def same_stretch(profile: Profile, span: Span, one: int, other: int) -> bool:
    """Whether two periods lie in the same stretch of the game."""
    if span is Span.GAME:
        return True
    if span is Span.HALF:
        half = profile.periods.half_after
        return (one > half) == (other > half)
    if span is Span.OVERTIME:
        return one > profile.periods.count and one == other
    return one == other


def team_fouls(game: Game, team: Team, period: int | None = None) -> int:
    """Team fouls that count towards the penalty in a period: by default the present one."""
    now = counting_period(game.profile, max(1, period or game.period))
    return sum(
        same_stretch(
            game.profile, game.profile.penalty.over, now, counting_period(game.profile, c.period)
        )
        for c in game.charges
        if c.team is team and counts_for_team(game.profile, c)
    )


def award_for(game: Game, nth: int) -> Award:
    """What the nth team foul of a stretch brings, if it is a common foul."""
    award = Award.NONE
    for tier in sorted(game.profile.penalty.tiers, key=lambda tier: tier.at):
        if nth >= tier.at:
            award = tier.award
    return award


def penalty(game: Game, team: Team, period: int | None = None) -> Award:
    """What the opponent now gets for this team's next common foul."""
    return award_for(game, team_fouls(game, team, period) + 1)


def foul_period(game: Game, before_horn: bool | None = None) -> int:
    """The period in which a foul called now counts."""
    between = game.phase in (Phase.BEFORE, Phase.INTERVAL)
    if between and game.profile.fouls.interval_counts_next and not before_horn:
        return game.period + 1
    return max(1, game.period)


def player_charges(game: Game, team: Team, number: str) -> tuple[Charge, ...]:
    """The fouls on a player, in the order of the book."""
    return tuple(
        charge
        for charge in game.charges
        if (charge.team, charge.number, charge.on) == (team, number, Offender.PLAYER)
    )


def player_fouls(game: Game, team: Team, number: str) -> int:
    """How many fouls count on a player."""
    kinds = game.profile.fouls.kinds
    return sum(kinds[charge.foul].player for charge in player_charges(game, team, number))


def is_out(game: Game, team: Team, number: str) -> bool:
    """Whether a player may play no more."""
    if player_fouls(game, team, number) >= game.profile.fouls.limit:
        return True
    charged = [charge.foul for charge in player_charges(game, team, number)]
    return any(
        rule.ejects_at is not None and charged.count(kind) >= rule.ejects_at
        for kind, rule in game.profile.fouls.kinds.items()
    )


# --- time-outs ------------------------------------------------------------------------------


def timeouts_left(game: Game, team: Team, kind: str | None = None) -> int:
    """Time-outs a team may still take now, of one kind or of all; below zero if it took more."""
    kinds = [kind] if kind else list(game.profile.timeouts.kinds)
    return sum(_left_of_kind(game, team, name) for name in kinds)


def _left_of_kind(game: Game, team: Team, kind: str) -> int:
    profile, now = game.profile, max(1, game.period)
    mine = [a for a in profile.timeouts.allotments if a.kind == kind]
    granted = sum(a.count * _stretches(profile, a, now) for a in mine)
    used = sum(
        line.team is team and line.kind == kind and _still_counts(profile, mine, line.period, now)
        for line in game.timeouts
    )
    return granted - used


def _stretches(profile: Profile, allotment: Allotment, now: int) -> int:
    """How many stretches so far have given what an allotment still lends now."""
    overtimes = max(0, now - profile.periods.count)
    if allotment.per is Span.OVERTIME:
        return overtimes if allotment.carries else min(1, overtimes)
    if overtimes and not allotment.carries:
        return 0
    if allotment.per is Span.PERIOD:
        return min(now, profile.periods.count) if allotment.carries else 1
    if allotment.per is Span.HALF:
        return 2 if allotment.carries and now > profile.periods.half_after else 1
    return 1


def _still_counts(profile: Profile, mine: list[Allotment], then: int, now: int) -> bool:
    """Whether a time-out taken then is charged to what a team has now."""
    spans = [Span.OVERTIME] if now > profile.periods.count else [a.per for a in mine]
    if any(allotment.carries for allotment in mine):
        return True
    return any(same_stretch(profile, span, max(1, then), now) for span in spans)


def timeouts_used(game: Game, team: Team) -> int:
    """Time-outs a team has taken in the whole game."""
    return sum(line.team is team for line in game.timeouts)


# --- the book's newest lines ----------------------------------------------------------------


def entry_of(item: int) -> int:
    """The journal entry that made a line of the book."""
    return item // ITEMS_PER_ENTRY


def needs_number(line: Goal | Charge) -> bool:
    """Whether a line waits for a shirt number."""
    if line.number is not None:
        return False
    if isinstance(line, Goal):
        return not line.own_basket
    return line.on is Offender.PLAYER


def open_lines(game: Game) -> tuple[Goal | Charge, ...]:
    """Lines that wait for a shirt number, in the order of the book."""
    lines: list[Goal | Charge] = [*game.goals, *game.charges]
    return tuple(sorted(filter(needs_number, lines), key=lambda line: line.item))


def find(game: Game, item: int) -> BookLine | None:
    """The line of that item, if it is still in the book."""
    book: list[Sequence[BookLine]] = [game.goals, game.charges, game.adjustments, game.timeouts]
    for lines in book:
        # Each stands in the order of its items, and it is a new one that is mostly meant.
        nearest = next((line for line in reversed(lines) if line.item <= item), None)
        if nearest and nearest.item == item:
            return nearest
    return None


def lines_of(game: Game, entry: int) -> tuple[BookLine, ...]:
    """The lines that one journal entry made."""
    return tuple(line for line in _all_lines(game) if entry_of(line.item) == entry)


def newest_charge(game: Game) -> Charge | None:
    """The foul booked last."""
    return max(game.charges, key=lambda charge: charge.item, default=None)


def owed_to(game: Game, team: Team) -> Owed | None:
    """The first award of throws that a team has not all taken."""
    return next((owed for owed in game.owed if owed.team is team), None)


def newest(game: Game) -> Goal | Charge | TimeoutLine | None:
    """The newest line that a correction may change."""
    lines = [line for line in _all_lines(game) if isinstance(line, Goal | Charge | TimeoutLine)]
    return max(lines, key=lambda line: line.item, default=None)


def _all_lines(game: Game) -> Iterator[BookLine]:
    yield from game.goals
    yield from game.charges
    yield from game.adjustments
    yield from game.timeouts


# --- periods ----------------------------------------------------------------------------------


def is_overtime(game: Game, period: int | None = None) -> bool:
    """Whether a period, by default the present one, is an overtime."""
    return (game.period if period is None else period) > game.profile.periods.count


def legal_on_roster(profile: Profile, number: str) -> bool:
    """Whether the league allows that shirt number."""
    return number in profile.legal_numbers()
