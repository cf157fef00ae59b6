"""Power cuts: every write of a game is recorded, and the disks that a cut may leave are rebuilt.

strace records the system calls of a real process that keeps a game: writes, flushes, and the lines
that confirm calls. After a cut a disk holds everything that was flushed, and of what was written
since all, nothing, some of the writes, or a part of the last one. Each of these disks is rebuilt
for every moment of the game, and the game on it is compared with what was confirmed by then.
"""

from __future__ import annotations

import random
import re
import shutil
import subprocess
import sys
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path

from callout.errors import JournalError
from callout.table.book.journal import Journal
from tests.faults.result import Result
from tests.table.play import SETUP

SECTOR: int = 512
"""Bytes that a disk writes at once; a write that is cut ends at a multiple of this."""
_CALL = re.compile(r"(?:\[pid +\d+\] )?(\w+)\((\d+)<([^>]*)>(?:, (.*))?\) += (\d+)")
_DATA = re.compile(r'"((?:\\x[0-9a-f]{2})*)", (\d+)(?:, (\d+))?')


@dataclass(frozen=True)
class Step:
    """One system call of the process."""

    what: str
    """`write`, `cut` (to a length), `flush`, or `confirm`."""
    name: str = ""
    at: int = 0
    data: bytes = b""


@dataclass
class Disk:
    """What has been flushed, and the writes since, oldest first."""

    safe: dict[str, bytearray]
    since: list[Step] = field(default_factory=list)
    confirmed: int = 0

    def take(self, step: Step) -> None:
        """Apply one more step."""
        if step.what == "confirm":
            self.confirmed = step.at
        elif step.what == "flush":
            for each in [s for s in self.since if s.name == step.name]:
                put(self.safe, each)
            self.since = [s for s in self.since if s.name != step.name]
        else:
            self.since.append(step)

    def cuts(self, dice: random.Random) -> Iterator[dict[str, bytearray]]:
        """The files that a power cut may leave at this moment, in all variants."""
        yield self._with([])
        for count in range(1, len(self.since) + 1):
            yield self._with(self.since[:count])
        if self.since:
            *whole, last = self.since
            for end in range(SECTOR, len(last.data), SECTOR):
                yield self._with([*whole, Step("write", last.name, last.at, last.data[:end])])
            yield self._with([s for s in self.since if dice.random() < 0.5])

    def _with(self, steps: list[Step]) -> dict[str, bytearray]:
        files = {name: bytearray(data) for name, data in self.safe.items()}
        for step in steps:
            put(files, step)
        return files


def put(files: dict[str, bytearray], step: Step) -> None:
    """Apply a write or a cut to the files."""
    content = files.setdefault(step.name, bytearray())
    if step.what == "cut":
        del content[step.at :]
        content.extend(bytes(step.at - len(content)))
        return
    content.extend(bytes(max(0, step.at - len(content))))
    content[step.at : step.at + len(step.data)] = step.data


def record(folder: Path, count: int) -> tuple[dict[str, bytearray], list[Step]]:
    """The files before a game of `count` calls, and the system calls of its process."""
    if shutil.which("strace") is None:
        raise AssertionError("strace is needed for this: run it by make")
    game, log = folder / "x.game", folder / "trace"
    Journal.create(game, SETUP).close()
    files = {game.name: bytearray(game.read_bytes())}
    command = ["strace", "-f", "-y", "-xx", "-s", "100000", "-o", str(log), "-e",
               "trace=write,pwrite64,ftruncate,fsync,fdatasync",
               sys.executable, "-m", "tests.faults.writer", str(game), str(count)]  # fmt: skip
    subprocess.run(command, check=True, stdout=subprocess.PIPE, timeout=300)
    return files, list(_steps(log.read_text(), game.name))


def _steps(trace: str, game: str) -> Iterator[Step]:
    for line in trace.splitlines():
        found = _CALL.search(line)
        if not found:
            continue
        what, handle, path, rest = found[1], found[2], _text(found[3]), found[4] or ""
        name = Path(path).name
        ours = name.startswith(game)
        if what in ("fsync", "fdatasync") and ours:
            yield Step("flush", name)
        elif what == "ftruncate" and ours:
            yield Step("cut", name, int(rest))
        elif what in ("write", "pwrite64"):
            data = _DATA.match(rest)
            if data is None:
                raise AssertionError(f"not understood: {line[:200]}")
            raw = bytes.fromhex(data[1].replace("\\x", ""))
            if what == "pwrite64" and ours:
                yield Step("write", name, int(data[3] or 0), raw)
            elif handle == "1" and raw.startswith(b"confirmed "):
                yield Step("confirm", at=int(raw.split()[1]))


def _text(path: str) -> str:
    return bytes.fromhex(path.replace("\\x", "")).decode() if "\\x" in path else path


def power_cut(folder: Path, count: int, every: int = 1) -> Result:
    """The power is cut at every `every`-th step of a game, with every disk that may be left."""
    files, steps = record(folder, count)
    disk, dice, tried, missing, unopened = Disk(files), random.Random(3), 0, 0, 0
    flushes = sum(step.what == "flush" for step in steps)
    assert flushes >= count, f"expected a flush for each of {count} calls, got {flushes}"
    for nth, step in enumerate(steps):
        disk.take(step)
        for left in disk.cuts(dice) if nth % every == 0 else ():
            place = folder / "cut"
            shutil.rmtree(place, ignore_errors=True)
            place.mkdir()
            for name, data in left.items():
                (place / name).write_bytes(data)
            tried += 1
            try:
                with Journal.open(place / "x.game") as journal:
                    there = [entry.id for entry in journal.entries()]
            except JournalError:
                unopened += 1
                there = []
            missing += len(set(range(1, disk.confirmed + 1)) - set(there))
            missing += there != list(range(1, len(there) + 1))
    counts = {"writes and flushes": len(steps), "not opened": unopened}
    return Result("power cut", tried, missing, counts=counts)
