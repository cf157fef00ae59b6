"""The rows of a printed box score: players, what belongs to none of them, and the team's sum."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field

from callout.game.figures.fouls import is_out, player_charges
from callout.game.figures.score import needs_number, unlisted
from callout.game.state import Charge, Game, Goal
from callout.game.terms import FoulKind, Offender, Team
from callout.table.view import View
from callout.words import Words


@dataclass(frozen=True, slots=True)
class BoxRow:
    """One row: what a player, or several lines together, did."""

    head: str
    """The shirt number, or whose the row is."""
    listed: bool = False
    made: Mapping[int, int] = field(default_factory=dict)
    """Field goals made, by what each counts."""
    throws_made: int = 0
    throws_missed: int = 0
    fouls: tuple[FoulKind, ...] = ()
    """In the order in which they were charged."""
    out: bool = False
    points: int = 0


def box_rows(words: Words, game: Game, team: Team, seen: View) -> tuple[BoxRow, ...]:
    """A team's rows; the last is the sum of the others, and its points are the score."""
    rows = tuple(_rows(words, game, team, seen))
    return (*rows, total(words, rows))


def total(words: Words, rows: Sequence[BoxRow]) -> BoxRow:
    """The sum of rows."""
    kinds = sorted({kind for row in rows for kind in row.made})
    return BoxRow(
        words("total"),
        made={kind: sum(row.made.get(kind, 0) for row in rows) for kind in kinds},
        throws_made=sum(row.throws_made for row in rows),
        throws_missed=sum(row.throws_missed for row in rows),
        fouls=tuple(kind for row in rows for kind in row.fouls),
        points=sum(row.points for row in rows),
    )


def _rows(words: Words, game: Game, team: Team, seen: View) -> Iterator[BoxRow]:
    goals = [goal for goal in game.goals if goal.team is team]
    charges = [charge for charge in game.charges if charge.team is team]
    known = list(seen["players"][team.value])
    for number in known:
        own = player_charges(game, team, number)
        charges = [charge for charge in charges if charge not in own]
        mine = [goal for goal in goals if goal.number == number]
        yield _row(game, number, mine, own, listed=True, out=is_out(game, team, number))
    for number in seen["unlisted"][team.value]:
        lines = unlisted(game, team, number)
        mine = [line for line in lines if isinstance(line, Goal)]
        own = tuple(line for line in lines if isinstance(line, Charge))
        charges = [charge for charge in charges if charge not in own]
        yield _row(game, words("shirt_unlisted", number=number), mine, own)
    yield from _of_nobody(words, game, team, goals, charges)


def _of_nobody(
    words: Words, game: Game, team: Team, goals: Sequence[Goal], charges: Sequence[Charge]
) -> Iterator[BoxRow]:
    """What no shirt has: open lines, coach and bench, own baskets, the officials' word."""
    open_goals = [g for g in goals if needs_number(g) and g.said is None]
    own_baskets = [goal for goal in goals if goal.own_basket and goal.number is None]
    open_charges = [charge for charge in charges if charge.on is Offender.PLAYER]
    others = [charge for charge in charges if charge.on is not Offender.PLAYER]
    given = sum(line.points for line in game.adjustments if line.team is team)
    rows = (
        _row(game, words("no_number_yet"), open_goals, open_charges),
        _row(game, words("coach_bench_team"), [], others),
        _row(game, words("own_baskets"), own_baskets, []),
        BoxRow(words("officials_word"), points=given),
    )
    yield from (row for row in rows if row.points or row.fouls or row.throws_missed)


def _row(
    game: Game,
    head: str,
    goals: Sequence[Goal],
    charges: Iterable[Charge],
    listed: bool = False,
    out: bool = False,
) -> BoxRow:
    field_goals = [goal.points for goal in goals if not goal.free_throw]
    throws = [goal.made for goal in goals if goal.free_throw]
    return BoxRow(
        head,
        listed,
        {kind: field_goals.count(kind) for kind in sorted(game.profile.goals.field)},
        throws.count(True),
        throws.count(False),
        tuple(charge.foul for charge in charges),
        out,
        sum(goal.counts for goal in goals),
    )
