"""The league's tables: numbered SQL files, each applied once and in order."""

from __future__ import annotations

import hashlib
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING, Final

from callout.edges.league.server import LeagueError

if TYPE_CHECKING:
    from callout.edges.league.server import Connection

FOLDER: Final = Path(__file__).parent / "sql"

LONGEST_MS: Final = 3_600_000
"""A migration may rewrite a large table."""

_LOCK: Final = 0x63_6C_6C_74
"""Two programs that migrate at once take turns by this lock."""

_BEFORE: Final = """
CREATE SCHEMA IF NOT EXISTS callout;
CREATE TABLE IF NOT EXISTS callout.migration (
    number integer PRIMARY KEY, name text NOT NULL, sha256 text NOT NULL,
    applied_at timestamptz NOT NULL DEFAULT now()
)
"""


@dataclass(frozen=True, slots=True)
class Migration:
    """One file."""

    number: int
    name: str
    sql: str

    @property
    def sha256(self) -> str:
        """What it was when it was applied: a file is never changed after its release."""
        return hashlib.sha256(self.sql.encode()).hexdigest()


@cache
def known(folder: Path = FOLDER) -> tuple[Migration, ...]:
    """The files of a folder, in order."""
    made = []
    for path in sorted(folder.glob("*.sql")):
        number, _, name = path.stem.partition("_")
        made.append(Migration(int(number), name, path.read_text(encoding="utf-8")))
    return tuple(made)


def migrate(connection: Connection, wanted: tuple[Migration, ...] | None = None) -> list[Migration]:
    """Applies what is missing, all or nothing; what was applied now.

    Raises:
        LeagueError: the server has newer or other migrations, or its text is not UTF-8.
    """
    wanted = known() if wanted is None else wanted
    with connection.transaction():
        connection.execute("SELECT pg_advisory_xact_lock(%s)", (_LOCK,))
        encoding = connection.execute("SHOW server_encoding").fetchone()
        if encoding != ("UTF8",):
            raise LeagueError(f"expected a database in UTF8, got {encoding and encoding[0]}")
        connection.execute(_BEFORE)
        query = "SELECT number, sha256 FROM callout.migration"
        applied: dict[int, str] = dict(connection.execute(query).fetchall())
        _check(applied, wanted)
        new = [each for each in wanted if each.number not in applied]
        for each in new:
            connection.execute(each.sql.encode())
            connection.execute(
                "INSERT INTO callout.migration (number, name, sha256) VALUES (%s, %s, %s)",
                (each.number, each.name, each.sha256),
            )
    return new


def _check(applied: dict[int, str], wanted: tuple[Migration, ...]) -> None:
    here = {each.number: each.sha256 for each in wanted}
    if newer := sorted(set(applied) - set(here)):
        raise LeagueError(f"the server has migration {newer[-1]}, which this callout does not "
                          "know; use a newer callout")  # fmt: skip
    if other := [number for number, digest in applied.items() if here[number] != digest]:
        raise LeagueError(f"migration {other[0]} is not the one that the server applied")


def check_schema(connection: Connection) -> None:
    """Checks that this program and the server's tables fit each other.

    Raises:
        LeagueError: one of them is too old.
    """
    row = connection.execute(
        "SELECT max(number), callout.oldest_schema() FROM callout.migration"
    ).fetchone()
    assert row is not None
    mine, (there, oldest) = known()[-1].number, row
    if mine < oldest:
        raise LeagueError(f"the league's server needs a newer callout: it takes schema {oldest} "
                          f"and later, and this one knows {mine}; nothing was sent")  # fmt: skip
    if there < mine:
        raise LeagueError(f"the league's server has schema {there}, and this callout needs {mine}; "
                          "its owner upgrades it: callout league migrate")  # fmt: skip
