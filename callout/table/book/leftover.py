"""What a crash left beside a game's file, examined before SQLite may open it.

SQLite merges a log into whatever file has the matching name, and removes the log when that file is
closed. So the log is read here first. If SQLite would not show all that was recorded, or if the log
belongs to another game, nothing is opened and both files stay as they are.
"""

from __future__ import annotations

import os
import sqlite3
import stat
import sys
from collections.abc import Iterable, Iterator
from contextlib import closing, suppress
from dataclasses import dataclass
from pathlib import Path
from typing import BinaryIO, Final

from callout.errors import CalloutError, InPlayError, JournalError
from callout.plain import quoted
from callout.table.book import raw_rows
from callout.table.book.chain import Row, follow, game_of
from callout.table.book.files import why, write_whole
from callout.table.book.schema import check_kind, check_tables, read_start
from callout.table.book.write_ahead_log import Log, State, merged, open_image, read_log

if sys.platform != "win32":
    import fcntl

_LOCKED_AT: Final = 0x4000_0002
_LOCKED_BYTES: Final = 510
"""The bytes that SQLite locks in a file that it has open. Source: SQLite's os.h, `SHARED_FIRST`."""


@dataclass(frozen=True, slots=True)
class Leftover:
    """A game's file and its log as they were found, both read whole."""

    path: Path
    main: bytes
    raw: bytes
    log: Log
    newest: int = 0
    """The number of the newest entry that SQLite must show."""

    def put_back(self) -> None:
        """Writes both back as they were found, after SQLite changed them and a check failed."""
        for path, data in ((self.path, self.main), (log_of(self.path), self.raw)):
            with suppress(OSError):
                if not path.exists() or path.read_bytes() != data:
                    write_whole(path, data)

    def keep_log(self) -> Path:
        """Copies the log, which SQLite will remove, and gives the copy's path.

        Raises:
            OSError: it cannot be written.
        """
        for kept in kept_logs(self.path, missing=True):
            write_whole(kept, self.raw)
            return kept
        raise FileExistsError(f"{self.path}: too many logs are kept beside it")


def log_of(path: Path) -> Path:
    """The write-ahead log of a game's file. Source: SQLite, "Write-Ahead Logging", section 4.

    If the path is a symbolic link, SQLite names the log after the file that it leads to.
    """
    own = real(path)
    return own.with_name(f"{own.name}-wal")


def real(path: Path) -> Path:
    """The file that a path leads to, with symbolic links resolved; it need not exist."""
    return Path(os.path.realpath(path))


def size_of(path: Path) -> int:
    """A file's size in bytes; 0 if it does not exist or cannot be examined."""
    try:
        return path.stat().st_size
    except OSError:
        return 0


def kept_logs(path: Path, missing: bool = False) -> Iterator[Path]:
    """The logs kept beside a game by `keep_log`; with `missing`, the names that are still free."""
    own = real(path)
    for nth in range(1, 100):
        kept = own.with_name(f"{own.name}-wal-kept" + (f"-{nth}" if nth > 1 else ""))
        if kept.exists() != missing:
            yield kept


def refuse_leftovers(path: Path) -> None:
    """Checks that no log or rollback journal lies beside a file that is to be made.

    SQLite would merge it into the new file.

    Raises:
        JournalError: there is one; the message names it.
    """
    for each in _log_and_rollback(path):
        if size_of(each):
            raise JournalError(f"{path}: cannot be made: {each.name} of an earlier game is there; "
                               f"save what is in it: callout recover {quoted(path)}")  # fmt: skip


def find_leftover(path: Path, in_play: bool = False) -> Leftover | None:
    """The game's file with the log that SQLite would merge; None if there is no log beside it.

    `in_play`: another program may be writing to both meanwhile.

    Raises:
        InPlayError: another program has it open, and it was not to be read in play.
        JournalError: SQLite would not show all that was recorded, or the log is another game's; the
            message says how to save what is there.
    """
    log, rollback = _log_and_rollback(path)
    for each in (log, rollback):
        if _is_no_plain_file(each):
            raise JournalError(f"{path}: expected a file beside it, got a link or device: {each}")
    if not in_play and in_use(path):
        raise in_use_error(path)
    if size_of(rollback):
        raise _refusal(path, f"{rollback.name} beside it is not a game's, or not this one's")
    if not size_of(log):
        _refuse_other_name(path)
        return None
    try:
        main, raw = path.read_bytes(), log.read_bytes()
    except OSError as error:
        raise JournalError(f"{path}: cannot be read: {why(error)}") from None
    return Leftover(real(path), main, raw, *_checked(path, main, raw))


def in_use_error(path: Path) -> InPlayError:
    """The error for a game that another program has open."""
    return InPlayError(f"{path}: another program has this game open; close it there first")


def in_use(path: Path) -> bool:
    """Whether another program has the game open, as far as the system can tell."""
    if sys.platform == "win32":
        return False  # Windows itself refuses to open the file twice.
    with suppress(OSError):
        if path.is_file():  # Opening a pipe could block for ever.
            with path.open("rb") as file:
                return _is_locked(file)
    return False


def _is_locked(file: BinaryIO) -> bool:
    try:
        fcntl.lockf(file, fcntl.LOCK_SH | fcntl.LOCK_NB, _LOCKED_BYTES, _LOCKED_AT)
    except (BlockingIOError, PermissionError):
        return True
    return False


def _checked(path: Path, main: bytes, raw: bytes) -> tuple[Log, int]:
    log = read_log(raw)
    try:
        with closing(open_image(merged(main, log))) as image:
            version = check_kind(image)
            check_tables(image, version)
            if (state := image.execute("PRAGMA quick_check").fetchone()[0]) != "ok":
                raise CalloutError(str(state).splitlines()[-1])
            _, start, game = read_start(image, version)
            rows = image.execute("SELECT * FROM entry ORDER BY id").fetchall()
        newest = rows[-1][0] if rows else 0
        found = list(raw_rows.entries(main + raw))
        if version > 1:
            follow(start, game, rows)
            _check_one_game(main + raw, found, start, game)
    except (sqlite3.Error, CalloutError, UnicodeDecodeError, TypeError) as error:
        what = f"it and its log are damaged, or not of one game: {why(error)}"
        raise _refusal(path, what) from None
    # The entry after the newest may have been cut short by the crash: it was never confirmed.
    if log.state is State.DAMAGED or any(int(str(row[0])) > newest + 1 for row in found):
        raise _refusal(path, f"its log is damaged after entry {newest}")
    return log, newest


def _check_one_game(raw: bytes, found: Iterable[Row], start: bytes, game: bytes) -> None:
    other = any(header.hash != start for header in raw_rows.headers(raw))
    if other or any(game_of(row) != game for row in found):
        raise CalloutError("there are two games in them")


def _refusal(path: Path, what: str) -> JournalError:
    return JournalError(f"{path}: {what}; save what is whole: callout recover {quoted(path)}")


def _refuse_other_name(path: Path) -> None:
    """A file with two names (a hard link) has its log beside the name by which it was opened."""
    own = real(path)
    with suppress(OSError):
        if own.stat().st_nlink < 2:
            return
        for each in own.parent.iterdir():
            if each != own and size_of(log_of(each)) and each.samefile(own):
                raise JournalError(f"{path}: is {each.name}, too, and its newest calls are in the "
                                   "log of that name; open it by that name")  # fmt: skip


def _log_and_rollback(path: Path) -> tuple[Path, Path]:
    own = real(path)
    return log_of(path), own.with_name(f"{own.name}-journal")


def _is_no_plain_file(path: Path) -> bool:
    try:
        return not stat.S_ISREG(path.lstat().st_mode)
    except OSError:
        return False
