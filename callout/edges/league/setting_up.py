"""Leagues, seasons, teams and fixtures on the server, as its secretary makes them."""

from __future__ import annotations

import json
from collections.abc import Iterable
from typing import TYPE_CHECKING, Final

from callout.edges.league.server import LeagueError
from callout.league.fixtures import Fixture
from callout.league.ranking import Rules

if TYPE_CHECKING:
    from callout.edges.league.server import Connection


def found(
    connection: Connection, league: str, season: str, profile: str, rules: Rules, names: bool
) -> int:
    """Makes a league, if it is new, and a season of it; the season's id. Twice changes nothing."""
    with connection.transaction():
        connection.execute(
            "INSERT INTO callout.league (name, ranking, shows_names) VALUES (%s, %s, %s) "
            "ON CONFLICT (name) DO UPDATE SET ranking = excluded.ranking, "
            "shows_names = excluded.shows_names", (league, json.dumps(rules.dump()), names),
        )  # fmt: skip
        connection.execute(
            "INSERT INTO callout.season (league, name, profile) "
            "SELECT id, %s, %s FROM callout.league WHERE name = %s ON CONFLICT DO NOTHING",
            (season, profile, league),
        )
        row = connection.execute(
            "SELECT s.id FROM callout.season s JOIN callout.league l ON l.id = s.league "
            "WHERE l.name = %s AND s.name = %s", (league, season),
        ).fetchone()  # fmt: skip
    assert row is not None
    return int(row[0])


def season_of(connection: Connection, name: str = "") -> int:
    """The id of the season of that name, `LEAGUE, SEASON` or `SEASON`; without one, of the newest.

    Raises:
        LeagueError: there is none, or several have that name.
    """
    rows = connection.execute(
        "SELECT s.id, l.name || ', ' || s.name FROM callout.season s "
        "JOIN callout.league l ON l.id = s.league "
        "WHERE %(name)s = '' OR s.name = %(name)s OR l.name || ', ' || s.name = %(name)s "
        "ORDER BY s.id DESC", {"name": name},
    ).fetchall()  # fmt: skip
    if not rows:
        raise LeagueError(f"no season {name!r} is there" if name else "no season is there")
    if name and len(rows) > 1:
        raise LeagueError(f"several seasons have this name: {'; '.join(row[1] for row in rows)}")
    return int(rows[0][0])


def season_title(connection: Connection, season: int) -> str:
    """The names of a season's league and of the season."""
    row = connection.execute(
        "SELECT l.name || ', ' || s.name FROM callout.season s "
        "JOIN callout.league l ON l.id = s.league WHERE s.id = %s", (season,),
    ).fetchone()  # fmt: skip
    assert row is not None
    return str(row[0])


def add_fixtures(connection: Connection, season: int, fixtures: Iterable[Fixture]) -> int:
    """Adds fixtures, or puts right those with a key that is there; how many there were.

    Their teams are made where they are new.

    Raises:
        LeagueError: one of them was played by other teams. No fixture of the list is added then: a
            list with the keys of another would give a played game's result to its teams.
    """
    count = 0
    with connection.transaction(), connection.cursor() as cursor:
        for each in fixtures:
            _check_played(connection, season, each)
            for team, numbers in ((each.home, each.home_numbers), (each.guest, each.guest_numbers)):
                cursor.execute(
                    "INSERT INTO callout.team (season, name, numbers) VALUES (%s, %s, %s) "
                    "ON CONFLICT (season, name) DO UPDATE SET numbers = excluded.numbers "
                    "WHERE excluded.numbers <> ''", (season, team, numbers),
                )  # fmt: skip
            cursor.execute(_ADD_FIXTURE, {
                "season": season, "key": each.key, "starts": each.starts, "place": each.place,
                "home": each.home, "guest": each.guest, "sender": each.table or None,
            })  # fmt: skip
            count += 1
    return count


def _check_played(connection: Connection, season: int, fixture: Fixture) -> None:
    row = connection.execute(
        "SELECT h.name, g.name, ga.id FROM callout.fixture f "
        "JOIN callout.team h ON h.id = f.home JOIN callout.team g ON g.id = f.guest "
        "JOIN callout.game ga ON ga.fixture = f.id WHERE f.season = %s AND f.key = %s "
        "AND (h.name, g.name) <> (%s, %s) LIMIT 1",
        (season, fixture.key, fixture.home, fixture.guest),
    ).fetchone()
    if row is not None:
        home, guest, game = row
        raise LeagueError(
            f"fixture {fixture.key:.200} was played by {home:.100} - {guest:.100}, the list has "
            f"{fixture.home:.100} - {fixture.guest:.100}: give that another key, or take the game "
            f"out of it first: callout league place {bytes(game).hex()}"
        )


_ADD_FIXTURE: Final = """
INSERT INTO callout.fixture (season, key, starts, place, home, guest, sender)
SELECT %(season)s, %(key)s, %(starts)s, %(place)s, h.id, g.id, %(sender)s
FROM callout.team h, callout.team g
WHERE h.season = %(season)s AND h.name = %(home)s AND g.season = %(season)s AND g.name = %(guest)s
ON CONFLICT (season, key) DO UPDATE
SET starts = excluded.starts, place = excluded.place, home = excluded.home, guest = excluded.guest,
    sender = excluded.sender
"""


def fixtures_of(connection: Connection) -> tuple[str, list[Fixture]]:
    """The profile of the newest season, and its fixtures of today and after, oldest first.

    Raises:
        LeagueError: no season is there.
    """
    season = season_of(connection)
    rows = connection.execute(
        "SELECT f.key, h.name, g.name, f.starts, f.place, coalesce(f.sender::text, ''), h.numbers, "
        "g.numbers FROM callout.fixture f JOIN callout.team h ON h.id = f.home "
        "JOIN callout.team g ON g.id = f.guest "
        "WHERE f.season = %s "
        "AND (f.starts IS NULL OR f.starts > localtimestamp - interval '1 day') "
        "ORDER BY f.starts, f.key", (season,),
    ).fetchall()  # fmt: skip
    profile = connection.execute(
        "SELECT profile FROM callout.season WHERE id = %s", (season,)
    ).fetchone()
    assert profile is not None
    return str(profile[0]), [Fixture(*row) for row in rows]
