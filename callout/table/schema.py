"""The tables of a journal, and how a journal of an older version becomes one of this."""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Final

from callout.table.chain import first_hash, next_hash
from callout.table.names import names_of, with_names
from callout.table.rows import write_json
from callout.table.setup import Item, Setup, make_setup, setup_pairs

APPLICATION_ID: Final = 0x63_6C_6C_74
"""SQLite's mark of whose file it is: the bytes `cllt`."""
VERSION: Final = 2

_ENTRY: Final = """
    id INTEGER PRIMARY KEY, call TEXT NOT NULL, fields TEXT NOT NULL, source TEXT NOT NULL,
    left_tenths INTEGER NOT NULL, wall_ms INTEGER NOT NULL, events TEXT NOT NULL,
    former BLOB NOT NULL, hash BLOB NOT NULL
"""
_HEADER: Final = "id INTEGER PRIMARY KEY CHECK (id = 1), setup TEXT NOT NULL, hash BLOB NOT NULL"

_BESIDE: Final = """
CREATE TABLE name (
    team TEXT NOT NULL, number TEXT NOT NULL, name TEXT NOT NULL, PRIMARY KEY (team, number)
);
CREATE TABLE copy (path TEXT PRIMARY KEY);
"""
"""What is no part of the book: people's names, and where copies of the game were written."""

_GUARD: Final = """
CREATE TRIGGER entry_stays BEFORE DELETE ON entry
BEGIN SELECT RAISE(ABORT, 'entries are never deleted'); END;
CREATE TRIGGER entry_same BEFORE UPDATE ON entry
BEGIN SELECT RAISE(ABORT, 'entries are never changed'); END;
"""

_SCHEMA: Final = f"""
CREATE TABLE header ({_HEADER});
CREATE TABLE entry ({_ENTRY});
CREATE TABLE reply (
    id INTEGER PRIMARY KEY, entry INTEGER REFERENCES entry (id), sort TEXT NOT NULL,
    kind TEXT NOT NULL, rank INTEGER NOT NULL, rule TEXT NOT NULL, text TEXT NOT NULL,
    period INTEGER NOT NULL, left_tenths INTEGER NOT NULL, wall_ms INTEGER NOT NULL
);
{_BESIDE}{_GUARD}
PRAGMA application_id = {APPLICATION_ID};
PRAGMA user_version = {VERSION};
"""


def fill(database: sqlite3.Connection, setup: Setup) -> None:
    """Makes the tables of a new game."""
    database.executescript(f"BEGIN;{_SCHEMA}COMMIT;")
    _write_setup(database, setup)


def migrate(database: sqlite3.Connection, version: int) -> None:
    """Makes a journal of that version one of `VERSION`; all of it happens, or nothing."""
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


def _write_setup(database: sqlite3.Connection, setup: Setup) -> bytes:
    """Writes the header and the names; the first hash."""
    text = write_json(setup_pairs(with_names(setup)))
    start = first_hash(text)
    database.execute("INSERT INTO header VALUES (1, ?, ?)", (text, start))
    database.executemany("INSERT INTO name VALUES (?, ?, ?)", names_of(setup))
    return start


def _statements(database: sqlite3.Connection, *statements: str) -> None:
    # `executescript` would end the transaction.
    for statement in statements:
        database.execute(statement)


# --- one small function for each older version ----------------------------------------------


def _from_1(database: sqlite3.Connection) -> None:
    """Version 1 had the names in its header, and no hashes."""
    (text,) = database.execute("SELECT setup FROM header").fetchone()
    setup = make_setup([Item(*pair) for pair in json.loads(text).items()], Path("header"))
    rows = database.execute("SELECT * FROM entry ORDER BY id").fetchall()
    _statements(database, "DROP TABLE header", f"CREATE TABLE header ({_HEADER})")
    _statements(database, *(part for part in _BESIDE.split(";") if part.strip()))
    former = _write_setup(database, setup)
    _statements(database, "DROP TABLE entry", f"CREATE TABLE entry ({_ENTRY})")
    for row in rows:
        own = next_hash(former, row)
        marks = ", ".join("?" * (len(row) + 2))
        database.execute(f"INSERT INTO entry VALUES ({marks})", (*row, former, own))
        former = own
    _statements(database, *(f"{part}END" for part in _GUARD.split("END;") if part.strip()))


_MIGRATIONS: Final[Mapping[int, Callable[[sqlite3.Connection], None]]] = {1: _from_1}
"""From each older version to the next."""

OLDEST: Final = min(_MIGRATIONS)
