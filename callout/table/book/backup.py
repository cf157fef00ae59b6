"""Copies of a whole game, made by SQLite's own backup."""

from __future__ import annotations

import sqlite3
from contextlib import closing
from pathlib import Path

from callout.table.book.files import make_empty, put_in_place, remove_part
from callout.table.book.leftover import refuse_leftovers


def snapshot(database: sqlite3.Connection) -> sqlite3.Connection:
    """The game as it is now, in memory, so that another thread can write it to a slow disk."""
    memory = sqlite3.connect(":memory:", isolation_level=None, check_same_thread=False)
    database.backup(memory)
    return memory


def write_copy(database: sqlite3.Connection, path: Path) -> None:
    """Writes the whole game to a file, replacing an older copy.

    Raises:
        OSError, sqlite3.Error, JournalError: it cannot be written, or a log beside it would be
            merged into it; an older copy then stays as it was.
    """
    refuse_leftovers(path)
    write_anew(database, path)


def write_anew(database: sqlite3.Connection, path: Path) -> None:
    """The same without looking for a log: for a file whose log is this game's own.

    Raises:
        OSError, sqlite3.Error: it cannot be written.
    """
    part = path.with_name(f"{path.name}.part")
    try:
        make_empty(part)
        with closing(sqlite3.connect(part, isolation_level=None)) as copy:
            database.backup(copy)
            copy.execute("PRAGMA journal_mode = WAL")
        put_in_place(part, path)
    except (OSError, sqlite3.Error):
        remove_part(part)
        raise


def game_id(database: sqlite3.Connection) -> bytes:
    """The id of the game in a database.

    Raises:
        sqlite3.Error, TypeError: it is no game's.
    """
    found: bytes = database.execute("SELECT game FROM header").fetchone()[0]
    return found


def game_in(path: Path) -> bytes | None:
    """The id of the game in a copy; None where there is none. A log beside it is not read."""
    try:
        address = f"{path.absolute().as_uri()}?mode=ro&immutable=1"
        with closing(sqlite3.connect(address, uri=True)) as database:
            return game_id(database)
    except (sqlite3.Error, TypeError):
        return None
