"""Every reader of files, on files that a mistake, a bad disk, an editor or a stranger could make.

A reader gives its result or one clear line of error. A traceback is a fault, and so is a file that
takes more than two seconds of processor time or 500 MB of memory, or blocks for ever. Each try is
determined by its reader's name and its number. It is made in a forked child, so that no program has
to be started for it and nothing remains of what it does.

`python -m tests.faults.fuzz NAME NUMBER` repeats one try and shows its result.
"""

from __future__ import annotations

import gc
import os
import random
import resource
import select
import shutil
import signal
import sys
import tempfile
import time
import traceback
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path
from types import FrameType

from callout.errors import CalloutError
from tests.faults.readers import READERS, Reader, prepare
from tests.faults.result import Result


@dataclass(frozen=True)
class Limits:
    """The resources that one try may use."""

    longest_s: float = 2.0
    """Seconds of processor time; more is a fault."""
    stopped_s: float = 10.0
    """Seconds of processor time after which a try is stopped, to show where it was."""
    silent_s: float = 60.0
    """Seconds without output after which a child counts as blocked for ever."""
    most_mb: float = 500.0
    """Megabytes of memory that a child may use beside what its parent had before."""


LIMITS = Limits()
ROOM = 1 << 30
"""Bytes of address space that a child may add to its parent's, to protect the machine."""
BATCH = 300
"""Tries made by one child; then the next child is forked."""


class TooLongError(BaseException):
    """A try was stopped because it took too long. No reader catches this exception by mistake."""


@dataclass
class Tally:
    """The results of one reader's tries."""

    name: str
    limits: Limits = LIMITS
    tried: int = 0
    refused: int = 0
    accepted: int = 0
    slowest_s: float = 0.0
    most_mb: float = 0.0
    faults: list[str] = field(default_factory=list)

    def add(self, number: int, outcome: str, took_s: float, memory_mb: float) -> None:
        """Add one try."""
        self.tried += 1
        self.slowest_s = max(self.slowest_s, took_s)
        self.most_mb = max(self.most_mb, memory_mb)
        self.refused += outcome == "refused"
        self.accepted += outcome == "accepted"
        if outcome not in ("refused", "accepted"):
            self.faults.append(f"{self.name} {number}: {outcome}")
        elif took_s > self.limits.longest_s:
            self.faults.append(f"{self.name} {number}: {outcome} after {took_s:.1f} s")
        elif memory_mb > self.limits.most_mb:
            self.faults.append(f"{self.name} {number}: {outcome} with {memory_mb:.0f} MB")


def fuzz(folder: Path, seconds: float) -> Result:
    """Tries each reader for its share of the time, with numbers that no earlier run had."""
    prepare(folder)
    begin, tallies = 1_000 * int(time.time()), []
    for name, reader in READERS.items():
        tally, number = Tally(name), begin
        end = time.monotonic() + seconds / len(READERS)
        while time.monotonic() < end:
            number = _batch(tally, Child(name, reader, folder, number, BATCH, end))
        tallies.append(tally)
    return told(tallies, seconds)


def some(folder: Path, count: int) -> Result:
    """Makes `count` tries of each reader, the same ones in every run."""
    prepare(folder)
    return told([tally_of(name, READERS[name], folder, count) for name in READERS], 0)


def tally_of(name: str, reader: Reader, folder: Path, count: int, limits: Limits = LIMITS) -> Tally:
    """The results of `count` tries of one reader."""
    tally, number = Tally(name, limits), 0
    while number < count:
        number = _batch(tally, Child(name, reader, folder, number, count - number))
    return tally


def told(tallies: list[Tally], seconds: float) -> Result:
    """Prints a table of the results and the faults; the sum of all as one result."""
    heads = ("Reader", "Tried", "Refused", "Accepted", "Faults", "Slowest, s", "Memory, MB")
    print(("{:<12}" + "{:>11}" * 6).format(*heads))
    for each in tallies:
        figures = (each.tried, each.refused, each.accepted, len(each.faults))
        measured = f"{each.slowest_s:>11.2f}{each.most_mb:>11.0f}"
        print(f"{each.name:<12}" + "".join(f"{figure:>11}" for figure in figures) + measured)
    faults = [fault for each in tallies for fault in each.faults]
    for fault in faults[:40]:
        print(f"fuzz: {fault}")
    return Result(
        "readers fuzzed", sum(each.tried for each in tallies), len(faults),
        counts={"seconds": round(seconds)} if seconds else {},
        most={"s": max(each.slowest_s for each in tallies),
              "MB": max(each.most_mb for each in tallies)},
    )  # fmt: skip


# --- a child --------------------------------------------------------------------------------------


@dataclass(frozen=True)
class Child:
    """The tries of one child: `count` numbers from `first`, none begun after `end`."""

    name: str
    reader: Reader
    folder: Path
    first: int
    count: int
    end: float = float("inf")


def _batch(tally: Tally, child: Child) -> int:
    """Makes some tries in a child process; the number of the next try."""
    number = child.first
    for line in _lines(child, tally.limits):
        at, outcome, took_s, memory_mb = line.split("\t")
        tally.add(int(at), outcome, float(took_s), float(memory_mb))
        number = int(at) + 1
    return number


def _lines(child: Child, limits: Limits) -> Iterator[str]:
    """The lines that a child prints. If it dies or blocks, its next try counts as a fault."""
    ours, its = os.pipe()
    process = os.fork()
    if process == 0:
        os.close(ours)
        _be_child(child, limits, its)
    os.close(its)
    number, silent, rest = child.first, False, b""
    while select.select([ours], [], [], limits.silent_s)[0]:
        block = os.read(ours, 65_536)
        if not block:
            break
        *lines, rest = (rest + block).split(b"\n")
        for line in lines:
            number = int(line.split(b"\t")[0]) + 1
            yield line.decode()
    else:
        silent = True
        os.kill(process, signal.SIGKILL)
    os.close(ours)
    _, status = os.waitpid(process, 0)
    if silent:
        yield f"{number}\tnothing came of it for {limits.silent_s:g} s\t0\t0"
    elif status != 0:
        yield f"{number}\tits child ended with {os.waitstatus_to_exitcode(status)}\t0\t0"


def _be_child(child: Child, limits: Limits, to: int) -> None:
    """Make one try after another, print a line for each, and exit; never returns."""
    try:
        nothing = os.open(os.devnull, os.O_RDWR)
        for stream in (0, 1, 2):
            os.dup2(nothing, stream)
        pages = int(Path("/proc/self/statm").read_text(encoding="ascii").split()[0])
        most = pages * resource.getpagesize() + ROOM
        resource.setrlimit(resource.RLIMIT_AS, (most, most))
        # A child begins with its parent's memory, in which other tests may have loaded much; what
        # it takes is counted from here, and it never looks for garbage in what it inherited.
        gc.freeze()
        inherited_mb = _memory_mb()
        signal.signal(signal.SIGPROF, _too_long)
        for number in range(child.first, child.first + child.count):
            outcome, took_s = _tried(child, number, limits)
            memory_mb = _memory_mb() - inherited_mb
            line = f"{number}\t{outcome}\t{took_s:.3f}\t{memory_mb:.1f}\n"
            os.write(to, line.encode(errors="backslashreplace"))
            if memory_mb > limits.most_mb or time.monotonic() > child.end:
                break
        os._exit(0)
    except BaseException:
        os._exit(1)


def _memory_mb() -> float:
    """The most address space that this process has had, in megabytes. Source: proc(5), VmPeak.

    Its resident memory would not do: the system takes pages of inherited files back at any time, so
    that a reader that grows seems not to.
    """
    status = Path("/proc/self/status").read_text(encoding="ascii", errors="replace")
    return int(status.partition("VmPeak:")[2].split()[0]) / 1024


def _too_long(signal_number: int, frame: FrameType | None) -> None:
    raise TooLongError


def _tried(child: Child, number: int, limits: Limits) -> tuple[str, float]:
    """The result of one try, and the seconds of processor time that it took."""
    place = child.folder / f"{child.name}-{number}"
    place.mkdir()
    begun = time.process_time()
    signal.setitimer(signal.ITIMER_PROF, limits.stopped_s)
    try:
        child.reader(place, random.Random(f"{child.name} {number}"))
        outcome = "accepted"
    except CalloutError:
        outcome = "refused"
    except (Exception, TooLongError) as error:
        outcome = _one_line(error)
    finally:
        signal.setitimer(signal.ITIMER_PROF, 0)
    took_s = time.process_time() - begun
    os.chdir(child.folder)
    shutil.rmtree(place, ignore_errors=True)
    return outcome, took_s


def _one_line(error: BaseException) -> str:
    """The error as one line, with its place in the program."""
    frames = traceback.extract_tb(error.__traceback__)
    ours = [f"{Path(f.filename).name}:{f.lineno}" for f in frames if "/callout/" in f.filename]
    return " ".join(f"{type(error).__name__}: {error} at {' '.join(ours[-3:])}".split())[:300]


def main() -> int:
    """Repeat one try in this process and show whatever it raises."""
    name, number = sys.argv[1], int(sys.argv[2])
    with tempfile.TemporaryDirectory() as folder:
        prepare(Path(folder))
        place = Path(folder) / "try"
        place.mkdir()
        begun = time.process_time()
        try:
            READERS[name](place, random.Random(f"{name} {number}"))
        finally:
            print(f"{time.process_time() - begun:.2f} s of a processor")
    return 0


if __name__ == "__main__":
    sys.exit(main())
