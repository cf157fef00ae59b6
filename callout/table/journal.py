"""The journal of one game: a SQLite file to which entries are added and from which none is taken.

An entry is on the disk before its confirmation is said. With `synchronous = FULL` the write-ahead
log is flushed at every commit, so a power cut loses nothing that was confirmed. The file is held
under an exclusive lock while it is open: two programs cannot keep one game. One connection only,
since SQLite before 3.51.3 may damage a log that several connections share.

What was said back is kept beside the entries, so that a game read from its journal shows the same
notices and refusals as it did at the table.
"""

from __future__ import annotations

import json
import os
import sqlite3
import sys
from collections.abc import Callable, Iterable, Iterator
from contextlib import contextmanager
from pathlib import Path
from types import TracebackType
from typing import Any, Final, Self

from callout.errors import CalloutError, InputError, JournalError
from callout.game.fold import Entry
from callout.table.reply import Said
from callout.table.rows import entry_row, read_entry, read_said, said_row, write_json
from callout.table.setup import Item, Setup, make_setup, setup_pairs

APPLICATION_ID: Final = 0x63_6C_6C_74
"""SQLite's mark of whose file it is: the bytes `cllt`."""
VERSION: Final = 1
MAGIC: Final = b"SQLite format 3\x00"
"""How every SQLite file begins: file format, section 1.3."""

_SCHEMA: Final = f"""
CREATE TABLE header (id INTEGER PRIMARY KEY CHECK (id = 1), setup TEXT NOT NULL);
CREATE TABLE entry (
    id INTEGER PRIMARY KEY, call TEXT NOT NULL, fields TEXT NOT NULL, source TEXT NOT NULL,
    left_tenths INTEGER NOT NULL, wall_ms INTEGER NOT NULL, events TEXT NOT NULL
);
CREATE TABLE reply (
    id INTEGER PRIMARY KEY, entry INTEGER REFERENCES entry (id), sort TEXT NOT NULL,
    kind TEXT NOT NULL, rank INTEGER NOT NULL, rule TEXT NOT NULL, text TEXT NOT NULL,
    period INTEGER NOT NULL, left_tenths INTEGER NOT NULL, wall_ms INTEGER NOT NULL
);
CREATE TRIGGER entry_stays BEFORE DELETE ON entry
BEGIN SELECT RAISE(ABORT, 'entries are never deleted'); END;
CREATE TRIGGER entry_same BEFORE UPDATE ON entry
BEGIN SELECT RAISE(ABORT, 'entries are never changed'); END;
PRAGMA application_id = {APPLICATION_ID};
PRAGMA user_version = {VERSION};
"""

_ADD_REPLY: Final = "INSERT INTO reply VALUES (NULL, ?, ?, ?, ?, ?, ?, ?, ?, ?)"


class Journal:
    """One game's journal, open for adding to."""

    def __init__(self, path: Path, database: sqlite3.Connection) -> None:
        self.path = path
        self._database = database
        self.setup = self._read_setup()

    @classmethod
    def create(cls, path: Path, setup: Setup) -> Self:
        """A new journal at `path`, only the user's to read.

        Raises:
            JournalError: there is a file of that name, or none can be made there.
        """
        if path.exists():
            raise JournalError(f"{path}: expected no file of that name, got one")
        # Made whole under another name first: a crash leaves either no journal or a good one.
        new = path.with_name(f"{path.name}.new")
        try:
            new.unlink(missing_ok=True)
            os.close(os.open(new, os.O_CREAT | os.O_EXCL | os.O_RDWR, 0o600))
            database = sqlite3.connect(new, isolation_level=None)
            try:
                _fill(database, setup)
            finally:
                database.close()
            _flush(new)
            new.rename(path)
            _flush(path.parent)
        except (OSError, sqlite3.Error) as error:
            new.unlink(missing_ok=True)
            raise JournalError(f"{path}: cannot make the journal: {_why(error)}") from None
        return cls.open(path)

    @classmethod
    def open(cls, path: Path) -> Self:
        """The journal at `path`, checked and locked.

        Raises:
            JournalError: it is not there, not a game's journal, of a newer version, damaged, or
                held by another program.
        """
        if not is_journal(path):
            raise JournalError(f"{path}: expected a game's journal, got another kind of file")
        database: sqlite3.Connection | None = None
        try:
            database = sqlite3.connect(path, isolation_level=None, timeout=0)
            _check(path, database)
            return cls(path, database)
        except (sqlite3.Error, JournalError, UnicodeDecodeError) as error:
            # SQLite's own report of damage may quote bytes that are no text.
            if database is not None:
                database.close()
            raise _told(path, error) from None

    @classmethod
    def in_memory(cls, setup: Setup) -> Self:
        """A journal that is gone when it is closed: for scripts and tests."""
        database = sqlite3.connect(":memory:", isolation_level=None)
        _fill(database, setup)
        return cls(Path(":memory:"), database)

    def append(self, entry: Entry, replies: Iterable[Said] = ()) -> None:
        """Adds an entry and what is said of it; when this returns, both are on the disk.

        Raises:
            JournalError: it could not be written; then nothing of it is in the journal.
        """
        with self._transaction() as database:
            database.execute("INSERT INTO entry VALUES (?, ?, ?, ?, ?, ?, ?)", entry_row(entry))
            database.executemany(_ADD_REPLY, [said_row(said) for said in replies])

    def note(self, replies: Iterable[Said]) -> None:
        """Adds what was said where nothing was booked: refusals, questions, answers.

        Raises:
            JournalError: it could not be written.
        """
        with self._transaction() as database:
            database.executemany(_ADD_REPLY, [said_row(said) for said in replies])

    def entries(self) -> tuple[Entry, ...]:
        """Every entry, oldest first.

        Raises:
            JournalError: one of them cannot be read.
        """
        return self._rows("SELECT * FROM entry ORDER BY id", read_entry)

    def replies(self) -> tuple[Said, ...]:
        """Everything that was said, oldest first.

        Raises:
            JournalError: some of it cannot be read.
        """
        return self._rows("SELECT * FROM reply ORDER BY id", read_said)

    def close(self) -> None:
        """Closes the file and gives up its lock."""
        self._database.close()

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        self.close()

    def _read_setup(self) -> Setup:
        row = self._database.execute("SELECT setup FROM header").fetchone()
        try:
            pairs = json.loads(row[0])
            return make_setup([Item(key, value) for key, value in pairs.items()], self.path)
        except (TypeError, ValueError, AttributeError, InputError) as error:
            raise JournalError(f"{self.path}: damaged header: {_why(error)}") from None

    def _rows(self, query: str, read: Callable[[tuple[Any, ...]], Any]) -> tuple[Any, ...]:
        made = []
        try:
            for row in self._database.execute(query):
                try:
                    made.append(read(row))
                except (CalloutError, ValueError, TypeError, KeyError, AttributeError) as error:
                    raise JournalError(
                        f"{self.path}: damaged row {row[0]}: {_why(error)}"
                    ) from None
        except (sqlite3.Error, UnicodeDecodeError) as error:
            raise _told(self.path, error) from None
        return tuple(made)

    @contextmanager
    def _transaction(self) -> Iterator[sqlite3.Connection]:
        try:
            self._database.execute("BEGIN IMMEDIATE")
            try:
                yield self._database
                self._database.execute("COMMIT")
            except BaseException:
                # A commit that failed for want of room may have ended the transaction itself.
                if self._database.in_transaction:
                    self._database.execute("ROLLBACK")
                raise
        except sqlite3.Error as error:
            raise JournalError(f"{self.path}: cannot write: {_why(error)}") from None


def is_journal(path: Path) -> bool:
    """Whether a file begins as a SQLite database does.

    Raises:
        JournalError: it cannot be read.
    """
    try:
        with path.open("rb") as file:
            return file.read(len(MAGIC)) == MAGIC
    except OSError as error:
        raise JournalError(f"{path}: cannot be read: {_why(error)}") from None


# --- the file -------------------------------------------------------------------------------


def _fill(database: sqlite3.Connection, setup: Setup) -> None:
    database.executescript(f"BEGIN;{_SCHEMA}COMMIT;")
    database.execute("INSERT INTO header VALUES (1, ?)", (write_json(setup_pairs(setup)),))


def _check(path: Path, database: sqlite3.Connection) -> None:
    """Locks the file, and refuses one that is not a sound journal of this version."""
    # Before the first read: in this mode the log needs no shared memory, and nobody else gets in.
    database.text_factory = _text
    database.execute("PRAGMA locking_mode = EXCLUSIVE")
    database.execute("BEGIN EXCLUSIVE")
    database.execute("COMMIT")
    if _pragma(database, "application_id") != APPLICATION_ID:
        raise JournalError(f"{path}: expected a game's journal, got another database")
    version = _pragma(database, "user_version")
    if version != VERSION:
        what = f"expected a journal of version {VERSION}, got {version}; use a newer callout"
        raise JournalError(f"{path}: {what}")
    if (state := _pragma(database, "quick_check")) != "ok":
        raise JournalError(f"{path}: damaged: {str(state).splitlines()[-1]}")
    _make_durable(path, database)


def _make_durable(path: Path, database: sqlite3.Connection) -> None:
    database.execute("PRAGMA journal_mode = WAL")
    database.execute("PRAGMA synchronous = FULL")
    if sys.platform == "darwin":
        # There a plain flush leaves the data in the disk's own memory.
        database.execute("PRAGMA fullfsync = 1")
        database.execute("PRAGMA checkpoint_fullfsync = 1")
    # Both are read back: either may be refused without an error.
    kept = _pragma(database, "journal_mode"), _pragma(database, "synchronous")
    if kept != ("wal", 2):
        raise JournalError(f"{path}: expected a durable journal (wal, 2), got {kept!r}")


def _text(raw: bytes) -> str:
    # In a damaged file they may be anything; the reader of the row then says so.
    return raw.decode(errors="replace")


def _pragma(database: sqlite3.Connection, name: str) -> Any:
    return database.execute(f"PRAGMA {name}").fetchone()[0]


def _flush(path: Path) -> None:
    if sys.platform == "win32":
        return  # a folder cannot be opened there, and a closed file is written by the system
    handle = os.open(path, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)


def _told(path: Path, error: Exception) -> JournalError:
    if isinstance(error, JournalError):
        return error
    if isinstance(error, UnicodeDecodeError):
        return JournalError(f"{path}: damaged: not text where text should be")
    if "locked" in str(error):
        return JournalError(f"{path}: another program keeps this game; close it there first")
    return JournalError(f"{path}: damaged: {_why(error)}")


def _why(error: Exception) -> str:
    what = (error.strerror or str(error)).lower() if isinstance(error, OSError) else str(error)
    # SQLite quotes what it could not read, line ends and all.
    return " ".join(what.split())
