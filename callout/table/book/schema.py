"""The tables of a journal in each version, and the migrations from one version to the next."""

from __future__ import annotations

import os
import re
import sqlite3
from collections.abc import Callable, Mapping
from functools import cache
from pathlib import Path
from typing import Any, Final

from callout.errors import CalloutError
from callout.table.book.chain import GAME_BYTES, first_hash, next_hash
from callout.table.book.names import names_of
from callout.table.book.recorded_header import header_text, setup_of
from callout.table.book.rows import load_json
from callout.table.setup.setup import Setup

APPLICATION_ID: Final = 0x63_6C_6C_74
"""SQLite's field for the kind of a file; here the bytes `cllt`."""
VERSION: Final = 3

_COLUMNS_1: Final = """
    id INTEGER PRIMARY KEY, call TEXT NOT NULL, fields TEXT NOT NULL, source TEXT NOT NULL,
    left_tenths INTEGER NOT NULL, wall_ms INTEGER NOT NULL, events TEXT NOT NULL
"""
_HEADER_1: Final = "id INTEGER PRIMARY KEY CHECK (id = 1), setup TEXT NOT NULL"
_HASHES: Final = "former BLOB NOT NULL, hash BLOB NOT NULL"
_ENTRY: Final = f"{_COLUMNS_1}, {_HASHES}, game BLOB NOT NULL"
_HEADER: Final = f"{_HEADER_1}, hash BLOB NOT NULL, game BLOB NOT NULL"

_REPLY: Final = """
CREATE TABLE reply (
    id INTEGER PRIMARY KEY, entry INTEGER REFERENCES entry (id), sort TEXT NOT NULL,
    kind TEXT NOT NULL, rank INTEGER NOT NULL, rule TEXT NOT NULL, text TEXT NOT NULL,
    period INTEGER NOT NULL, left_tenths INTEGER NOT NULL, wall_ms INTEGER NOT NULL
);
"""
_BESIDE: Final = """
CREATE TABLE name (
    team TEXT NOT NULL, number TEXT NOT NULL, name TEXT NOT NULL, PRIMARY KEY (team, number)
);
CREATE TABLE copy (path TEXT PRIMARY KEY);
"""
"""Tables that are not part of the book: people's names, and other files that may contain them."""

_GUARD: Final = """
CREATE TRIGGER entry_stays BEFORE DELETE ON entry
BEGIN SELECT RAISE(ABORT, 'entries are never deleted'); END;
CREATE TRIGGER entry_same BEFORE UPDATE ON entry
BEGIN SELECT RAISE(ABORT, 'entries are never changed'); END;
"""


def _tables(header: str, entry: str, beside: str = _BESIDE) -> str:
    return f"CREATE TABLE header ({header});CREATE TABLE entry ({entry});{_REPLY}{beside}{_GUARD}"


_TABLES: Final[Mapping[int, str]] = {
    1: _tables(_HEADER_1, _COLUMNS_1, ""),
    2: _tables(f"{_HEADER_1}, hash BLOB NOT NULL", f"{_COLUMNS_1}, {_HASHES}"),
    3: _tables(_HEADER, _ENTRY),
}
"""The SQL that creates each version."""


def fill(database: sqlite3.Connection, setup: Setup, game: bytes | None = None) -> None:
    """Creates the tables of a game; `game` is its id, if it is not a new one."""
    own = os.urandom(GAME_BYTES) if game is None else game
    database.executescript(
        f"BEGIN;{_TABLES[VERSION]}PRAGMA application_id = {APPLICATION_ID};"
        f"PRAGMA user_version = {VERSION};COMMIT;"
    )
    text = header_text(setup)
    database.execute("INSERT INTO header VALUES (1, ?, ?, ?)", (text, first_hash(own, text), own))
    database.executemany("INSERT INTO name VALUES (?, ?, ?)", names_of(setup))


def check_kind(database: sqlite3.Connection) -> int:
    """The version of a journal that can be read here.

    Raises:
        CalloutError: it is another database, or has a newer version.
    """
    if database.execute("PRAGMA application_id").fetchone()[0] != APPLICATION_ID:
        raise CalloutError("expected a game's journal, got another database")
    version: int = database.execute("PRAGMA user_version").fetchone()[0]
    if not OLDEST <= version <= VERSION:
        what = f"expected a journal of version {VERSION}, got {version}; use a newer callout"
        raise CalloutError(what)
    return version


def check_tables(database: sqlite3.Connection, version: int) -> None:
    """Checks that a file has exactly the tables and triggers of its version.

    In a file from somebody else a trigger could drop what is written, and reading a view could
    never end.

    Raises:
        sqlite3.DatabaseError: one is missing, changed or unknown; the message names the first.
    """
    found, known = _objects(database), _known(version)
    for each in {**known, **found}:
        kind, name = each
        if each not in found:
            raise sqlite3.DatabaseError(f"expected the {kind} {name!r}, got none")
        if found[each] != known.get(each):
            raise sqlite3.DatabaseError(f"expected no such {kind} in a game: {name!r:.40}")


def _objects(database: sqlite3.Connection) -> dict[tuple[str, str], str]:
    rows = database.execute("SELECT type, name, tbl_name, sql FROM sqlite_master").fetchall()
    return {(kind, name): f"{table}: {_unwrapped(str(sql))}" for kind, name, table, sql in rows}


def _unwrapped(sql: str) -> str:
    """A statement in one line, without spaces beside brackets, commas and semicolons."""
    return re.sub(r" ?([(),;]) ?", r"\1", " ".join(sql.split()))


@cache
def _known(version: int) -> Mapping[tuple[str, str], str]:
    database = sqlite3.connect(":memory:")
    try:
        database.executescript(_TABLES[version])
        return _objects(database)
    finally:
        database.close()


def read_start(database: sqlite3.Connection, version: int) -> tuple[Any, Any, Any]:
    """The header's text, the hash before the first entry, and the game's id.

    What an older version lacks is None (the hash) or empty (the id).

    Raises:
        CalloutError: there is no header.
    """
    more = {1: ", NULL, x''", 2: ", hash, x''"}.get(version, ", hash, game")
    row: tuple[Any, Any, Any] | None
    row = database.execute(f"SELECT setup{more} FROM header").fetchone()
    if row is None:
        raise CalloutError("damaged header: there is none")
    return row


def migrate(database: sqlite3.Connection, version: int) -> None:
    """Migrates a journal to `VERSION`, wholly or not at all."""
    database.execute("BEGIN IMMEDIATE")
    try:
        for step in range(version, VERSION):
            _MIGRATIONS[step](database)
        database.execute(f"PRAGMA user_version = {VERSION}")
        database.execute("COMMIT")
    except BaseException:
        if database.in_transaction:
            database.execute("ROLLBACK")
        raise


def _statements(database: sqlite3.Connection, *statements: str) -> None:
    # One by one, since `executescript` would commit the transaction.
    for statement in statements:
        database.execute(statement)


def _make_entries(database: sqlite3.Connection, columns: str, rows: list[tuple[Any, ...]]) -> None:
    """Replaces the table of entries and its triggers by new ones with these rows."""
    _statements(database, "DROP TABLE entry", f"CREATE TABLE entry ({columns})")
    for row in rows:
        marks = ", ".join("?" * len(row))
        database.execute(f"INSERT INTO entry VALUES ({marks})", row)
    _statements(database, *(f"{part}END" for part in _GUARD.split("END;") if part.strip()))


# --- one small function for each older version ----------------------------------------------


def _from_1(database: sqlite3.Connection) -> None:
    """Version 1 had the names in its header, and no hashes."""
    (text,) = database.execute("SELECT setup FROM header").fetchone()
    setup = setup_of(load_json(text), Path("header"))
    rows = database.execute("SELECT * FROM entry ORDER BY id").fetchall()
    header = f"{_HEADER_1}, hash BLOB NOT NULL"
    _statements(database, "DROP TABLE header", f"CREATE TABLE header ({header})")
    _statements(database, *(part for part in _BESIDE.split(";") if part.strip()))
    text = header_text(setup)
    former = first_hash(b"", text)
    database.execute("INSERT INTO header VALUES (1, ?, ?)", (text, former))
    database.executemany("INSERT INTO name VALUES (?, ?, ?)", names_of(setup))
    linked = []
    for row in rows:
        own = next_hash(b"", former, row)
        linked.append((*row, former, own))
        former = own
    _make_entries(database, f"{_COLUMNS_1}, {_HASHES}", linked)


def _from_2(database: sqlite3.Connection) -> None:
    """Version 2 had no game's id. It stays empty, so that marks already printed still match."""
    header = database.execute("SELECT id, setup, hash FROM header").fetchone()
    rows = database.execute("SELECT * FROM entry ORDER BY id").fetchall()
    _statements(database, "DROP TABLE header", f"CREATE TABLE header ({_HEADER})")
    database.execute("INSERT INTO header VALUES (?, ?, ?, x'')", header)
    _make_entries(database, _ENTRY, [(*row, b"") for row in rows])


_MIGRATIONS: Final[Mapping[int, Callable[[sqlite3.Connection], None]]] = {1: _from_1, 2: _from_2}
"""The migration from each older version to the next."""

OLDEST: Final = min(_MIGRATIONS)
