"""What child processes complained of before they died: a small file each, for the user alone."""

from __future__ import annotations

import os
from datetime import datetime
from pathlib import Path
from typing import Final

from callout.edges import folders
from callout.table.book.files import write_whole

MOST_BYTES: Final = 64 << 10
"""The size of a log, at most; older lines are dropped."""


def child_log_file(name: str) -> Path:
    """The path of a child's log, which outlives a game."""
    return folders.logs() / f"{name}.log"


class ChildLog:
    """Keeps the last complaints of each process of one child."""

    def __init__(self, name: str, path: Path | None = None) -> None:
        """`path` is the file; None for the usual one."""
        self._name = name
        self._path = path or child_log_file(name)

    def keep(self, what: str, complaints: bytes) -> Path | None:
        """Add the complaints of a process, and what happened to it.

        The file; None where there is nothing to read, or the file cannot be written, which is no
        reason to end a game.
        """
        told = complaints.strip()
        if not told:
            return None
        head = f"--- {datetime.now().isoformat(timespec='seconds')} {self._name} {what}\n"
        try:
            self._path.parent.mkdir(parents=True, exist_ok=True)
            # Another table on this machine may keep complaints at the same moment: what is added
            # in one write stays whole.
            with open(self._path, "ab", buffering=0, opener=_private) as log:
                log.write(head.encode("utf-8") + told[-MOST_BYTES:] + b"\n")
            if self._path.stat().st_size > MOST_BYTES:
                write_whole(self._path, self._path.read_bytes()[-MOST_BYTES:])
        except OSError:
            return None
        return self._path


def _private(path: str, flags: int) -> int:
    return os.open(path, flags, 0o600)
