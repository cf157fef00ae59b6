"""One real PostgreSQL for all tests of the league, and a new database for each."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import closing
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

from callout.edges.league.migrations import migrate
from callout.edges.league.sending import Sent, send
from callout.edges.league.server import connected
from callout.edges.league.setting_up import add_fixtures, found
from callout.league.fixtures import Fixture
from callout.league.parcel import Parcel, parcel_of
from callout.league.ranking import known_rankings
from callout.table.book.journal import Journal
from callout.table.setup.setup import Setup
from tests.postgres import OWNER, Postgres, server_or_skip
from tests.table.play import SETUP, Table

if TYPE_CHECKING:
    from callout.edges.league.server import Connection

NOW_S = 1_795_000_000.0
PEOPLE = ("gym_7", "gym_8", "secretary", "reader", "stranger")
ROLES = """
CREATE ROLE gym_7 LOGIN IN ROLE callout_table;
CREATE ROLE gym_8 LOGIN IN ROLE callout_table;
CREATE ROLE secretary LOGIN IN ROLE callout_secretary;
CREATE ROLE reader LOGIN IN ROLE callout_reader;
CREATE ROLE stranger LOGIN;
"""
EMPTY = """
SET session_replication_role = replica;
TRUNCATE callout.league, callout.season, callout.team, callout.fixture, callout.game,
    callout.version, callout.entry, callout.person, callout.sending, callout.result,
    callout.player_line, callout.offence, callout.pair_sum, callout.player_sum, callout.stale
    RESTART IDENTITY;
"""
"""Only a superuser may switch the triggers off, which keep entries from being removed."""


@dataclass
class League:
    """A database with a season, two teams and one fixture."""

    server: Postgres
    database: str
    season: int = 0

    def address(self, role: str = "gym_7", options: str = "") -> str:
        """How a role reaches it."""
        return self.server.address(role, self.database, options)

    def sql(self, text: str, role: str = OWNER) -> str:
        """What psql prints."""
        return self.server.sql(text, self.database, role)

    def send(self, parcel: Parcel, role: str = "gym_7", names: bool = False) -> Sent:
        """Send a game as that role."""
        with connected(self.address(role)) as connection:
            return send(connection, parcel, NOW_S, names)

    def entries(self) -> list[tuple[int, int]]:
        """The version and the number of every entry, in the order of the table."""
        rows = self.sql("SELECT version, number FROM callout.entry ORDER BY game, version, number")
        pairs = [line.split("|") for line in rows.splitlines()]
        return [(int(version), int(number)) for version, number in pairs]


@pytest.fixture(scope="session")
def server() -> Iterator[Postgres]:
    """A running server."""
    with server_or_skip() as running:
        yield running


@pytest.fixture(scope="session")
def tables(server: Postgres) -> str:
    """The name of a database with the league's tables."""
    name = server.database()
    with connected(server.address(OWNER, name)) as connection:
        migrate(connection)
    server.sql(ROLES)
    return name


@pytest.fixture
def league(server: Postgres, tables: str) -> League:
    """A league of two teams and one fixture, and nothing else."""
    made = League(server, tables)
    made.sql(EMPTY)
    with connected(made.address("secretary")) as connection:
        made.season = found(
            connection, "Harbour League", "2026-27", "nfhs-2026", known_rankings()["fiba"], False
        )
        add_fixtures(connection, made.season, [Fixture("G1", "Harbour Kites", "Quarry Foxes")])
    return made


@pytest.fixture
def secretary(league: League) -> Iterator[Connection]:
    """A connection of the secretary."""
    with connected(league.address("secretary")) as connection:
        yield connection


def played(*calls: str, setup: Setup = SETUP) -> Parcel:
    """A game with these calls, as it is sent."""
    return parcel_of(table_of(*calls, setup=setup).journal)


def table_of(*calls: str, setup: Setup = SETUP) -> Table:
    """A table that has heard these calls."""
    table = Table(setup)
    table.say("start clock")
    for call in calls:
        table.wait(20)
        table.say(call)
    table.wait(20)
    return table


def ended(table: Table) -> Table:
    """The same table after the end of its game."""
    for _ in range(4):
        table.say("end period", "yes")
        if table.game.phase.value == "over":
            return table
        table.say("start clock", "yes")
    table.say("end game", "yes")
    return table


def parcel_at(path: Path) -> Parcel:
    """The game of a file."""
    with closing(Journal.read(path)) as journal:
        return parcel_of(journal)
