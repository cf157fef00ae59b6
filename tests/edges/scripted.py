"""An ear's process that does what a test says, and seconds that pass when it says so."""

from __future__ import annotations

import queue
import threading
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import BinaryIO

from callout.edges.ear.messages import COMMANDS, EVENTS, Command, Told
from callout.edges.restarts import Pace
from tests.patience import HANG_S


class Seconds(Pace):
    """Seconds that pass only by `pass_by`."""

    def __init__(self) -> None:
        self.now = 0.0
        self.waited: list[float] = []
        """How long was waited before each new start."""
        self._do: Callable[[], None] = lambda: None

    def now_s(self) -> float:
        """Seconds since the test began."""
        return self.now

    def wait(self, over: threading.Event, seconds: float) -> bool:
        """Go on at once."""
        self.waited.append(seconds)
        self.now += seconds
        return over.is_set()

    def each_second(self, over: threading.Event, do: Callable[[], None]) -> None:
        """Do it when a second passes by."""
        self._do = do

    def pass_by(self, seconds: int) -> None:
        """So many seconds pass."""
        for _ in range(seconds):
            self.now += 1.0
            self._do()


class ScriptedChild:
    """A process that tells what the test lets it tell."""

    pid = 4711

    def __init__(
        self, folder: Path, complaints: BinaryIO, on: dict[type[Command], Callable[[], None]]
    ) -> None:
        self.folder = folder
        self.done: list[Command] = []
        """The commands that it was given."""
        self.written = 0
        """Bytes that it was given."""
        self._complaints = complaints
        self._on = on
        self._told: queue.Queue[str | None] = queue.Queue()
        self._status: int | None = None

    def write(self, line: str) -> None:
        """Take a command, and do what the test says of it."""
        if self._status is not None:
            raise BrokenPipeError
        self.written += len(line) + 1
        self.done.append(COMMANDS.read(line))
        self._on.get(type(self.done[-1]), lambda: None)()

    def end_input(self) -> None:
        """End, as nobody is there any more."""
        self.end(0)

    def lines(self) -> Iterator[str]:
        """What it tells."""
        while (line := self._told.get(timeout=HANG_S)) is not None:
            yield line

    def kill(self) -> None:
        """End by SIGKILL."""
        self.end(-9)

    def wait(self, limit_s: float | None = None) -> int | None:
        """Its status."""
        return self._status

    def tell(self, event: Told) -> None:
        """Tell an event."""
        self.print(EVENTS.write(event))

    def print(self, line: str) -> None:
        """Print a line, be it an event or not."""
        self._told.put(line + "\n")

    def complain(self, text: bytes) -> None:
        """Write to standard error; only while it is being made, as the handle is closed then."""
        self._complaints.write(text)

    def end(self, status: int) -> None:
        """End with that status."""
        if self._status is None:
            self._status = status
            self._told.put(None)


class Children:
    """Makes the children of one ear, as long as the system lets it."""

    def __init__(self) -> None:
        self.refusals: list[OSError] = []
        """What the system says to the next attempts."""
        self.complaint = b""
        """What each writes to standard error as it begins."""
        self.on: dict[type[Command], Callable[[], None]] = {}
        """What happens when a command comes."""
        self.last: ScriptedChild
        self._made: queue.Queue[ScriptedChild] = queue.Queue()

    def __call__(self, folder: Path, complaints: BinaryIO) -> ScriptedChild:
        """The next child."""
        if self.refusals:
            raise self.refusals.pop(0)
        self.last = ScriptedChild(folder, complaints, self.on)
        self.last.complain(self.complaint)
        self._made.put(self.last)
        return self.last

    def next(self) -> ScriptedChild:
        """The next that is made."""
        return self._made.get(timeout=HANG_S)
