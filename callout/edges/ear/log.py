"""What an ear wrote before it died: a small file that only the user may read."""

from __future__ import annotations

import os
import threading
from datetime import datetime
from pathlib import Path
from typing import BinaryIO, Final

from callout.edges import folders
from callout.table.book.files import write_whole

MOST_BYTES: Final = 64 << 10
"""The size of the log, at most; older lines are dropped."""


def ear_log_file() -> Path:
    """The path of the log, which outlives a game."""
    return folders.logs() / "ear.log"


class EarLog:
    """Takes the standard error of one ear after the other, and keeps the end of each that died."""

    def __init__(self, folder: Path, log: Path | None = None) -> None:
        """`folder` is private, and takes what a living ear writes; `log` is that of the user."""
        self._raw = folder / "stderr"
        self._log = log or ear_log_file()
        self._lock = threading.Lock()

    def open(self) -> BinaryIO:
        """A fresh file for the standard error of an ear.

        Raises:
            OSError: it cannot be made.
        """
        self._raw.unlink(missing_ok=True)
        return self._raw.open("ab", buffering=0)

    def trim(self) -> None:
        """Keep what a living ear writes small: a sound library may complain for hours.

        It appends, so that it goes on writing at the end of what is left.
        """
        with self._lock:
            try:
                if self._raw.stat().st_size > MOST_BYTES:
                    left = self._raw.read_bytes()[-MOST_BYTES // 2 :]
                    os.truncate(self._raw, 0)
                    with self._raw.open("ab") as file:
                        file.write(left)
            except OSError:
                return  # a log is no reason to end a game

    def keep(self, what: str) -> Path | None:
        """Add what a dead ear wrote to the user's log; its place, if there is anything to read."""
        with self._lock:
            try:
                told = self._raw.read_bytes()[-MOST_BYTES // 2 :].strip()
                if not told:
                    return None
                head = f"--- {datetime.now().isoformat(timespec='seconds')} the ear {what}\n"
                before = self._log.read_bytes() if self._log.is_file() else b""
                self._log.parent.mkdir(parents=True, exist_ok=True)
                whole = before + head.encode("utf-8") + told + b"\n"
                write_whole(self._log, whole[-MOST_BYTES:])
            except OSError:
                return None
            return self._log
