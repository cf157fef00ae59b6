"""A journal's SQLite file: made, opened under a lock, made durable, copied.

With `synchronous = FULL` the write-ahead log is flushed at every commit, so a power cut loses
nothing that was confirmed. The file is held under an exclusive lock while it is open: two programs
cannot keep one game. One connection only, since SQLite before 3.51.3 may damage a log that several
connections share.
"""

from __future__ import annotations

import os
import sqlite3
import sys
from pathlib import Path
from typing import Any, Final

from callout.errors import CalloutError, JournalError
from callout.table.files import make_private, put_in_place, why
from callout.table.schema import APPLICATION_ID, OLDEST, VERSION, fill, migrate
from callout.table.setup import Setup

MAGIC: Final = b"SQLite format 3\x00"
"""How every SQLite file begins: file format, section 1.3."""


def make_database(path: Path, setup: Setup) -> None:
    """A new game's file at `path`, only the user's to read.

    Raises:
        JournalError: there is a file of that name, or none can be made there.
    """
    if path.exists():
        raise JournalError(f"{path}: expected no file of that name, got one")
    # Made whole under another name first: a crash leaves either no journal or a good one.
    new = path.with_name(f"{path.name}.new")
    try:
        new.unlink(missing_ok=True)
        make_private(new)
        database = sqlite3.connect(new, isolation_level=None)
        try:
            fill(database, setup)
        finally:
            database.close()
        put_in_place(new, path)
    except (OSError, sqlite3.Error) as error:
        new.unlink(missing_ok=True)
        raise JournalError(f"{path}: cannot make the journal: {why(error)}") from None


def open_database(path: Path) -> sqlite3.Connection:
    """The game's file at `path`, checked, locked, and of this version.

    Raises:
        JournalError: it is not there, not a game's journal, of a newer version, damaged, or
            held by another program.
    """
    if not is_journal(path):
        raise JournalError(f"{path}: expected a game's journal, got another kind of file")
    # SQLite calls a disk that may only be read an I/O error.
    if not all(os.access(each, os.W_OK) for each in (path, path.absolute().parent)):
        raise JournalError(f"{path}: cannot be written; copy it to where it can be")
    database: sqlite3.Connection | None = None
    try:
        database = sqlite3.connect(path, isolation_level=None, timeout=0)
        _check(path, database)
    except (sqlite3.Error, OSError, CalloutError, UnicodeDecodeError) as error:
        # SQLite's own report of damage may quote bytes that are no text.
        if database is not None:
            database.close()
        raise told(path, error) from None
    return database


def is_journal(path: Path) -> bool:
    """Whether a file begins as a SQLite database does.

    Raises:
        JournalError: it cannot be read.
    """
    try:
        with path.open("rb") as file:
            return file.read(len(MAGIC)) == MAGIC
    except OSError as error:
        raise JournalError(f"{path}: cannot be read: {why(error)}") from None


def snapshot(database: sqlite3.Connection) -> sqlite3.Connection:
    """The game as it is now, in memory, for another thread to write where it may take long."""
    memory = sqlite3.connect(":memory:", isolation_level=None, check_same_thread=False)
    database.backup(memory)
    return memory


def write_copy(database: sqlite3.Connection, path: Path) -> None:
    """Copies the whole game into that file, by SQLite's own backup, in place of an older one.

    Raises:
        OSError, sqlite3.Error: it cannot be written; an older copy is then left as it was.
    """
    part = path.with_name(f"{path.name}.part")
    part.unlink(missing_ok=True)
    try:
        make_private(part)
        copy = sqlite3.connect(part, isolation_level=None)
        try:
            database.backup(copy)
        finally:
            copy.close()
        put_in_place(part, path)
    except (OSError, sqlite3.Error):
        part.unlink(missing_ok=True)
        raise


def identity(path: Path) -> tuple[int, int] | None:
    """Which file now has that name; None if none has."""
    try:
        found = os.stat(path)
    except OSError:
        return None
    return found.st_dev, found.st_ino


def log_of(path: Path) -> Path:
    """The write-ahead log of a game's file. Source: SQLite, "Write-Ahead Logging", section 4."""
    return path.with_name(f"{path.name}-wal")


def told(path: Path, error: Exception) -> JournalError:
    """What went wrong with a file, as one line."""
    if isinstance(error, JournalError):
        return error
    if isinstance(error, UnicodeDecodeError):
        return JournalError(f"{path}: damaged: not text where text should be")
    what = why(error)
    if "locked" in what:
        return JournalError(f"{path}: another program keeps this game; close it there first")
    return JournalError(f"{path}: damaged: {what}; save what is whole: callout recover {path}")


def _check(path: Path, database: sqlite3.Connection) -> None:
    """Locks the file, and refuses one that is not a sound journal."""
    # Before the first read: in this mode the log needs no shared memory, and nobody else gets in.
    database.text_factory = _text
    database.execute("PRAGMA locking_mode = EXCLUSIVE")
    database.execute("BEGIN EXCLUSIVE")
    database.execute("COMMIT")
    if pragma(database, "application_id") != APPLICATION_ID:
        raise JournalError(f"{path}: expected a game's journal, got another database")
    version = pragma(database, "user_version")
    if not OLDEST <= version <= VERSION:
        what = f"expected a journal of version {VERSION}, got {version}; use a newer callout"
        raise JournalError(f"{path}: {what}")
    if (state := pragma(database, "quick_check")) != "ok":
        raise sqlite3.DatabaseError(str(state).splitlines()[-1])
    _make_durable(path, database)
    if version < VERSION:
        old = path.with_name(f"{path.name}-version-{version}")
        if not old.exists():
            write_copy(database, old)
        migrate(database, version)


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


def pragma(database: sqlite3.Connection, name: str) -> Any:
    """The first value of a pragma."""
    return database.execute(f"PRAGMA {name}").fetchone()[0]
