"""A journal's SQLite file: made, opened under a lock, made durable.

With `synchronous = FULL` the write-ahead log is flushed at every commit, so a power cut loses
nothing that was confirmed. The file is held under an exclusive lock while it is open: two programs
cannot keep one game. One connection only, since SQLite before 3.51.3 may damage a log that several
connections share.
"""

from __future__ import annotations

import os
import sqlite3
import sys
from contextlib import closing
from pathlib import Path
from typing import Any, Final

from callout.errors import CalloutError, JournalError
from callout.reading import exists, is_file
from callout.table.book.backup import write_copy
from callout.table.book.files import make_empty, put_in_place, remove_part, why
from callout.table.book.leftover import Left, log_of, look, real, refuse_leftovers, size_of
from callout.table.book.schema import VERSION, check_kind, check_tables, fill, migrate
from callout.table.book.write_ahead_log import Log, State, merged, open_image
from callout.table.setup.setup import Setup

MAGIC: Final = b"SQLite format 3\x00"
"""How every SQLite file begins: file format, section 1.3."""


def make_database(path: Path, setup: Setup, game: bytes | None = None) -> None:
    """A new game's file at `path`, only the user's to read; `game` is the id of one written anew.

    Raises:
        JournalError: there is a file of that name or one that belongs to such a file, or none can
            be made there.
    """
    if exists(path):
        raise JournalError(f"{path}: expected no file of that name, got one")
    refuse_leftovers(path)
    # Made whole under another name first: a crash leaves either no journal or a good one.
    new = path.with_name(f"{path.name}.new")
    try:
        make_empty(new)
        with closing(sqlite3.connect(new, isolation_level=None)) as database:
            fill(database, setup, game)
            # So it never has a rollback journal beside it.
            database.execute("PRAGMA journal_mode = WAL")
        put_in_place(new, path)
    except (OSError, sqlite3.Error) as error:
        remove_part(new)
        raise JournalError(f"{path}: cannot make the journal: {why(error)}") from None


def open_database(path: Path) -> tuple[sqlite3.Connection, str]:
    """The game's file at `path`, checked, locked, and of this version; and what is in doubt of it.

    Raises:
        JournalError: it is not there, not a game's journal, of a newer version, damaged, or
            held by another program.
    """
    _must_be_journal(path)
    # SQLite calls a disk that may only be read an I/O error.
    if not writable(path):
        raise JournalError(f"{path}: cannot be written; copy it to where it can be")
    left = look(path)
    database: sqlite3.Connection | None = None
    locked = False
    try:
        doubt = _doubt(path, left, keep=True)
        database = sqlite3.connect(path, isolation_level=None, timeout=0)
        _lock(database)
        locked = True
        _check(path, database, left)
    except (sqlite3.Error, OSError, CalloutError, ValueError) as error:
        # SQLite's own report of damage may quote bytes that are no text.
        if database is not None:
            database.close()
        if left is not None and locked:
            left.put_back()
        raise told(path, error) from None
    return database, doubt


def read_database(path: Path) -> tuple[sqlite3.Connection, str]:
    """The same, where nothing of it may be written: a picture of it, in memory.

    Raises:
        JournalError: as `open_database` has it.
    """
    _must_be_journal(path)
    left = look(path)
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
        raise told(path, error) from None
    return database, _doubt(path, left, keep=False)


def writable(path: Path) -> bool:
    """Whether a game's file can be written, and what SQLite keeps beside it."""
    return all(os.access(each, os.W_OK) for each in (path, real(path).parent))


def is_journal(path: Path) -> bool:
    """Whether a file begins as a SQLite database does.

    Raises:
        JournalError, InputError: it cannot be read.
    """
    if exists(path) and not is_file(path):
        return False  # A pipe may be waited for without end.
    try:
        with path.open("rb") as file:
            return file.read(len(MAGIC)) == MAGIC
    except OSError as error:
        raise JournalError(f"{path}: cannot be read: {why(error)}") from None


def _must_be_journal(path: Path) -> None:
    left = size_of(log_of(path)) > 0
    what = "the game's file is {}, but its log is there; save its calls: callout recover {}"
    if left and not exists(path):
        raise JournalError(f"{path}: " + what.format("gone", path))
    if is_journal(path):
        return
    if left:
        raise JournalError(f"{path}: " + what.format("no journal any more", path))
    raise JournalError(f"{path}: expected a game's journal, got another kind of file")


def _doubt(path: Path, left: Left | None, keep: bool) -> str:
    """What cannot be known of a game: empty if nothing is in doubt."""
    if left is not None and left.log.state is State.TORN:
        what = "the end of its log is damaged, and the newest call may be missing"
        return f"{path}: {what}" + (f"; the log is kept: {_kept(path, left)}" if keep else "")
    if left is None and path.stat().st_nlink > 1:
        what = "has another name, too; if the program died, its newest calls are in the log of that"
        return f"{path}: {what}"
    return ""


def identity(path: Path) -> tuple[int, int] | None:
    """Which file now has that name; None if none has."""
    try:
        found = os.stat(path)
    except OSError:
        return None
    return found.st_dev, found.st_ino


def told(path: Path, error: Exception) -> JournalError:
    """What went wrong with a file, as one line."""
    if isinstance(error, JournalError):
        return error
    if isinstance(error, CalloutError):
        return JournalError(f"{path}: {error}")
    if isinstance(error, UnicodeDecodeError):
        return JournalError(f"{path}: damaged: not text where text should be")
    what = why(error)
    if "locked" in what:
        return JournalError(f"{path}: another program keeps this game; close it there first")
    return JournalError(f"{path}: damaged: {what}; save what is whole: callout recover {path}")


def _kept(path: Path, left: Left) -> Path:
    try:
        return left.keep_log()
    except OSError as error:
        what = f"its log is damaged at its end, and cannot be kept: {why(error)}"
        raise JournalError(f"{path}: {what}") from None


def _lock(database: sqlite3.Connection) -> None:
    # Before the first read: in this mode the log needs no shared memory, and nobody else gets in.
    database.text_factory = _text
    database.execute("PRAGMA locking_mode = EXCLUSIVE")
    database.execute("BEGIN EXCLUSIVE")
    database.execute("COMMIT")


def _check(path: Path, database: sqlite3.Connection, left: Left | None) -> None:
    """Refuses a file that is not a sound journal, and makes it one of this version."""
    version = _check_sound(database)
    if left is not None:
        shown = database.execute("SELECT max(id) FROM entry").fetchone()[0] or 0
        if shown != left.newest:
            raise sqlite3.DatabaseError(f"entry {shown} is the newest, expected {left.newest}")
    _make_durable(path, database)
    if left is not None:
        # What the crash cut short at the log's end must not lie behind what is written next.
        database.execute("PRAGMA wal_checkpoint(TRUNCATE)").fetchall()
    if version < VERSION:
        old = path.with_name(f"{path.name}-version-{version}")
        if not old.exists():
            write_copy(database, old)
        migrate(database, version)


def _check_sound(database: sqlite3.Connection) -> int:
    """The version of a journal whose tables are as they should be."""
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
        # There a plain flush leaves the data in the disk's own memory.
        database.execute("PRAGMA fullfsync = 1")
        database.execute("PRAGMA checkpoint_fullfsync = 1")
    # Both are read back: either may be refused without an error.
    kept = pragma(database, "journal_mode"), pragma(database, "synchronous")
    if kept != ("wal", 2):
        raise JournalError(f"{path}: expected a durable journal (wal, 2), got {kept!r}")


def _text(raw: bytes) -> str:
    # In a damaged file they may be anything; the reader of the row then says so.
    return raw.decode(errors="replace")


def written(done: sqlite3.Cursor, rows: int) -> None:
    """Sees that each row was written: something in a file may drop it without an error.

    Raises:
        sqlite3.DatabaseError: some were not.
    """
    if done.rowcount != rows:
        raise sqlite3.DatabaseError(f"expected {rows} rows to be written, got {done.rowcount}")


def pragma(database: sqlite3.Connection, name: str) -> Any:
    """The first value of a pragma."""
    return database.execute(f"PRAGMA {name}").fetchone()[0]
