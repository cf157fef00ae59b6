"""A league's table: the teams in order, by rules that are data.

Source: FIBA Official Basketball Rules, Appendix D, for the way in which ties are broken: as soon as
some teams can be told apart, the whole procedure begins again for those that still are level.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from pathlib import Path
from typing import Any, Final

from callout.errors import CalloutError, InputError
from callout.reading import read_toml

FILE: Final = Path(__file__).parent / "rankings.toml"
FIGURES: Final = ("points", "share", "difference", "scored", "ratio")
SCOPES: Final = ("between", "all")
LEVEL: Final = "level"
"""What is said of teams that nothing tells apart."""
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


@dataclass(frozen=True, slots=True)
class Tally:
    """What a team has from some games."""

    won: int = 0
    lost: int = 0
    """Games that were played and lost; not by default, and not by forfeit."""
    defaulted: int = 0
    forfeited: int = 0
    scored: int = 0
    conceded: int = 0

    def __add__(self, other: Tally) -> Tally:
        return Tally(
            self.won + other.won, self.lost + other.lost, self.defaulted + other.defaulted,
            self.forfeited + other.forfeited, self.scored + other.scored,
            self.conceded + other.conceded,
        )  # fmt: skip

    @property
    def all_lost(self) -> int:
        """Games lost in any way."""
        return self.lost + self.defaulted + self.forfeited

    def points(self, rules: Rules) -> int:
        """Points for the table."""
        counts = (self.won, self.lost, self.defaulted, self.forfeited)
        return sum(n * rules.points[what] for n, what in zip(counts, OUTCOMES, strict=True))

    def figure(self, name: str, rules: Rules) -> Fraction:
        """One figure; more is better."""
        match name:
            case "points":
                return Fraction(self.points(rules))
            case "share":
                played = self.won + self.all_lost
                return Fraction(self.won, played) if played else Fraction(0)
            case "difference":
                return Fraction(self.scored - self.conceded)
            case "scored":
                return Fraction(self.scored)
            case _:
                # Who conceded nothing is above whoever conceded anything.
                whole = Fraction(self.scored * 1_000_000)
                return Fraction(self.scored, self.conceded) if self.conceded else whole


Tallies = Mapping[str, Tally]
"""What each team has from some games."""
Groups = Sequence[Sequence[str]]
"""Teams that are level with each other; no team is in two groups."""


def tallies(games: Iterable[Played], teams: Iterable[str]) -> dict[str, Tally]:
    """What each of some teams has from the games between them."""
    made = dict.fromkeys(teams, Tally())
    for game in games:
        if game.home in made and game.guest in made:
            made[game.home] += _tally(game, "home")
            made[game.guest] += _tally(game, "guest")
    return made


def _tally(game: Played, side: str) -> Tally:
    own, other = game.home_points, game.guest_points
    if side == "guest":
        own, other = other, own
    lost = game.lost == side
    # A level score is no result in basketball; such a game gives nobody anything.
    return Tally(
        won=int(not lost and (bool(game.lost) or own > other)),
        lost=int(not game.lost and own < other),
        defaulted=int(lost and game.defaulted),
        forfeited=int(lost and not game.defaulted),
        scored=own, conceded=other,
    )  # fmt: skip


def classify(teams: Sequence[str], games: Sequence[Played], rules: Rules) -> list[Standing]:
    """The table after these games, best team first."""

    def between(groups: Groups) -> Tallies:
        return {team: own for each in groups for team, own in tallies(games, each).items()}

    return classify_sums(tallies(games, teams), between, rules)


def classify_sums(
    sums: Tallies, between: Callable[[Groups], Tallies], rules: Rules
) -> list[Standing]:
    """The table, best team first, from what each team has from all its games.

    `between` tells what each team of some groups has from the games within its own group. It is
    asked a few times, each time for all teams that still are level.
    """
    placed = [
        (group, "") for group in _split(sums, lambda team: sums[team].figure(rules.first, rules))
    ]
    while level := [group for group, by in placed if len(group) > 1 and by != LEVEL]:
        inner = between(level)
        placed = [
            part for group, by in placed for part in _told_apart(group, by, inner, sums, rules)
        ]
    table, rank = [], 1
    for group, by in placed:
        for team in sorted(group):
            own = sums[team]
            table.append(Standing(rank, team, own.won + own.all_lost, own.won, own.all_lost,
                                  own.points(rules), own.scored, own.conceded, by))  # fmt: skip
        rank += len(group)
    return table


def _told_apart(
    group: list[str], by: str, inner: Tallies, everything: Tallies, rules: Rules
) -> Iterator[tuple[list[str], str]]:
    """The groups into which the first tie-break that says anything parts a group."""
    if len(group) == 1 or by == LEVEL:
        yield group, by
        return
    for tie in rules.ties:
        scope, _, figure = tie.partition(".")
        sums = inner if scope == "between" else everything
        parts = _split(group, lambda team, s=sums, f=figure: s[team].figure(f, rules))
        if len(parts) > 1:
            for part in parts:
                yield part, tie
            return
    yield group, LEVEL


def _split(teams: Iterable[str], figure: Any) -> list[list[str]]:
    """The teams in groups of the same figure, the highest first."""
    by_figure: dict[Fraction, list[str]] = {}
    for team in teams:
        by_figure.setdefault(figure(team), []).append(team)
    return [by_figure[value] for value in sorted(by_figure, reverse=True)]
