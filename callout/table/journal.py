"""The journal of one game: a SQLite file to which entries are added and from which none is taken.

An entry is on the disk before its confirmation is said, and a running hash over all entries shows
what was changed after the fact. What was said back is kept beside the entries, so that a game read
from its journal shows the same notices and refusals as it did at the table. People's names stand
apart from both, and can be struck for good.
"""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Callable, Iterable, Iterator
from contextlib import contextmanager, suppress
from pathlib import Path
from types import TracebackType
from typing import Any, Final, Self

from callout.errors import CalloutError, InputError, JournalError
from callout.game.fold import Entry
from callout.table import database as file
from callout.table.chain import first_hash, follow, mark, next_hash
from callout.table.files import why
from callout.table.names import names_of, with_names
from callout.table.reply import Said
from callout.table.rows import entry_row, read_entry, read_said, said_row
from callout.table.schema import fill
from callout.table.setup import Item, Setup, make_setup

_MEMORY: Final = Path(":memory:")
_ENTRIES: Final = "SELECT * FROM entry ORDER BY id"
_ADD_ENTRY: Final = "INSERT INTO entry VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?)"
_ADD_REPLY: Final = "INSERT INTO reply VALUES (NULL, ?, ?, ?, ?, ?, ?, ?, ?, ?)"

Files = tuple[tuple[int, int] | None, tuple[int, int] | None]
"""Which files the journal and its log are."""


class Journal:
    """One game's journal, open for adding to."""

    def __init__(self, path: Path, database: sqlite3.Connection) -> None:
        self.path = path
        self._database = database
        self._files: Files = _files(path)
        self.setup, start = self._read_header()
        self._hash = self._checked(start)

    @classmethod
    def create(cls, path: Path, setup: Setup) -> Self:
        """A new journal at `path`, only the user's to read.

        Raises:
            JournalError: there is a file of that name, or none can be made there.
        """
        file.make_database(path, setup)
        return cls.open(path)

    @classmethod
    def open(cls, path: Path) -> Self:
        """The journal at `path`, checked from its first entry to its last, and locked.

        Raises:
            JournalError: it is not there, not a game's journal, of a newer version, damaged,
                changed after it was recorded, or held by another program.
        """
        database = file.open_database(path)
        try:
            return cls(path, database)
        except (sqlite3.Error, JournalError, UnicodeDecodeError) as error:
            database.close()
            raise file.told(path, error) from None

    @classmethod
    def in_memory(cls, setup: Setup) -> Self:
        """A journal that is gone when it is closed: for scripts and tests."""
        database = sqlite3.connect(":memory:", isolation_level=None)
        fill(database, setup)
        return cls(_MEMORY, database)

    def append(self, entry: Entry, replies: Iterable[Said] = ()) -> None:
        """Adds an entry and what is said of it; when this returns, both are on the disk.

        Raises:
            JournalError: it could not be written; then nothing of it is in the journal.
        """
        row = entry_row(entry)
        own = next_hash(self._hash, row)
        with self._transaction() as database:
            database.execute(_ADD_ENTRY, (*row, self._hash, own))
            database.executemany(_ADD_REPLY, [said_row(said) for said in replies])
        self._hash = own

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
        return self._rows(_ENTRIES, read_entry)

    def replies(self) -> tuple[Said, ...]:
        """Everything that was said, oldest first.

        Raises:
            JournalError: some of it cannot be read.
        """
        return self._rows("SELECT * FROM reply ORDER BY id", read_said)

    def last_ms(self) -> int:
        """When the last thing was recorded or said; 0 before the first.

        Units: milliseconds since 1970.
        """
        both = "(SELECT wall_ms FROM entry UNION ALL SELECT wall_ms FROM reply)"
        found = self._rows(f"SELECT max(wall_ms) FROM {both}", lambda row: row[0] or 0)
        return int(found[0])

    @property
    def mark(self) -> str:
        """The newest hash, short: a printed sheet and the file it was made from have the same."""
        return mark(self._hash)

    def snapshot(self) -> sqlite3.Connection:
        """The whole journal as it is now, in memory: see `database.write_copy`."""
        return file.snapshot(self._database)

    def copied(self, path: Path) -> None:
        """Remembers where a copy of the game was written, or its book with the names.

        Raises:
            JournalError: it could not be written.
        """
        with self._transaction() as database:
            database.execute("INSERT OR IGNORE INTO copy VALUES (?)", (str(path.absolute()),))

    def copies(self) -> tuple[Path, ...]:
        """Where copies of the game were written, as far as it knows."""
        return self._rows("SELECT path FROM copy ORDER BY path", lambda row: Path(row[0]))

    def forget(self) -> None:
        """Strikes all names, so that not even their bytes are left in the file.

        Raises:
            JournalError: it could not be written, or a name is still there.
        """
        names = names_of(self.setup)
        try:
            for order in ("PRAGMA secure_delete = ON", "DELETE FROM name", "VACUUM",
                          "PRAGMA wal_checkpoint(TRUNCATE)"):  # fmt: skip
                self._database.execute(order).fetchall()
        except sqlite3.Error as error:
            raise JournalError(f"{self.path}: cannot write: {why(error)}") from None
        self.setup = with_names(self.setup)
        left = [name for _, _, name in names if self._holds(name)]
        if left:
            raise JournalError(f"{self.path}: {len(left)} names are still in it")

    def close(self) -> None:
        """Closes the file and gives up its lock; a file that was taken away is written anew."""
        with suppress(JournalError, OSError, sqlite3.Error):
            self._put_back()
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

    # --- reading --------------------------------------------------------------------------------

    def _read_header(self) -> tuple[Setup, bytes]:
        row = self._database.execute("SELECT setup, hash FROM header").fetchone()
        names = self._database.execute("SELECT team, number, name FROM name").fetchall()
        try:
            text, start = row
            items = [Item(key, value) for key, value in json.loads(text).items()]
            setup = with_names(make_setup(items, self.path), names)
        except (TypeError, ValueError, AttributeError, InputError) as error:
            raise JournalError(f"{self.path}: damaged header: {why(error)}") from None
        if first_hash(text) != start:
            raise JournalError(f"{self.path}: damaged header: it is not as it was recorded")
        return setup, start

    def _checked(self, start: bytes) -> bytes:
        """The newest hash, all entries being as they were recorded."""
        try:
            return follow(start, self._database.execute(_ENTRIES))
        except CalloutError as error:
            raise JournalError(
                f"{self.path}: {error}; save what is whole: callout recover {self.path}"
            ) from None

    def _rows(self, query: str, read: Callable[[tuple[Any, ...]], Any]) -> tuple[Any, ...]:
        made = []
        try:
            for row in self._database.execute(query):
                try:
                    made.append(read(row))
                except (CalloutError, ValueError, TypeError, KeyError, AttributeError) as error:
                    raise JournalError(f"{self.path}: damaged row {row[0]}: {why(error)}") from None
        except (sqlite3.Error, UnicodeDecodeError) as error:
            raise file.told(self.path, error) from None
        return tuple(made)

    def _holds(self, name: str) -> bool:
        """Whether a name stands in the files more often than the book's own words hold it."""
        raw, known = name.encode(), "\n".join(self._database.iterdump()).encode()
        parts = [path for path in (self.path, file.log_of(self.path)) if path.exists()]
        return sum(path.read_bytes().count(raw) for path in parts) > known.count(raw)

    # --- writing --------------------------------------------------------------------------------

    @contextmanager
    def _transaction(self) -> Iterator[sqlite3.Connection]:
        try:
            self._put_back()
            self._database.execute("BEGIN IMMEDIATE")
            try:
                yield self._database
                self._database.execute("COMMIT")
            except BaseException:
                # A commit that failed for want of room may have ended the transaction itself.
                if self._database.in_transaction:
                    self._database.execute("ROLLBACK")
                raise
        except (sqlite3.Error, OSError) as error:
            raise JournalError(f"{self.path}: cannot write: {why(error)}") from None

    def _put_back(self) -> None:
        """Where the file was taken away while it is open, writes all of it anew."""
        if self.path is _MEMORY:
            return
        if not self._moved():
            return
        if file.identity(self.path) not in (None, self._files[0]):
            raise JournalError(f"{self.path}: cannot write: another file was put in its place")
        file.write_copy(self._database, self.path)
        # Closing takes the old log's name away, so the new file is opened after that.
        self._database.close()
        self._database, self._files = file.open_database(self.path), _files(self.path)

    def _moved(self) -> bool:
        """Whether the file or its log no longer has its name; the log gets one when first used."""
        now = _files(self.path)
        if any(old not in (None, new) for old, new in zip(self._files, now, strict=True)):
            return True
        self._files = now
        return False


def _files(path: Path) -> Files:
    return file.identity(path), file.identity(file.log_of(path))
