"""A game's setup, made from pairs of key and value; `pairs` turns it back into them.

One reader serves setup files, scripts and the journal: all of them give the same pairs.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, replace
from enum import Enum
from pathlib import Path
from typing import Final, TypeVar

from callout.errors import CalloutError, InputError
from callout.game.figures.score import illegal_numbers
from callout.game.notices.kinds import NUMBER_ILLEGAL, Notice
from callout.game.profile.file import load_profile, profile_names, unlisted
from callout.game.profile.profile import Profile
from callout.game.state import Owner, Side
from callout.game.terms import Team
from callout.language.shipped import ENGLISH
from callout.plain import plain
from callout.table.setup.header import KEYS, header_lines
from callout.table.setup.header import Item as Item
from callout.table.setup.people import ASSISTANT, COACH, Person, parse_officials
from callout.table.setup.player_table import read_roster
from callout.table.setup.roster import Player, RosterError, check_number, parse_roster
from callout.table.setup.server_address import check_address

E = TypeVar("E", bound=Enum)


class Book(Enum):
    """Whether this book is the game's official one."""

    OFFICIAL = "official"
    SECOND = "second"


@dataclass(frozen=True, slots=True)
class Listed:
    """A team as its header lines give it."""

    name: str
    players: tuple[Player, ...] = ()
    coach: str | None = None
    """The number of a player who is also the coach."""
    words: tuple[str, ...] = ()
    """Other words by which it may be called: its colour, its nickname."""
    captain: str | None = None

    def side(self) -> Side:
        """The team as the game knows it."""
        starters = tuple(player.number for player in self.players if player.starter)
        numbers = tuple(player.number for player in self.players)
        return Side(self.name, numbers, starters, self.coach)


@dataclass(frozen=True, slots=True)
class Setup:
    """Everything known of a game before it begins."""

    profile: str
    home: Listed
    guest: Listed
    owner: Owner = Owner.OURS
    book: Book = Book.OFFICIAL
    wake: tuple[str, ...] = ()
    """The words with which a call must begin for the open ear to take it; empty for none."""
    source: str = ""
    """Where a script's game comes from: a case of a rule book, a worked example."""
    situation: str = ""
    language: str = ENGLISH
    """The code of the language in which it is called; a book may come from a program with more."""
    league: str = ""
    """The address of the league's server to which the game is sent; empty for none."""
    fixture: str = ""
    """The key of the game in the league's list."""
    place: str = ""
    competition: str = ""
    people: tuple[Person, ...] = ()
    """Coaches, assistants and officials whose names are known."""

    def team(self, team: Team) -> Listed:
        """The team of that side."""
        return self.home if team is Team.HOME else self.guest

    def rules(self) -> Profile:
        """The rules of its league."""
        return load_profile(self.profile)

    def warnings(self) -> tuple[Notice, ...]:
        """Notices of what is accepted against the league's rules: illegal shirt numbers."""
        rules = self.rules()
        return tuple(
            Notice(NUMBER_ILLEGAL, {"team": team, "number": number}).by_rules(rules)
            for team in Team
            for number in illegal_numbers(rules, self.team(team).side().numbers)
        )


def read_setup(path: Path) -> Setup:
    """The setup of a file of header lines.

    Raises:
        InputError: the file cannot be read or has a mistake; `path:line: …`.
    """
    return make_setup(header_lines(path), path)


def make_setup(items: Iterable[Item], path: Path) -> Setup:
    """The setup given by header lines.

    `path` is named in messages, and CSV lists are looked for beside it. In a recorded game names
    may contain anything, so control characters are escaped.

    Raises:
        InputError: a key is unknown or given twice, a value is wrong, a team or the profile is
            missing.
    """
    given: dict[str, Item] = {}
    for item in items:
        if item.key not in KEYS:
            what = f"expected a key ({', '.join(KEYS)}), got {item.key!r}"
            raise InputError(path, what, item.line)
        if item.key in given:
            raise InputError(path, f"expected {item.key!r} once, got it again", item.line)
        given[item.key] = item
    setup = Setup("", Listed(""), Listed(""))
    # Starters refer to a team's list and to its league, so the order of KEYS matters.
    for key in KEYS:
        if key in given:
            try:
                setup = _READERS[key](setup, plain(given[key].value.strip()), path)
            except RosterError as error:
                raise InputError(path, f"{key}: {error}", given[key].line) from None
        elif key in ("profile", "home", "guest"):
            raise InputError(path, f"expected a line '{key}: …', got none")
    return setup


# --- one small function for each key --------------------------------------------------------

_Reader = Callable[[Setup, str, Path], Setup]


def _with(setup: Setup, team: Team, listed: Listed) -> Setup:
    return replace(setup, home=listed) if team is Team.HOME else replace(setup, guest=listed)


def _profile(setup: Setup, value: str, path: Path) -> Setup:
    if value not in profile_names():
        raise RosterError(unlisted(value))
    return replace(setup, profile=value)


def _text(field: str) -> _Reader:
    return lambda setup, value, path: replace(setup, **{field: value})  # type: ignore[arg-type]


def _team(team: Team) -> _Reader:
    def read(setup: Setup, value: str, path: Path) -> Setup:
        name, _, numbers = value.partition("|")
        if not name.strip():
            raise RosterError(f"expected 'NAME | NUMBERS', got {value!r}")
        return _with(setup, team, Listed(name.strip(), parse_roster(numbers)))

    return read


def _roster(team: Team) -> _Reader:
    def read(setup: Setup, value: str, path: Path) -> Setup:
        listed = setup.team(team)
        if listed.players:
            raise RosterError(f"expected one list of players, got numbers and {value!r}")
        return _with(setup, team, replace(listed, players=read_roster(path.parent / value)))

    return read


def _starters(team: Team) -> _Reader:
    def read(setup: Setup, value: str, path: Path) -> Setup:
        numbers = [check_number(number) for number in value.replace(",", " ").split()]
        listed = setup.team(team)
        for number in numbers:
            _number_of(listed, number, "a number on the list")
        most = setup.rules().roster.on_court
        if len(set(numbers)) > most:
            raise RosterError(f"expected at most {most} starters, got {len(set(numbers))}")
        players = tuple(replace(p, starter=p.number in numbers) for p in listed.players)
        return _with(setup, team, replace(listed, players=players))

    return read


def _number_of(listed: Listed, value: str, who: str) -> str:
    if value not in [player.number for player in listed.players]:
        raise RosterError(f"expected {who}, got {value!r}")
    return value


def _captain(team: Team) -> _Reader:
    def read(setup: Setup, value: str, path: Path) -> Setup:
        number = _number_of(setup.team(team), value, "a number on the list")
        return _with(setup, team, replace(setup.team(team), captain=number))

    return read


def _coach(team: Team) -> _Reader:
    named = _staff(team, COACH)

    def read(setup: Setup, value: str, path: Path) -> Setup:
        if not value[:1].isdigit():
            return named(setup, value, path)
        who = "a name, or the number of a player on the list who is also the coach"
        number = _number_of(setup.team(team), value, who)
        return _with(setup, team, replace(setup.team(team), coach=number))

    return read


def _staff(team: Team, role: str) -> _Reader:
    def read(setup: Setup, value: str, path: Path) -> Setup:
        if not value:
            raise RosterError("expected a name, got nothing")
        return replace(setup, people=(*setup.people, (team.value, role, value)))

    return read


def _officials(setup: Setup, value: str, path: Path) -> Setup:
    officials = parse_officials(value, setup.rules().sheet.officials)
    return replace(setup, people=(*setup.people, *officials))


def _words(team: Team) -> _Reader:
    def read(setup: Setup, value: str, path: Path) -> Setup:
        listed = setup.team(team)
        new = tuple(word.strip().lower() for word in value.split(",") if word.strip())
        if not new:
            raise RosterError("expected a word, got nothing")
        return _with(setup, team, replace(listed, words=(*listed.words, *new)))

    return read


def _clock(setup: Setup, value: str, path: Path) -> Setup:
    return replace(setup, owner=_one_of(Owner, value))


def _book(setup: Setup, value: str, path: Path) -> Setup:
    return replace(setup, book=_one_of(Book, value))


def _wake(setup: Setup, value: str, path: Path) -> Setup:
    words = tuple(value.lower().split())
    if not words:
        raise RosterError("expected a word, got nothing")
    return replace(setup, wake=words)


def _league(setup: Setup, value: str, path: Path) -> Setup:
    try:
        return replace(setup, league=check_address(value))
    except CalloutError as error:
        raise RosterError(str(error)) from None


def _one_of(kinds: type[E], value: str) -> E:
    known = [kind.value for kind in kinds]
    if value not in known:
        raise RosterError(f"expected one of {', '.join(known)}, got {value!r}")
    return kinds(value)


_OF_TEAM: Final[tuple[tuple[str, Callable[[Team], _Reader]], ...]] = (
    ("roster", _roster), ("starters", _starters), ("captain", _captain), ("coach", _coach),
    ("assistant", lambda team: _staff(team, ASSISTANT)), ("colour", _words), ("nickname", _words),
)  # fmt: skip
_READERS: Final[Mapping[str, _Reader]] = {
    "profile": _profile,
    "language": _text("language"),
    "source": _text("source"),
    "situation": _text("situation"),
    "place": _text("place"),
    "competition": _text("competition"),
    "officials": _officials,
    "clock": _clock,
    "book": _book,
    "wake": _wake,
    "home": _team(Team.HOME),
    "guest": _team(Team.GUEST),
    **{f"{key} {team.value}": reader(team) for key, reader in _OF_TEAM for team in Team},
    "league": _league,
    "fixture": _text("fixture"),
}
