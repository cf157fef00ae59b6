"""A league's table: the teams in order, by rules that are data.

Source: FIBA Official Basketball Rules, Appendix D, for the way in which ties are broken: as soon as
some teams can be told apart, the whole procedure begins again for those that still are level.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from pathlib import Path
from typing import Any, Final

from callout.errors import CalloutError, InputError
from callout.reading import read_toml

FILE: Final = Path(__file__).parent / "rankings.toml"
FIGURES: Final = ("points", "share", "difference", "scored", "ratio")
SCOPES: Final = ("between", "all")
OUTCOMES: Final = ("win", "loss", "default", "forfeit")


@dataclass(frozen=True, slots=True)
class Played:
    """One game that counts."""

    home: str
    guest: str
    home_points: int
    guest_points: int
    lost: str = ""
    """`home` or `guest` where that team lost by forfeit or default."""
    defaulted: bool = False


@dataclass(frozen=True, slots=True)
class Rules:
    """How teams are ranked."""

    points: Mapping[str, int]
    first: str
    ties: tuple[str, ...]

    def dump(self) -> dict[str, Any]:
        """As plain values, from which `read_rules` makes the same."""
        return {"points": dict(self.points), "first": self.first, "ties": list(self.ties)}


@dataclass(frozen=True, slots=True)
class Standing:
    """One line of the table."""

    rank: int
    """Teams that nothing tells apart have the same."""
    team: str
    played: int
    won: int
    lost: int
    points: int
    scored: int
    conceded: int
    decided_by: str = ""
    """The tie-break that put it here; empty where none was needed."""

    @property
    def difference(self) -> int:
        """Points scored less points conceded."""
        return self.scored - self.conceded


def known_rankings() -> dict[str, Rules]:
    """The rankings that come with the program, by name."""
    data, _ = read_toml(FILE)
    return {name: read_rules(value) for name, value in data.items()}


def find_rules(name: str) -> Rules:
    """The rules of that name, or of a file with one of its own.

    Raises:
        CalloutError: there is no such ranking, or the file is wrong.
    """
    known = known_rankings()
    if name in known:
        return known[name]
    path = Path(name)
    if path.suffix != ".toml":
        raise CalloutError(f"expected a ranking ({', '.join(known)}) or a .toml file, got {name!r}")
    data, _ = read_toml(path)
    try:
        (value,) = data.values()
        return read_rules(value)
    except ValueError as error:
        raise InputError(path, f"expected one ranking: {error}") from None


def read_rules(value: object) -> Rules:
    """The rules of plain values.

    Raises:
        ValueError: they are not those of a ranking.
    """
    if not isinstance(value, dict):
        raise ValueError(f"expected a table, got {value!r:.40}")
    points, first, ties = value.get("points"), value.get("first"), value.get("ties")
    if not isinstance(points, dict) or sorted(points) != sorted(OUTCOMES):
        raise ValueError(f"expected points for {', '.join(OUTCOMES)}, got {points!r:.80}")
    if not all(type(each) is int for each in points.values()):
        raise ValueError(f"expected whole numbers of points, got {points!r:.80}")
    if first not in FIGURES:
        raise ValueError(f"expected first as one of {', '.join(FIGURES)}, got {first!r:.40}")
    allowed = [f"{scope}.{figure}" for scope in SCOPES for figure in FIGURES]
    if not isinstance(ties, list) or not all(each in allowed for each in ties):
        raise ValueError(f"expected ties such as {allowed[0]}, got {ties!r:.80}")
    return Rules(points, first, tuple(ties))


class _Sums:
    """What each team has from some games."""

    def __init__(self, teams: Iterable[str], games: Iterable[Played], rules: Rules) -> None:
        self.of = {team: [0, 0, 0, 0, 0] for team in teams}  # won, lost, points, scored, conceded
        for game in games:
            self._add(game.home, game.home_points, game.guest_points, game, "home", rules)
            self._add(game.guest, game.guest_points, game.home_points, game, "guest", rules)

    def _add(self, team: str, own: int, other: int, game: Played, side: str, rules: Rules) -> None:
        mine = self.of[team]
        won = own > other if not game.lost else game.lost != side
        drawn = own == other and not game.lost
        outcome = "win" if won else "loss"
        if game.lost == side:
            outcome = "default" if game.defaulted else "forfeit"
        mine[0] += won
        mine[1] += not won and not drawn
        # A level score is no result in basketball; such a game gives nobody anything.
        mine[2] += 0 if drawn else rules.points[outcome]
        mine[3] += own
        mine[4] += other

    def figure(self, name: str, team: str) -> Fraction:
        """One figure of a team; more is better."""
        won, lost, points, scored, conceded = self.of[team]
        match name:
            case "points":
                return Fraction(points)
            case "share":
                return Fraction(won, won + lost) if won + lost else Fraction(0)
            case "difference":
                return Fraction(scored - conceded)
            case "scored":
                return Fraction(scored)
            case _:
                # Who conceded nothing is above whoever conceded anything.
                return Fraction(scored, conceded) if conceded else Fraction(scored * 1_000_000)


def classify(teams: Sequence[str], games: Sequence[Played], rules: Rules) -> list[Standing]:
    """The table, best team first."""
    everything = _Sums(teams, games, rules)
    placed: list[tuple[list[str], str]] = []
    for group in _split(teams, lambda team: everything.figure(rules.first, team)):
        placed += _resolve(group, games, everything, rules, "")
    table, rank = [], 1
    for level, by in placed:
        for team in sorted(level):
            won, lost, points, scored, conceded = everything.of[team]
            table.append(Standing(rank, team, won + lost, won, lost, points, scored, conceded, by))
        rank += len(level)
    return table


def _resolve(
    group: list[str], games: Sequence[Played], everything: _Sums, rules: Rules, by: str
) -> Iterator[tuple[list[str], str]]:
    """Groups of teams that nothing tells apart, in order, with what put each there."""
    if len(group) > 1:
        inner = _Sums(group, _between(group, games), rules)
        for tie in rules.ties:
            scope, _, figure = tie.partition(".")
            sums = inner if scope == "between" else everything
            parts = _split(group, lambda team, s=sums, f=figure: s.figure(f, team))
            if len(parts) > 1:
                for part in parts:
                    yield from _resolve(part, games, everything, rules, tie)
                return
        by = "level"
    yield group, by


def _between(group: Sequence[str], games: Iterable[Played]) -> list[Played]:
    inside = set(group)
    return [game for game in games if game.home in inside and game.guest in inside]


def _split(teams: Iterable[str], figure: Any) -> list[list[str]]:
    """The teams in groups of the same figure, the highest first."""
    by_figure: dict[Fraction, list[str]] = {}
    for team in teams:
        by_figure.setdefault(figure(team), []).append(team)
    return [by_figure[value] for value in sorted(by_figure, reverse=True)]
