"""A child process that does what a test says, and seconds that pass when it says so."""

from __future__ import annotations

import queue
import threading
from collections.abc import Callable, Iterator, Sequence
from pathlib import Path
from typing import Generic, TypeVar

from callout.edges.child import Supervision
from callout.edges.restarts import Pace
from callout.edges.wire import Wire
from tests.patience import HANG_S

C = TypeVar("C")
T = TypeVar("T")


class Seconds(Pace):
    """Seconds that pass only by `pass_by`."""

    def __init__(self) -> None:
        self.now = 0.0
        self.waited: list[float] = []
        """How long was waited before each new start."""
        self.enough: int | None = None
        """So many waits go on at once, and the last of them for ever; None for all."""
        self.waits = threading.Event()
        """Whether that last wait has begun."""
        self._do: Callable[[], None] = lambda: None

    def now_s(self) -> float:
        """Seconds since the test began."""
        return self.now

    def wait(self, over: threading.Event, seconds: float) -> bool:
        """Go on at once."""
        self.waited.append(seconds)
        self.now += seconds
        if len(self.waited) == self.enough:
            self.waits.set()
            assert over.wait(HANG_S), "nobody closed it"
        return over.is_set()

    def each_second(self, over: threading.Event, do: Callable[[], None]) -> None:
        """Do it when a second passes by."""
        self._do = do

    def pass_by(self, seconds: int) -> None:
        """So many seconds pass."""
        for _ in range(seconds):
            self.now += 1.0
            self._do()


class ScriptedChild(Generic[C, T]):
    """A process that tells what the test lets it tell."""

    pid = 4711

    def __init__(self, by: Children[C, T], module: Sequence[str]) -> None:
        self.module = module
        self.done: list[C] = []
        """The commands that it was given."""
        self.written = 0
        """Bytes that it was given."""
        self._by = by
        self._complaint = by.complaint
        self.reads = threading.Semaphore(0)
        """Counts how often its reader has come for a line: what it read before is then done."""
        self.begun = threading.Event()
        """Whether its reader has come: it was greeted before that."""
        self._told: queue.Queue[str | None] = queue.Queue()
        self._status: int | None = None

    def write(self, line: str) -> None:
        """Take a command, and do what the test says of it."""
        if self._status is not None:
            raise BrokenPipeError
        self.written += len(line) + 1
        self.done.append(self._by.commands.read(line))
        self._by.on.get(type(self.done[-1]), lambda: None)()

    def end_input(self) -> None:
        """End, as nobody is there any more."""
        self.end(0)

    def lines(self) -> Iterator[str]:
        """What it tells."""
        self.begun.set()
        while (line := self._next()) is not None:
            yield line

    def _next(self) -> str | None:
        self.reads.release()
        return self._told.get(timeout=HANG_S)

    def complaints(self) -> bytes:
        """What it wrote to standard error."""
        return self._complaint

    def kill(self) -> None:
        """End by SIGKILL."""
        self.end(-9)

    def wait(self, limit_s: float | None = None) -> int | None:
        """Its status."""
        return self._status

    def tell(self, event: T) -> None:
        """Tell an event."""
        self.print(self._by.events.write(event))

    def print(self, line: str) -> None:
        """Print a line, be it an event or not."""
        self._told.put(line + "\n")

    def end(self, status: int) -> None:
        """End with that status."""
        if self._status is None:
            self._status = status
            self._told.put(None)


class Children(Generic[C, T]):
    """Makes the processes of one child, as long as the system lets it."""

    def __init__(self, commands: Wire[C], events: Wire[T]) -> None:
        self.commands, self.events = commands, events
        self.refusals: list[OSError] = []
        """What the system says to the next attempts."""
        self.complaint = b""
        """What each writes to standard error."""
        self.on: dict[type[C], Callable[[], None]] = {}
        """What happens when a command comes."""
        self.begin: Callable[[ScriptedChild[C, T]], None] = lambda child: None
        """What each does as it begins."""
        self.count = 0
        """How many were made."""
        self.last: ScriptedChild[C, T]
        self._made: queue.Queue[ScriptedChild[C, T]] = queue.Queue()

    def __call__(self, module: Sequence[str]) -> ScriptedChild[C, T]:
        """The next child."""
        if self.refusals:
            raise self.refusals.pop(0)
        self.last = ScriptedChild(self, module)
        self.count += 1
        self._made.put(self.last)
        self.begin(self.last)
        return self.last

    def next(self) -> ScriptedChild[C, T]:
        """The next that is made, once it was greeted."""
        child = self._made.get(timeout=HANG_S)
        assert child.begun.wait(HANG_S)
        return child

    def by(self, seconds: Seconds, log: Path) -> Supervision:
        """A supervision that starts these, and counts those seconds."""
        return Supervision(start=self, pace=seconds, log=log)
