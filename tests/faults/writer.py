"""A game kept through a session, in a process of its own.

`python -m tests.faults.writer GAME COUNT` books COUNT calls. For each one that is confirmed it
prints a line `confirmed N` with the number of the entry, and for one that could not be recorded a
line `refused`. The line is printed when the voice would speak: after the commit.
"""

from __future__ import annotations

import os
import sys
from collections.abc import Callable
from itertools import cycle, islice
from pathlib import Path

from callout.game import calls
from callout.game.calls import Call
from callout.game.terms import Team
from callout.table.book.journal import Journal
from callout.table.clock import SimulatedTime
from callout.table.session import Session
from tests.table.play import SETUP, language

CALLS: tuple[Call, ...] = (
    calls.Score(Team.HOME, 2, "5"),
    calls.Foul(Team.GUEST, "14"),
    calls.Score(Team.GUEST, 3, "30"),
    calls.Undo(),
    calls.Score(Team.HOME, 2),
)


def write(path: Path, count: int, told: Callable[[str], object] = lambda line: None) -> None:
    """Book `count` calls, and report each to `told` once it is confirmed."""
    journal = Journal.open(path) if path.exists() else Journal.create(path, SETUP)
    time = SimulatedTime(journal.last_ms() + 1_000)
    session = Session(journal, language()[0], time)
    if not session.entries:
        session.take(calls.StartClock(), "key")
    for call in islice(cycle(CALLS), count):
        made = session.take(call, "key").entries
        told(f"confirmed {made[-1]}" if made else "refused")
        time.set(time.wall_ms() + 10)
    journal.close()


if __name__ == "__main__":
    # Each in one write of its own, so that its place among the others is known.
    write(Path(sys.argv[1]), int(sys.argv[2]), lambda line: os.write(1, f"{line}\n".encode()))
