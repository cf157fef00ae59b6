"""What the engine makes of one game's entries: the score, each player's line, what is wrong."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Final

from callout.game.figures.forfeits import official_score
from callout.game.figures.score import both_scores
from callout.game.fold import Entry, fold, new_game
from callout.game.state import Game, Phase
from callout.game.terms import FoulKind, Offender
from callout.table.book.audit import differences, missing, say_missing
from callout.table.setup.setup import Setup
from callout.table.view import View, view

MINOR: Final = (FoulKind.PERSONAL, FoulKind.OFFENSIVE, FoulKind.THROW_IN)
"""Fouls that are no matter of discipline."""


@dataclass(frozen=True, slots=True, order=True)
class PlayerLine:
    """One player's figures."""

    side: str
    number: str
    points: int
    made_1: int
    made_2: int
    made_3: int
    missed_1: int
    fouls: int


@dataclass(frozen=True, slots=True, order=True)
class Offence:
    """How often somebody was charged with a foul that is a matter of discipline."""

    side: str
    who: str
    """A shirt number, `coach`, `bench`, or `?` where the number is still open."""
    kind: str
    count: int


@dataclass(frozen=True, slots=True)
class Result:
    """A game, counted."""

    entries: int
    """The number of the newest entry."""
    over: bool
    period: int
    home: int
    guest: int
    lost: str = ""
    """The side that lost by forfeit or default, or nothing."""
    defaulted: bool = False
    problems: tuple[str, ...] = ()
    """Why the book does not add up."""
    lines: tuple[PlayerLine, ...] = ()
    offences: tuple[Offence, ...] = ()
    signed: bool = False
    """Whether the officials have approved the score."""


def result_of(setup: Setup, entries: Sequence[Entry]) -> Result:
    """The result of a game with these entries, oldest first."""
    start = new_game(setup.rules(), setup.home.side(), setup.guest.side(), setup.owner)
    game = fold(start, entries)
    seen = view(game, game.clock.left_at(entries[-1].at.wall_ms if entries else 0))
    lost = game.forfeit
    home, guest = official_score(game, lost) if lost else both_scores(game)
    return Result(
        entries=entries[-1].id if entries else 0,
        over=game.phase is Phase.OVER,
        period=game.period,
        home=home,
        guest=guest,
        lost=lost.team.value if lost else "",
        defaulted=lost.default if lost else False,
        problems=(*_gone(entries), *differences(game, seen), *_open(game, seen)),
        lines=tuple(sorted(_lines(seen["players"]))),
        offences=tuple(sorted(_offences(game))),
        signed=game.approval is not None,
    )


def _gone(entries: Iterable[Entry]) -> list[str]:
    return [f"{say_missing(gap)} missing" for gap in missing(entry.id for entry in entries)]


def _open(game: Game, seen: View) -> list[str]:
    """What still waits for a number in a game that is over."""
    return [
        f"{side}: {count} {what} of no player"
        for side, sums in seen["open"].items()
        for what, count in sums.items()
        if count and game.phase is Phase.OVER
    ]


def _lines(players: View) -> list[PlayerLine]:
    return [
        PlayerLine(
            side, number, one["points"], one["made"]["1"], one["made"]["2"], one["made"]["3"],
            one["missed_1"], one["fouls"],
        )
        for side, of_side in players.items()
        for number, one in of_side.items()
    ]  # fmt: skip


def _offences(game: Game) -> list[Offence]:
    counted = Counter(
        (charge.team, _who(charge.on, charge.number), charge.foul.value)
        for charge in game.charges
        if charge.foul not in MINOR
    )
    for team, number in game.sent_off:
        counted[team, number or Offender.COACH.value, "sent off"] += 1
    return [Offence(t.value, who, kind, count) for (t, who, kind), count in counted.items()]


def _who(on: Offender, number: str | None) -> str:
    if on is Offender.PLAYER:
        return number or "?"
    return str(on.value)
