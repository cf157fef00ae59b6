"""Games' files that are damaged or have a newer version."""

from __future__ import annotations

import random
import sqlite3
from pathlib import Path

from callout.errors import JournalError
from callout.table.book.journal import Journal
from callout.table.book.recovery import salvage
from callout.table.book.schema import VERSION
from tests.faults.result import Result
from tests.faults.writer import write


def flipped(folder: Path, count: int) -> Result:
    """A random bit is flipped: it is reported or has no effect; the book never differs."""
    path = folder / "flips.game"
    write(path, 60)
    with Journal.open(path) as journal:
        entries = journal.entries()
    whole, dice = path.read_bytes(), random.Random(9)
    wrong, refused, missing, most = 0, 0, 0, 0
    for _ in range(count):
        at = dice.randrange(len(whole))
        damaged = whole[:at] + bytes([whole[at] ^ 1 << dice.randrange(8)]) + whole[at + 1 :]
        path.write_bytes(damaged)
        try:
            with Journal.open(path) as journal:
                wrong += journal.entries() != entries
        except JournalError as error:
            wrong += "\n" in str(error)
            refused += 1
            path.write_bytes(damaged)
            found = salvage(path)
            missing += len(entries) - len(found.entries)
            most = max(most, len(entries) - len(found.entries))
            wrong += not set(found.entries) <= set(entries)
        for log in folder.glob("flips.game-*"):
            log.unlink()
    counts = {"refused": refused, "entries of theirs lost in recovery": missing}
    return Result("flipped bytes", count, wrong, (), counts, {"of one file": most})


def newer(folder: Path, count: int) -> Result:
    """A file of a newer version is refused in one line and stays as it was."""
    path, wrong = folder / "newer.game", 0
    write(path, 5)
    for nth in range(count):
        database = sqlite3.connect(path)
        database.execute(f"PRAGMA user_version = {VERSION + 1 + nth}")
        database.close()
        before = path.read_bytes()
        try:
            Journal.open(path).close()
            wrong += 1
        except JournalError as error:
            wrong += "use a newer callout" not in str(error)
        wrong += path.read_bytes() != before
    return Result("newer version", count, wrong, note="refused in one line, left as it was")
