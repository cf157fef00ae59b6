"""Disks that are full or read-only, each a mount of its own; or a limit where mounts are forbidden.

`python -m tests.faults.disks FOLDER FAULT` does the work inside the mount.
"""

from __future__ import annotations

import resource
import signal
import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path

from callout.errors import JournalError
from callout.game import calls
from callout.game.terms import Team
from callout.table.book.journal import Journal
from callout.table.clock import SimulatedTime
from callout.table.session import Session
from callout.table.speech.reply import Reply
from tests.faults.result import Result
from tests.faults.writer import write
from tests.table.play import SETUP, language

FULL_AFTER: int = 20
"""Calls that are made before the disk fails."""

REFUSED: int = 100
"""Calls that are made while it fails."""


def inside(folder: Path, fault: str) -> int:
    """Keeps a game while the disk fails and recovers; prints what was lost, and the delay."""
    game, ballast = folder / "x.game", folder / "ballast"
    fails, heals = _faults(folder, ballast)[fault]
    time_ = SimulatedTime(1_000_000)
    with Journal.create(game, SETUP) as journal:
        session = Session(journal, language()[0], time_)
        confirmed = list(session.take(calls.StartClock(), "key").entries)

        def call() -> Reply:
            time_.set(time_.wall_ms() + 10)
            return session.take(calls.Score(Team.HOME, 2, "5"), "key")

        for _ in range(FULL_AFTER):
            confirmed += call().entries
        fails()
        refused = 0
        for _ in range(REFUSED):
            reply = call()
            confirmed += reply.entries
            told = "Not recorded" in reply.text
            assert told != bool(reply.entries), reply
            refused += told
        heals()
        healed_s = time.monotonic()
        while not (made := call().entries):
            assert time.monotonic() < healed_s + 5, "it never recorded again"
        soon = time.monotonic() - healed_s
        confirmed += made
    with Journal.open(game) as journal:
        there = [entry.id for entry in journal.entries()]
    missing = len(set(confirmed) - set(there)) + len(there) - len(set(confirmed))
    print(missing, refused, soon)
    return 0


def read_only(folder: Path) -> int:
    """A game on a read-only disk is refused in one line, and continues once it can be written.

    A disk cannot be made read-only while a file on it is open for writing, so this happens between
    two runs of the program.
    """
    game, tried = folder / "x.game", 20
    write(game, 5)
    with Journal.open(game) as journal:
        confirmed = journal.entries()
    for _ in range(tried):
        subprocess.run(["mount", "-o", "remount,ro", str(folder)], check=True)
        try:
            Journal.open(game).close()
            return 1
        except JournalError as error:
            if "cannot be written" not in str(error):
                raise
        with Journal.read(game) as journal:
            assert journal.entries() == confirmed, "it can be read all the same"
        subprocess.run(["mount", "-o", "remount,rw", str(folder)], check=True)
        healed_s = time.monotonic()
        with Journal.open(game) as journal:
            missing = len(set(confirmed) ^ set(journal.entries()))
        soon = time.monotonic() - healed_s
    print(missing, tried, soon)
    return 0


def _faults(folder: Path, ballast: Path) -> dict[str, tuple[Callable[[], object], ...]]:
    def fill() -> None:
        with ballast.open("wb", buffering=0) as file:
            try:
                while True:
                    file.write(bytes(4096))
            except OSError:
                return

    def limit() -> None:
        resource.setrlimit(resource.RLIMIT_FSIZE, (100_000, resource.RLIM_INFINITY))

    def unlimit() -> None:
        resource.setrlimit(resource.RLIMIT_FSIZE, (resource.RLIM_INFINITY,) * 2)

    return {
        "disk full": (fill, ballast.unlink),
        "file may not grow": (limit, unlimit),
    }


def failing(folder: Path, count: int, fault: str) -> Result:
    """A disk fails for a while: refusals are said, and nothing that was confirmed is lost."""
    missing, refused, soon = 0, 0, []
    for nth in range(count):
        place = folder / f"{fault}-{nth}".replace(" ", "-")
        place.mkdir()
        own = [sys.executable, "-m", "tests.faults.disks", str(place), fault]
        if fault != "file may not grow":
            mounted = f"mount -t tmpfs -o size=2m tmpfs {place} && exec " + " ".join(
                f"'{part}'" for part in own
            )
            own = ["unshare", "--map-root-user", "--mount", "sh", "-c", mounted]
        done = subprocess.run(own, capture_output=True, text=True, timeout=120)
        assert done.returncode == 0, done.stdout + done.stderr
        lost, no, after = done.stdout.split()[-3:]
        missing, refused = missing + int(lost), refused + int(no)
        soon.append(float(after))
    assert refused, f"{fault}: no call was ever refused, so the fault did not happen"
    return Result(fault, count, missing, soon, {"calls refused aloud meanwhile": refused})


if __name__ == "__main__":
    # Without this a write beyond the limit would end the program instead of failing.
    signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
    where, what = Path(sys.argv[1]), sys.argv[2]
    sys.exit(read_only(where) if what == "read-only disk" else inside(where, what))
