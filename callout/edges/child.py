"""A child process that is kept alive: started, read, ended where it hangs, and started again.

The ear, the synthesizer and the keyboard are each one of these. A child has two threads: one reads
what the process writes, and starts the next process when it has ended; the other counts seconds.

Its owner gets `Died` at the first death, and `Back` once a process is ready again. After
`restarts.MANY` deaths in a row it gets `Gone`; then `Back` follows only when a process has done its
work, or has lived for `WELL_S`. So a person hears once that something is gone, and once that it is
back, however often it dies in between.
"""

from __future__ import annotations

import threading
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Final, Generic, TypeVar

from callout.edges.child_log import ChildLog
from callout.edges.child_process import ChildProcess, PythonProcess, StartProcess
from callout.edges.restarts import WELL_S, Back, Change, Died, Gone, Pace, Restarts
from callout.edges.wire import Wire
from callout.errors import why

M = TypeVar("M")


@dataclass(frozen=True, slots=True, kw_only=True)
class Supervision:
    """What a child is started by and watched by; a test passes its own process and seconds."""

    start: StartProcess = PythonProcess
    pace: Pace = field(default_factory=Pace)
    log: Path | None = None
    """Where its last complaints are kept; None for the usual file."""


REAL: Final = Supervision()
"""Real processes and seconds."""


class SupervisedChild(Generic[M]):
    """One child process after another, for as long as it is wanted."""

    def __init__(
        self,
        name: str,
        module: Sequence[str],
        events: Wire[M],
        *,
        took: Callable[[M], None],
        changed: Callable[[Change], None],
        greet: Callable[[], None] = lambda: None,
        loads_s: float,
        hangs_s: float | None = None,
        by: Supervision = REAL,
    ) -> None:
        """`took` is called with each event and `changed` with each change, on the child's own
        thread; `greet` gives a new process its first commands.

        A process that writes nothing for `loads_s` after its start, or for `hangs_s` after an
        event, hangs and is killed; None never.
        """
        self._name, self._module, self._events = name, module, events
        self._took, self._changed, self._greet = took, changed, greet
        self._loads_s, self._hangs_s = loads_s, hangs_s
        self._start, self._pace = by.start, by.pace
        self._log = ChildLog(name, by.log)
        self._restarts = Restarts()
        self._process: ChildProcess | None = None
        self._is_ready = self.was_ready = False
        self._away = self._hung = False
        self._limit_s: float | None = loads_s
        self._silent_s = 0
        self._well_s: int | None = None
        """Seconds that a process has lived which died often before; None for any other."""
        self._refused = ""
        """What the system said when it started no process."""
        self._deaths = 0
        self._last: M | None = None
        """The last event of this process."""
        self._closing = threading.Event()
        self._reader: threading.Thread | None = None
        self._lock = threading.RLock()
        self._news = threading.Condition(self._lock)

    # --- for whoever owns it ----------------------------------------------------------------------

    def start(self) -> None:
        """Start the first process, if none was started and the child was not closed."""
        with self._lock:
            if self._closing.is_set() or self._reader is not None:
                return
            self._pace.each_second(self._closing, self.second)
            self._reader = threading.Thread(
                target=self._work, args=(self._begin(),), name=self._name, daemon=True
            )
            self._reader.start()

    def write(self, line: str) -> None:
        """Give the process a line; one that has died gets nothing, and its successor a greeting."""
        with self._lock:
            if self._process is not None:
                try:
                    self._process.write(line)
                except (OSError, ValueError):
                    return  # it died; `_work` sees to it

    def ask(self, line: str, limit_s: float) -> M | None:
        """Give the process a line, and wait for its next event; None where it dies first.

        It hangs if it writes nothing for `limit_s`.
        """
        with self._news:
            if not self._is_ready:
                return None
            deaths, self._last = self._deaths, None
            self._silent_s, self._limit_s = 0, limit_s
            self.write(line)
            self._news.wait_for(lambda: self._last is not None or self._deaths != deaths)
            return self._last if self._deaths == deaths else None

    def wait_until_ready(self) -> bool:
        """Whether the process is ready; one that loads is waited for, until it is or has died."""
        with self._news:
            deaths = self._deaths
            self._news.wait_for(
                lambda: self._is_ready or self._deaths != deaths or self._closing.is_set()
            )
            return self._is_ready

    def ready(self) -> None:
        """The process has loaded what it needs."""
        with self._news:
            self._is_ready = self.was_ready = True
            failing = self._restarts.failing
            self._well_s = 0 if failing else None
            self._news.notify_all()
        if not failing:
            self._is_back()

    def worked(self) -> None:
        """The process has done what it is there for."""
        self._restarts.worked()
        self._is_back()

    def kill(self) -> None:
        """End the process, so that another is started."""
        with self._lock:
            if self._process is not None:
                self._process.kill()

    @property
    def failing(self) -> bool:
        """Whether it keeps dying, and none is ready now."""
        return self._restarts.failing and not self._is_ready

    @property
    def pid(self) -> int | None:
        """The process that lives now."""
        process = self._process
        return process.pid if process is not None else None

    def close(self, patience_s: float = 5.0) -> None:
        """End the process; one that does not end by itself in time is killed."""
        with self._lock:
            self._closing.set()
            process = self._process
            if process is not None:
                process.end_input()
        if process is not None and process.wait(patience_s) is None:
            process.kill()
        if self._reader is not None and self._reader is not threading.current_thread():
            self._reader.join()

    # --- the life of a process --------------------------------------------------------------------

    def _begin(self) -> ChildProcess | None:
        """A new process; None where the system starts none, or none is wanted."""
        with self._lock:
            self._process, self._hung = None, False
            self._silent_s, self._limit_s = 0, self._loads_s
            if self._closing.is_set():
                return None
            try:
                self._process = self._start(self._module)
            except OSError as error:
                self._refused = why(error)
                return None
            self._greet()
            return self._process

    def _work(self, process: ChildProcess | None) -> None:
        """Read what each process writes, and start the next when it ends."""
        while True:
            started_s = self._pace.now_s()
            # One that is closed already is read, too: its end frees its pipes and its number.
            for line in process.lines() if process is not None else ():
                self._take(line)
            if self._closing.is_set():
                break
            pause_s = self._died(process, self._pace.now_s() - started_s)
            if self._pace.wait(self._closing, pause_s):
                break
            process = self._begin()
        self._ended()

    def _take(self, line: str) -> None:
        try:
            event = self._events.read(line)
        except ValueError:
            return  # it died in the midst of a line, or a library printed something
        with self._lock:
            self._silent_s, self._limit_s = 0, self._hangs_s
            # Before `_took`: whoever learns from it that the process is ready may ask at once, and
            # must not take the event for the answer.
            self._last = event
        self._took(event)
        with self._news:
            self._news.notify_all()

    def second(self) -> None:
        """A second has passed: a process that hangs is killed, one that lives well is back."""
        with self._lock:
            self._silent_s += 1
            if self._limit_s is not None and self._silent_s > self._limit_s:
                self._silent_s, self._hung = 0, True
                self.kill()
            if self._well_s is not None:
                self._well_s += 1
                if self._well_s >= WELL_S:
                    self._is_back()

    def _died(self, process: ChildProcess | None, lived_s: float) -> float:
        """Report a death; the seconds until another process is started."""
        failed = self._restarts.failing
        pause_s = self._restarts.died(lived_s)
        status = process.wait() if process is not None else None
        what = self._what(process, status)
        with self._lock:
            was_away, self._away, self._well_s = self._away, True, None
        if self._restarts.failing and not failed:
            self._changed(Gone(status, what))
        elif not was_away:
            self._changed(Died(status, what))
        self._ended()
        return pause_s

    def _what(self, process: ChildProcess | None, status: int | None) -> str:
        if process is None:
            return f"cannot be started: {self._refused}"
        what = "hung, and was ended" if self._hung else f"died (status {status})"
        place = self._log.keep(what, process.complaints())
        return what if place is None else f"{what}; what it wrote is in {place}"

    def _ended(self) -> None:
        """Let nobody wait for a process that has ended."""
        with self._news:
            self._is_ready = False
            self._deaths += 1
            self._news.notify_all()

    def _is_back(self) -> None:
        with self._lock:
            self._well_s = None
            was_away, self._away = self._away, False
        if was_away:
            self._changed(Back())
