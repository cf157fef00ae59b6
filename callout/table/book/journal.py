"""The journal of one game, open for reading and for adding entries.

What was said is stored beside the entries, so that a game read from its journal shows the same
notices and refusals as it did at the table. For what is written when, see `callout/table/book`.
"""

from __future__ import annotations

import os
import sqlite3
from collections.abc import Callable, Iterable, Iterator
from contextlib import contextmanager, suppress
from dataclasses import replace
from pathlib import Path
from typing import Any, Final, Self

from callout.errors import CalloutError, InPlayError, JournalError
from callout.game.fold import Entry
from callout.plain import plain, quoted
from callout.reading import exists
from callout.table.book import database as file
from callout.table.book.backup import snapshot, write_anew
from callout.table.book.chain import first_hash, follow, mark, next_hash
from callout.table.book.files import path_text, why
from callout.table.book.leftover import log_of, real
from callout.table.book.names import Name, strike, with_names, write_people
from callout.table.book.recorded_header import read_header
from callout.table.book.rows import read_entry, read_int, read_said, readable_row, said_row
from callout.table.book.schema import VERSION, fill, read_start
from callout.table.setup.setup import Setup
from callout.table.speech.reply import Said

_MEMORY: Final = Path(":memory:")
_ENTRIES: Final = "SELECT * FROM entry ORDER BY id"
_ADD_ENTRY: Final = "INSERT INTO entry VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?)"
_ADD_REPLY: Final = "INSERT INTO reply VALUES (NULL, ?, ?, ?, ?, ?, ?, ?, ?, ?)"


class Journal:
    """One game's journal."""

    def __init__(self, path: Path, database: sqlite3.Connection, doubt: str = "") -> None:
        self.path, self.doubt = path, plain(doubt)
        """`doubt`: one line for the scorer on what may be missing from the game; mostly empty."""
        self._database = database
        self._log = log_of(path)  # Looking it up at each call took a tenth of the call's time.
        self._files: file.Files = self._identities()
        self.setup, self._start, self._game = self._read_header()
        self._hash = self._checked()

    @classmethod
    def create(cls, path: Path, setup: Setup, game: bytes | None = None) -> Self:
        """A new journal at `path`; `game` is the id of a known game that is written again.

        Raises:
            JournalError: a file of that name or its log exists, or none can be made there.
        """
        file.make_database(path, setup, game)
        return cls.open(path)

    @classmethod
    def open(cls, path: Path) -> Self:
        """The journal at `path`, checked from its first entry to its last, and locked.

        Raises:
            JournalError: it does not exist, is not a game's journal, has a newer version, is
                damaged, was changed after it was recorded, or is open in another program.
        """
        return cls._of(path, *file.open_database(path))

    @classmethod
    def read(cls, path: Path) -> Self:
        """The journal at `path`, to be read only: on a write-protected disk, and in play as well.

        Raises:
            JournalError: as for `open`, except that another program may have it open.
        """
        if exists(path) and not file.writable(path):
            return cls._of(path, *file.read_database(path))
        for _ in range(file.IN_PLAY_READS):
            with suppress(InPlayError):
                return cls.open(path)
            with suppress(JournalError):
                return cls._of(path, *file.read_database(path, in_play=True))
        return cls.open(path)

    @classmethod
    def _of(cls, path: Path, database: sqlite3.Connection, doubt: str) -> Self:
        try:
            return cls(path, database, doubt)
        except (sqlite3.Error, JournalError, UnicodeDecodeError) as error:
            database.close()
            raise file.journal_error(path, error) from None

    @classmethod
    def in_memory(cls, setup: Setup) -> Self:
        """A journal in memory, lost when it is closed: for scripts and tests."""
        database = sqlite3.connect(":memory:", isolation_level=None)
        fill(database, setup)
        return cls(_MEMORY, database)

    def append(self, entry: Entry, replies: Iterable[Said] = ()) -> None:
        """Adds an entry, with replies if they are known; on return both are on the disk.

        Raises:
            JournalError: it could not be written, and nothing of it is in the journal.
        """
        row = readable_row(entry)
        with self._transaction() as database:
            own = next_hash(self._game, self._hash, row)
            file.written(database.execute(_ADD_ENTRY, (*row, self._hash, own, self._game)), 1)
            self._add(database, replies)
        self._hash = own

    def note(self, replies: Iterable[Said]) -> None:
        """Adds what was said: notices of an entry, refusals, questions, answers.

        Raises:
            JournalError: it could not be written.
        """
        with self._transaction() as database:
            self._add(database, replies)

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
        """When the last thing was recorded or said, in ms since 1970; 0 before the first."""
        both = "(SELECT wall_ms FROM entry UNION ALL SELECT wall_ms FROM reply)"
        found = self._rows(f"SELECT max(wall_ms) FROM {both}", lambda row: read_int(row[0] or 0))
        return int(found[0])

    @property
    def mark(self) -> str:
        """The newest hash, shortened; it is printed on a sheet and identifies its file."""
        return mark(self._hash)

    def mark_after(self, count: int) -> str:
        """The mark of the journal as it was after its first `count` entries.

        Raises:
            JournalError: it has fewer entries.
        """
        query = f"SELECT hash FROM entry ORDER BY id LIMIT 1 OFFSET {count - 1}"
        found = self._rows(query, tuple) if count > 0 else ((self._start,),)
        if count < 0 or not found:
            raise JournalError(f"{self.path}: expected an entry number {count}, got none")
        return mark(found[0][0])

    def snapshot(self) -> sqlite3.Connection:
        """A copy of the whole journal in memory, for `backup.write_copy`."""
        return snapshot(self._database)

    def copied(self, path: Path) -> None:
        """Records another file that may contain people's names: a copy, a sheet, a setup.

        Raises:
            JournalError: it could not be written.
        """
        with self._transaction() as database:
            place = path_text(path.absolute())
            database.execute("INSERT OR IGNORE INTO copy VALUES (?)", (place,))

    def copies(self) -> tuple[Path, ...]:
        """The files recorded by `copied`."""
        found = self._rows("SELECT path FROM copy ORDER BY path", lambda row: os.fsdecode(row[0]))
        return tuple(map(Path, found))

    def forget(self) -> None:
        """Deletes all names: not even their bytes remain.

        Raises:
            JournalError: it could not be written, or a name is still there.
        """
        try:
            left = strike(self._database)
        except sqlite3.Error as error:
            raise JournalError(f"{self.path}: cannot write: {why(error)}") from None
        if left:
            raise JournalError(f"{self.path}: names that are still in it: {left}")
        self.setup = with_names(self.setup)

    def name_people(self, people: tuple[Name, ...]) -> None:
        """Replaces the names of coaches, assistants and officials: they stand beside the book.

        Raises:
            JournalError: they could not be written.
        """
        with self._transaction() as database:
            write_people(database, people)
        self.setup = replace(self.setup, people=people)

    def close(self) -> None:
        """Closes the file and releases its lock; a file that was removed is written again first."""
        with suppress(JournalError, OSError, sqlite3.Error):
            self._write_if_removed()
        self._database.close()

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *_: object) -> None:
        self.close()

    # --- reading --------------------------------------------------------------------------------

    def _read_header(self) -> tuple[Setup, bytes, bytes]:
        names = self._database.execute("SELECT team, number, name FROM name").fetchall()
        try:
            text, start, game = read_start(self._database, VERSION)
            setup = read_header(text, self.path, names)
            own = first_hash(game, text)
        except (CalloutError, TypeError, ValueError, AttributeError) as error:
            raise JournalError(f"{self.path}: damaged header: {why(error)}") from None
        if own != start:
            raise JournalError(f"{self.path}: damaged header: it is not as it was recorded")
        return setup, start, game

    def _checked(self) -> bytes:
        """The newest hash, once every entry has been checked against the chain."""
        try:
            return follow(self._start, self._game, self._database.execute(_ENTRIES))
        except CalloutError as error:
            raise JournalError(
                f"{self.path}: {error}; save what is whole: callout recover {quoted(self.path)}"
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
            raise file.journal_error(self.path, error) from None
        return tuple(made)

    # --- writing --------------------------------------------------------------------------------

    def _add(self, database: sqlite3.Connection, replies: Iterable[Said]) -> None:
        rows = [said_row(said) for said in replies]
        if rows:
            file.written(database.executemany(_ADD_REPLY, rows), len(rows))

    @contextmanager
    def _transaction(self) -> Iterator[sqlite3.Connection]:
        try:
            self._write_if_removed()
            self._database.execute("BEGIN IMMEDIATE")
            try:
                yield self._database
                self._database.execute("COMMIT")
            except BaseException:
                # A commit that failed because the disk is full may have ended the transaction.
                if self._database.in_transaction:
                    self._database.execute("ROLLBACK")
                raise
        # UnicodeError, OverflowError: text or a number that no column can hold.
        except (sqlite3.Error, OSError, UnicodeError, OverflowError) as error:
            raise JournalError(f"{self.path}: cannot write: {why(error)}") from None

    def _write_if_removed(self) -> None:
        """Writes the whole file again if it was removed while open."""
        if self.path is _MEMORY or not self._was_removed():
            return
        if file.identity(self.path) not in (None, self._files[0]):
            raise JournalError(f"{self.path}: cannot write: another file was put in its place")
        write_anew(self._database, real(self.path))
        # Closing removes the log's name, so the new file may be opened only afterwards.
        self._database.close()
        (self._database, _), self._files = file.open_database(self.path), self._identities()

    def _was_removed(self) -> bool:
        """Whether the file or its log was removed or replaced; a log appears at the first write."""
        now = self._identities()
        if any(old not in (None, new) for old, new in zip(self._files, now, strict=True)):
            return True
        self._files = now
        return False

    def _identities(self) -> file.Files:
        return file.identity(self.path), file.identity(self._log)
