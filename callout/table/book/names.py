"""People's names, stored apart from the game so that they can be deleted without changing it."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterable
from dataclasses import replace

from callout.game.terms import Team
from callout.plain import plain
from callout.table.setup.people import STAFF, Person
from callout.table.setup.setup import Listed, Setup

Name = tuple[str, str, str]
"""Team, shirt number, name; or for other people team, role, name, as a setup has them."""


def names_of(setup: Setup) -> tuple[Name, ...]:
    """Every name on both lists, and those of coaches, assistants and officials."""
    players = (
        (team.value, player.number, player.name)
        for team in Team
        for player in setup.team(team).players
        if player.name
    )
    return (*players, *setup.people)


def with_names(setup: Setup, names: Iterable[Name] = ()) -> Setup:
    """The setup with these names and no others; those of nobody that a setup has are ignored."""
    known = {(team, number): plain(name) for team, number, name in names}

    def named(team: Team) -> Listed:
        listed = setup.team(team)
        players = (replace(p, name=known.get((team.value, p.number), "")) for p in listed.players)
        return replace(listed, players=tuple(players))

    people = tuple((*who, name) for who, name in known.items() if _beside_players(*who))
    return replace(setup, home=named(Team.HOME), guest=named(Team.GUEST), people=people)


def _beside_players(whose: str, role: str) -> bool:
    """Whether it is no player: an official, or one of a team's staff."""
    return not whose or (whose in [team.value for team in Team] and role in STAFF)


def strike(database: sqlite3.Connection) -> int:
    """Deletes all names; how many are left, which should be none.

    Without secure_delete, VACUUM and the checkpoint their bytes would stay in free pages and in
    the log.
    """
    for order in ("PRAGMA secure_delete = ON", "DELETE FROM name", "VACUUM",
                  "PRAGMA wal_checkpoint(TRUNCATE)"):  # fmt: skip
        database.execute(order).fetchall()
    left: int = database.execute("SELECT count(*) FROM name").fetchone()[0]
    return left


def write_people(database: sqlite3.Connection, people: Iterable[Person]) -> None:
    """Replaces the names of coaches, assistants and officials; the players' names stay."""
    roles = "team = '' OR number IN (" + ", ".join("?" * len(STAFF)) + ")"
    database.execute(f"DELETE FROM name WHERE {roles}", STAFF)
    database.executemany("INSERT INTO name VALUES (?, ?, ?)", list(people))
