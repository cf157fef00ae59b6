"""Adds one game to the league's server, so that doing it again changes nothing."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from importlib.metadata import version as version_of
from typing import TYPE_CHECKING, Any, Final, NamedTuple

from callout.edges.league.migrations import check_schema
from callout.edges.league.server import LeagueError
from callout.league.parcel import Parcel, Row

if TYPE_CHECKING:
    from callout.edges.league.server import Connection

_VERSIONS: Final = """
SELECT v.version, v.start, coalesce(e.number, 0), coalesce(e.hash, v.start),
       coalesce(v.closed_at + make_interval(mins => coalesce(l.grace_minutes, 30)) < now(), false)
FROM callout.version v
JOIN callout.game g ON g.id = v.game
LEFT JOIN callout.season s ON s.id = g.season
LEFT JOIN callout.league l ON l.id = s.league
LEFT JOIN LATERAL (
    SELECT number, hash FROM callout.entry
    WHERE game = v.game AND version = v.version ORDER BY number DESC LIMIT 1
) e ON true
WHERE v.game = %s ORDER BY v.version
"""
_ADD_ENTRY: Final = """
INSERT INTO callout.entry (game, version, number, call, fields, source, left_tenths, wall_ms,
                           events, former, hash)
VALUES (%s, %s, %s, %s, %s, %s, %s, %s, %s, %s, %s)
"""
_ADD_PERSON: Final = """
INSERT INTO callout.person (game, side, number, initials, name) VALUES (%s, %s, %s, %s, %s)
ON CONFLICT DO NOTHING
"""
_SHOWS_NAMES: Final = """
SELECT l.shows_names, s.struck_at IS NOT NULL FROM callout.game g
JOIN callout.season s ON s.id = g.season
JOIN callout.league l ON l.id = s.league WHERE g.id = %s
"""

MOST_VERSIONS: Final = 20
"""As the table says."""


@dataclass(frozen=True, slots=True)
class Sent:
    """What became of a game that was sent."""

    version: int
    added: int
    """How many entries the server did not have."""
    there: int
    """The number of the newest entry that the server has of this book."""
    beside: bool
    """Whether the server has another book of the game, beside which this one is kept."""
    clock_off_s: float
    """How far this machine's clock is ahead of the server's.

    Units: seconds.
    """


class _Held(NamedTuple):
    """A version as the server has it."""

    version: int
    start: bytes
    newest: int
    hash: bytes
    closed: bool


def send(connection: Connection, parcel: Parcel, now_s: float, names: bool = False) -> Sent:
    """Adds what the server lacks of a game, all or nothing.

    `now_s` is the time by this machine's clock, in seconds since 1970. `names`: people's names may
    be sent, if the league shows them; else their initials are.

    Raises:
        LeagueError: too many books of the game are there, or program and server do not fit.
        psycopg.Error: the server refuses it, since it is another role's or is not as it was
            recorded; or it cannot be reached. Nothing of it is there then.
    """
    check_schema(connection)
    with connection.transaction():
        # Two senders of one game take turns.
        connection.execute("SELECT pg_advisory_xact_lock(hashtextextended(%s, 0))",
                           (parcel.game.hex(),))  # fmt: skip
        off_s = now_s - _server_s(connection)
        connection.execute(
            "INSERT INTO callout.game (id) VALUES (%s) ON CONFLICT DO NOTHING", (parcel.game,)
        )
        # The server says so itself, and so it stands in its log.
        connection.execute("SELECT callout.check_sender(%s)", (parcel.game,))
        held = [_Held(*row) for row in connection.execute(_VERSIONS, (parcel.game,)).fetchall()]
        version, rows = _place(connection, parcel, held)
        beside = len(held) > 1 or version > max(1, len(held))
        if rows is None:
            there = next(each.newest for each in held if each.version == version)
            return Sent(version, 0, there, beside, off_s)
        if version > len(held):
            connection.execute(
                "INSERT INTO callout.version (game, version, header, start) "
                "VALUES (%s, %s, %s, %s)", (parcel.game, version, parcel.header, parcel.start),
            )  # fmt: skip
        _add(connection, parcel, version, rows, names)
        connection.execute(
            "INSERT INTO callout.sending (game, version, entries, clock_off_s, program) "
            "VALUES (%s, %s, %s, %s, %s)",
            (parcel.game, version, len(rows), off_s, version_of("callout")),
        )
    return Sent(version, len(rows), parcel.newest, beside, off_s)


def _server_s(connection: Connection) -> float:
    row = connection.execute("SELECT extract(epoch FROM clock_timestamp())::float8").fetchone()
    assert row is not None
    return float(row[0])


def _place(
    connection: Connection, parcel: Parcel, held: Sequence[_Held]
) -> tuple[int, Sequence[Row] | None]:
    """The version to which the game belongs, and the rows that it lacks; None: it lacks nothing."""
    for each in held:
        if each.start != parcel.start:
            continue
        if parcel.hash_at(each.newest) == each.hash:
            rows = parcel.after(each.newest)
            if not rows:
                return each.version, None
            if not each.closed:
                return each.version, rows
        elif _has(connection, parcel, each):
            return each.version, None
    if len(held) == MOST_VERSIONS:
        raise LeagueError(f"the league has {MOST_VERSIONS} different books of this game already")
    return len(held) + 1, parcel.rows


def _has(connection: Connection, parcel: Parcel, held: _Held) -> bool:
    """Whether the server's book only goes further than this one."""
    if not parcel.newest:
        return True
    query = "SELECT hash FROM callout.entry WHERE game = %s AND version = %s AND number = %s"
    row = connection.execute(query, (parcel.game, held.version, parcel.newest)).fetchone()
    return row is not None and bytes(row[0]) == parcel.hash_at(parcel.newest)


def _add(
    connection: Connection, parcel: Parcel, version: int, rows: Sequence[Row], names: bool
) -> None:
    with connection.cursor() as cursor:
        cursor.executemany(_ADD_ENTRY, [(parcel.game, version, *row) for row in rows])
        shown, struck = cursor.execute(_SHOWS_NAMES, (parcel.game,)).fetchone() or (False, False)
        people: list[tuple[Any, ...]] = [
            (parcel.game, one.side, one.number,
             one.initials or None if not struck else None,
             one.name or None if names and shown and not struck else None)
            for one in parcel.people
        ]  # fmt: skip
        cursor.executemany(_ADD_PERSON, people)
