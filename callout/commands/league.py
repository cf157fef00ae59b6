"""`callout league`: what the secretary of a league asks of its server, and sets up there."""

from __future__ import annotations

import csv
import io
import json
import sys
import time
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final

from rich.box import SIMPLE
from rich.console import Console
from rich.table import Table
from rich.text import Text

from callout.commands.league_page import league_page
from callout.counted import counted
from callout.edges.league import setting_up
from callout.edges.league.answers import ANSWERS, LEADERS, Answer, ask, number_columns, told
from callout.edges.league.fixtures_file import read_fixtures
from callout.edges.league.migrations import LONGEST_MS, check_schema, known, migrate
from callout.edges.league.placing import find_fixtures, place
from callout.edges.league.results import catch_up, rebuild
from callout.edges.league.server import connected
from callout.errors import CalloutError
from callout.game.profile.file import profile_names, unlisted
from callout.league.ranking import find_rules
from callout.plain import plain

if TYPE_CHECKING:
    from callout.edges.league.server import Connection


FILE_WIDTH: Final = 200
"""Columns of an answer that goes into a file."""


@dataclass(frozen=True, slots=True)
class Asked:
    """What stands on the command line behind the word."""

    values: Sequence[str] = ()
    season: str = ""
    form: str = "text"
    """`text`, `csv` or `json`."""
    profile: str = ""
    ranking: str = "fiba"
    names: bool = False

    def one(self, what: str) -> str:
        """The one value.

        Raises:
            CalloutError: there is none, or there are more.
        """
        if len(self.values) != 1:
            raise CalloutError(f"expected {what}, got {len(self.values)} values")
        return self.values[0]


def run(what: str, address: str, asked: Asked) -> int:
    """Do what was asked; returns the exit status.

    Raises:
        CalloutError: it is unknown, or the server refuses it.
    """
    known_words = (*ANSWERS, "page", *_DOES)
    if what not in known_words:
        raise CalloutError(f"expected one of {', '.join(known_words)}, got {what!r}")
    if not address:
        raise CalloutError("expected the league's server: --on postgresql://ROLE@HOST/DATABASE")
    if what == "page":
        return league_page(address, asked.season, asked.values)
    with connected(address, LONGEST_MS if what == "migrate" else LONGEST_MS // 10) as connection:
        if what != "migrate":
            check_schema(connection)
        if what in _DOES:
            return _DOES[what](connection, asked)
        season = setting_up.season_of(connection, asked.season)
        catch_up(connection)
        figure = asked.one(f"one of {', '.join(LEADERS)}") if asked.values else ""
        _show(ask(connection, season, what, figure), asked.form)
    return 0


# --- what is shown --------------------------------------------------------------------------------


def _show(answer: Answer, form: str) -> None:
    if form == "json":
        rows = [dict(zip(answer.heads, map(told, row), strict=True)) for row in answer.rows]
        print(json.dumps(rows, ensure_ascii=False))
    elif form == "csv":
        text = io.StringIO()
        writer = csv.writer(text, lineterminator="\n")
        writer.writerow(answer.heads)
        writer.writerows([_cell(value) for value in row] for row in answer.rows)
        print(text.getvalue(), end="")
    else:
        _print(answer)


def _print(answer: Answer) -> None:
    """A table that a narrow terminal folds, and nothing cuts short."""
    shown = Table(title=plain(answer.title), title_justify="left", box=SIMPLE, padding=(0, 1, 0, 0))
    numbers = number_columns(answer)
    for at, head in enumerate(answer.heads):
        shown.add_column(head, justify="right" if at in numbers else "left", overflow="fold")
    for row in answer.rows:
        shown.add_row(*(Text(plain(str(told(value)))) for value in row))
    console = Console(highlight=False)
    if not console.is_terminal:
        console.width = FILE_WIDTH
    console.print(shown)


def _cell(value: Any) -> Any:
    """A cell of CSV that no spreadsheet takes for a formula.

    Source: OWASP, "CSV Injection": a cell that begins with one of these signs may be one.
    """
    shown = told(value)
    return f"'{shown}" if isinstance(shown, str) and shown[:1] in tuple("=+-@\t\r") else shown


# --- what is done ---------------------------------------------------------------------------------


def _migrate(connection: Connection, asked: Asked) -> int:
    done = migrate(connection)
    for each in done:
        print(f"migration {each.number} applied: {each.name.replace('_', ' ')}")
    print(f"The server has schema {known()[-1].number}{'' if done else ' already'}.")
    return 0


def _found(connection: Connection, asked: Asked) -> int:
    if len(asked.values) != 2 or not all(each.strip() for each in asked.values):
        raise CalloutError("expected two names: callout league found LEAGUE SEASON")
    if asked.profile not in profile_names():
        raise CalloutError(f"--profile: {unlisted(asked.profile)}")
    league, season = asked.values
    rules = find_rules(asked.ranking)
    setting_up.found(connection, league, season, asked.profile, rules, asked.names)
    print(plain(f"{league}, {season}: it is there; names are {'' if asked.names else 'not '}kept"))
    return 0


def _fixtures(connection: Connection, asked: Asked) -> int:
    path = Path(asked.one("a file of fixtures"))
    fixtures = read_fixtures(path)
    season = setting_up.season_of(connection, asked.season)
    count = setting_up.add_fixtures(connection, season, fixtures)
    placed = find_fixtures(connection)
    late = f"; games that had come before and are one of them: {placed}" if placed else ""
    print(plain(f"{path}: {counted(count, 'fixture')}{late}"))
    return 0


def _place(connection: Connection, asked: Asked) -> int:
    """Make a game that fixture's, or no fixture's."""
    try:
        game, *keys = asked.values
        [key] = keys or [""]
        number = bytes.fromhex(game)
    except ValueError:
        raise CalloutError("expected a game's id and a fixture, as callout league missing prints "
                           "them: callout league place 1f4e… FIXTURE") from None  # fmt: skip
    season = setting_up.season_of(connection, asked.season)
    print(plain(place(connection, season, number, key)))
    return 0


def _rebuild(connection: Connection, asked: Asked) -> int:
    began, found = time.monotonic(), None
    for found in rebuild(connection):
        if sys.stderr.isatty():
            print(f"\r{counted(found.games, 'book')}", end="", file=sys.stderr)
    if found is None:
        print("No game is there.")
        return 0
    for game, version, kept, right in found.differing:
        was = f"{kept.home}-{kept.guest}" if kept else "nothing"
        print(f"{game.hex()}, version {version}: {was} was kept, the entries make "
              f"{right.home}-{right.guest}; put right")  # fmt: skip
    rate = found.entries / max(time.monotonic() - began, 0.001)
    entries = counted(found.entries, "entry", "entries")
    print(f"{counted(found.games, 'book')} of {entries} played again, {rate:,.0f} a second: "
          f"{counted(len(found.differing), 'result')} differed, and the sums of "
          f"{counted(found.sums, 'team')}.")  # fmt: skip
    return int(bool(found.differing or found.sums))


def _strike(connection: Connection, asked: Asked) -> int:
    season = None if asked.season == "all" else setting_up.season_of(connection, asked.season)
    row = connection.execute("SELECT callout.strike_names(%s)", (season,)).fetchone()
    count = row[0] if row else 0
    print(f"{counted(count, 'player')}: names and initials struck; numbers and books are as they "
          "were, and no name is taken any more.\nNot known here: the server's backups, its old "
          "pages until they are vacuumed, and the games' own files: callout forget.")  # fmt: skip
    return 0


def _count(connection: Connection, asked: Asked) -> int:
    """Make a version of a game the one that counts."""
    try:
        game, version = asked.values
        key, number = bytes.fromhex(game), int(version)
    except ValueError:
        raise CalloutError("expected a game's id and a version: callout league count "
                           "1f4e… 2") from None  # fmt: skip
    done = connection.execute(
        "UPDATE callout.game SET counts = %(version)s WHERE id = %(game)s AND EXISTS "
        "(SELECT FROM callout.version v WHERE v.game = %(game)s AND v.version = %(version)s)",
        {"game": key, "version": number},
    )
    if not done.rowcount:
        raise CalloutError(f"no version {number} of game {game:.40} is there")
    print(f"{game}: version {number} counts now")
    return 0


_DOES: Final[Mapping[str, Callable[[Connection, Asked], int]]] = {
    "migrate": _migrate,
    "found": _found,
    "fixtures": _fixtures,
    "place": _place,
    "count": _count,
    "rebuild": _rebuild,
    "strike": _strike,
}
