"""The SQLite file of a journal: created, opened under a lock, and set to be durable.

With `synchronous = FULL` SQLite flushes the write-ahead log at every commit, so a power cut loses
nothing that was confirmed. An exclusive lock is held while the file is open, so that two programs
cannot keep one game. There is only one connection, since SQLite before 3.51.3 may damage a log that
several connections share.
"""

from __future__ import annotations

import os
import sqlite3
import sys
from contextlib import closing
from pathlib import Path
from typing import Any, Final

from callout.errors import CalloutError, JournalError
from callout.plain import quoted
from callout.reading import exists, is_file
from callout.table.book.backup import write_copy
from callout.table.book.files import make_empty, put_in_place, remove_part, why
from callout.table.book.leftover import (
    Leftover,
    find_leftover,
    in_use_error,
    log_of,
    real,
    refuse_leftovers,
    size_of,
)
from callout.table.book.schema import VERSION, check_kind, check_tables, fill, migrate
from callout.table.book.write_ahead_log import Log, State, merged, open_image
from callout.table.setup.setup import Setup

MAGIC: Final = b"SQLite format 3\x00"
"""The first bytes of every SQLite file. Source: SQLite, "Database File Format", section 1.3."""


def make_database(path: Path, setup: Setup, game: bytes | None = None) -> None:
    """Creates a game's file at `path`, readable by the user alone.

    `game` is the game's id, if the journal of a known game is written again.

    Raises:
        JournalError: a file of that name or the log of one exists, or none can be made there.
    """
    if exists(path):
        raise JournalError(f"{path}: expected no file of that name, got one")
    refuse_leftovers(path)
    # It is completed under another name first: a crash leaves either no journal or a whole one.
    new = path.with_name(f"{path.name}.new")
    try:
        make_empty(new)
        with closing(sqlite3.connect(new, isolation_level=None)) as database:
            fill(database, setup, game)
            # With a write-ahead log from the beginning it never has a rollback journal beside it.
            database.execute("PRAGMA journal_mode = WAL")
        put_in_place(new, path)
    except (OSError, sqlite3.Error) as error:
        remove_part(new)
        raise JournalError(f"{path}: cannot make the journal: {why(error)}") from None


def open_database(path: Path) -> tuple[sqlite3.Connection, str]:
    """The game's file at `path`, checked, locked and migrated; and what may be missing from it.

    Raises:
        JournalError: it does not exist, is not a game's journal, has a newer version, is damaged,
            or is open in another program.
    """
    _must_be_journal(path)
    # SQLite would report a read-only disk as an I/O error.
    if not writable(path):
        raise JournalError(f"{path}: cannot be written; copy it to where it can be")
    left = find_leftover(path)
    database: sqlite3.Connection | None = None
    locked = False
    try:
        doubt = _doubt(path, left, keep=True)
        database = sqlite3.connect(path, isolation_level=None, timeout=0)
        _lock(database)
        locked = True
        _check(path, database, left)
    except (sqlite3.Error, OSError, CalloutError, ValueError) as error:
        # ValueError: SQLite's own report of damage may quote bytes that are not text.
        if database is not None:
            database.close()
        # Closing may have merged and removed the log before the check failed.
        if left is not None and locked:
            left.put_back()
        raise journal_error(path, error) from None
    return database, doubt


Files = tuple[tuple[int, int] | None, tuple[int, int] | None]
"""Device and inode of the journal and of its log; None for one that does not exist."""

IN_PLAY_READS: Final = 20
"""The number of tries to read a game in play, since a read may fall into a write."""


def read_database(path: Path, in_play: bool = False) -> tuple[sqlite3.Connection, str]:
    """The same for a file that may not be written: a copy of it, with its log, in memory.

    `in_play`: another program keeps it, and may write between the reads of the file and its log.
    Whoever reads the entries checks their chain, so that a mixture of two states is found out.

    Raises:
        JournalError: as for `open_database`.
    """
    _must_be_journal(path)
    left = find_leftover(path, in_play)
    database: sqlite3.Connection | None = None
    try:
        image = merged(left.main, left.log) if left else merged(path.read_bytes(), Log())
        database = open_image(image)
        _check_sound(database)
        database.set_progress_handler(None, 0)
        migrate(database, check_kind(database))
    except (sqlite3.Error, OSError, CalloutError, ValueError) as error:
        if database is not None:
            database.close()
        raise journal_error(path, error) from None
    if in_play:
        return database, f"{path}: in play, open in another program: the book as it stands now"
    return database, _doubt(path, left, keep=False)


def writable(path: Path) -> bool:
    """Whether a game's file can be written, and its folder, in which SQLite makes the log."""
    return all(os.access(each, os.W_OK) for each in (path, real(path).parent))


def is_journal(path: Path) -> bool:
    """Whether a file begins as a SQLite database does.

    Raises:
        JournalError, InputError: it cannot be read.
    """
    if exists(path) and not is_file(path):
        return False  # Opening a pipe could block for ever.
    try:
        with path.open("rb") as file:
            return file.read(len(MAGIC)) == MAGIC
    except OSError as error:
        raise JournalError(f"{path}: cannot be read: {why(error)}") from None


def _must_be_journal(path: Path) -> None:
    left = size_of(log_of(path)) > 0
    what = "the game's file is {}, but its log is there; save its calls: callout recover {}"
    if left and not exists(path):
        raise JournalError(f"{path}: " + what.format("gone", quoted(path)))
    if is_journal(path):
        return
    if left:
        raise JournalError(f"{path}: " + what.format("no journal any more", quoted(path)))
    if is_file(path) and not size_of(path):
        raise JournalError(f"{path}: is empty, and no game is in it: delete it, or name another")
    raise JournalError(f"{path}: expected a game's journal, got another kind of file")


def _doubt(path: Path, left: Leftover | None, keep: bool) -> str:
    """One line on what may be missing from the game; empty if nothing is."""
    if left is not None and left.log.state is State.TORN:
        what = "the end of its log is damaged, and the newest call may be missing"
        return f"{path}: {what}" + (f"; the log is kept: {_keep_log(path, left)}" if keep else "")
    if left is None and path.stat().st_nlink > 1:
        what = "has another name, too; after a crash its newest calls are in the log of that name"
        return f"{path}: {what}"
    return ""


def identity(path: Path) -> tuple[int, int] | None:
    """Device and inode of the file that now has that name; None if there is none."""
    try:
        found = os.stat(path)
    except OSError:
        return None
    return found.st_dev, found.st_ino


def journal_error(path: Path, error: Exception) -> JournalError:
    """Any error met with a game's file, as one line that names it."""
    if isinstance(error, JournalError):
        return error
    if isinstance(error, CalloutError):
        return JournalError(f"{path}: {error}")
    if isinstance(error, UnicodeDecodeError):
        return JournalError(f"{path}: damaged: not text where text should be")
    what = why(error)
    if "locked" in what:
        return in_use_error(path)
    return JournalError(
        f"{path}: damaged: {what}; save what is whole: callout recover {quoted(path)}"
    )


def _keep_log(path: Path, left: Leftover) -> Path:
    try:
        return left.keep_log()
    except OSError as error:
        what = f"its log is damaged at its end, and cannot be kept: {why(error)}"
        raise JournalError(f"{path}: {what}") from None


def _lock(database: sqlite3.Connection) -> None:
    # The mode must be set before the first read. Then the log needs no shared memory, and no other
    # program can open the file.
    database.text_factory = _text
    database.execute("PRAGMA locking_mode = EXCLUSIVE")
    database.execute("BEGIN EXCLUSIVE")
    database.execute("COMMIT")


def _check(path: Path, database: sqlite3.Connection, left: Leftover | None) -> None:
    """Refuses a file that is not a sound journal, and migrates one of an older version."""
    version = _check_sound(database)
    if left is not None:
        shown = database.execute("SELECT max(id) FROM entry").fetchone()[0] or 0
        if shown != left.newest:
            raise sqlite3.DatabaseError(f"entry {shown} is the newest, expected {left.newest}")
    _make_durable(path, database)
    if left is not None:
        # The unfinished end of the log must not remain behind the frames that are written next.
        database.execute("PRAGMA wal_checkpoint(TRUNCATE)").fetchall()
    if version < VERSION:
        old = path.with_name(f"{path.name}-version-{version}")
        if not old.exists():
            write_copy(database, old)
        migrate(database, version)


def _check_sound(database: sqlite3.Connection) -> int:
    """Checks tables, triggers and pages; the journal's version."""
    database.execute("PRAGMA trusted_schema = OFF")
    version = check_kind(database)
    check_tables(database, version)
    if (state := pragma(database, "quick_check")) != "ok":
        raise sqlite3.DatabaseError(str(state).splitlines()[-1])
    return version


def _make_durable(path: Path, database: sqlite3.Connection) -> None:
    database.execute("PRAGMA journal_mode = WAL")
    database.execute("PRAGMA synchronous = FULL")
    if sys.platform == "darwin":
        # On macOS a plain flush leaves the data in the disk's cache.
        database.execute("PRAGMA fullfsync = 1")
        database.execute("PRAGMA checkpoint_fullfsync = 1")
    # SQLite may refuse either setting without an error, so both are read back.
    kept = pragma(database, "journal_mode"), pragma(database, "synchronous")
    if kept != ("wal", 2):
        raise JournalError(f"{path}: expected a durable journal (wal, 2), got {kept!r}")


def _text(raw: bytes) -> str:
    # In a damaged file the bytes may be anything; the reader of the row then reports it.
    return raw.decode(errors="replace")


def written(done: sqlite3.Cursor, rows: int) -> None:
    """Checks that each row was written: a trigger in a file could drop one without an error.

    Raises:
        sqlite3.DatabaseError: some were not written.
    """
    if done.rowcount != rows:
        raise sqlite3.DatabaseError(f"expected {rows} rows to be written, got {done.rowcount}")


def pragma(database: sqlite3.Connection, name: str) -> Any:
    """The first value of a pragma."""
    return database.execute(f"PRAGMA {name}").fetchone()[0]
