"""The keyboard whichever window has the focus, in a process of its own; it tells, and no more.

pynput's native parts may end their process, and it freezes all input where a callback is slow: so
a child listens and writes a line for each key, with the time at which it came. One that died is
started again, as the ear is.
"""

from __future__ import annotations

import json
import queue
import subprocess
import sys
import threading
import time
from collections.abc import Callable, Sequence
from contextlib import suppress
from typing import Any, Final

from callout.edges.child_environment import child_environment
from callout.edges.restarts import WELL_S, Restarts
from callout.errors import DeviceError, why
from callout.table.clock import steady_ns
from callout.table.hands.devices import Edge

START_S: Final = 10.0
"""A listener that has not begun after so long is ended."""

PROGRAM: Final = (sys.executable, "-m", "callout.edges.keys.keyboard_process")


class EverywhereKeys:
    """The keys of the whole keyboard.

    `tell` is called with each key; `changed` with `keys_gone` and `keys_back`, once each time. Both
    on a thread of its own.
    """

    def __init__(
        self,
        tell: Callable[[Edge], None],
        changed: Callable[[str], None] | None = None,
        *,
        program: Sequence[str] = PROGRAM,
        start_s: float = START_S,
        wait: Callable[[float], bool] | None = None,
        time_s: Callable[[], float] = time.monotonic,
    ) -> None:
        """Start listening; `wait` lets so many seconds pass, and tells whether it is closed.

        Raises:
            DeviceError: this machine does not let us; the text says what to do.
        """
        self._tell = tell
        self._changed = changed or (lambda kind: None)
        self._program, self._start_s, self._time_s = program, start_s, time_s
        self._closing = threading.Event()
        self._wait = wait or self._closing.wait
        self._lock = threading.RLock()
        self._restarts = Restarts()
        self._began = self._away = False
        self._down: set[str] = set()
        self._ready: queue.Queue[str] = queue.Queue()
        try:
            self._process = self._start()
        except OSError as error:
            raise DeviceError(f"the keyboard's process cannot be started: {why(error)}") from None
        self._reader = threading.Thread(target=self._run, name="keys", daemon=True)
        self._reader.start()
        if problem := self._ready.get():
            self.close()
            raise DeviceError(problem)

    def _start(self) -> subprocess.Popen[str]:
        return subprocess.Popen(
            list(self._program),
            env=child_environment(),
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            stderr=subprocess.DEVNULL,
            text=True,
            encoding="utf-8",
        )

    def _run(self) -> None:
        """Listen, by one process after another, until it is closed."""
        while True:
            began_s = self._time_s()
            self._hear(self._process)
            if not self._began:
                self._ready.put("the process that hears the keys has died")
                return
            if self._closing.is_set():
                return
            self._gone()
            if not self._start_again(self._time_s() - began_s):
                return

    def _start_again(self, lived_s: float) -> bool:
        """Start the next process, ever later where it dies or the system starts none; whether one
        is there, for by then nobody may want it."""
        while not self._wait(self._restarts.died(lived_s)):
            with self._lock:
                if self._closing.is_set():
                    return False
                with suppress(OSError):
                    self._process = self._start()
                    return True
            lived_s = 0.0
        return False

    def _hear(self, process: subprocess.Popen[str]) -> None:
        """Tell of keys until the process has ended."""
        late = self._later(self._start_s, self._does_not_answer, process)
        for line in process.stdout or ():
            try:
                told = json.loads(line)
            except json.JSONDecodeError:
                continue  # It died in the midst of a line.
            if "key" in told:
                self._key(process, Edge("everywhere", told["key"], told["down"], told["at_ns"]))
            else:
                late.cancel()
                self._answered(process, told["problem"])
        late.cancel()
        process.wait()
        _close(process)

    def _key(self, process: subprocess.Popen[str], edge: Edge) -> None:
        self._restarts.worked()
        self._back(process)
        (self._down.add if edge.down else self._down.discard)(edge.key)
        self._tell(edge)

    def _answered(self, process: subprocess.Popen[str], problem: str) -> None:
        """It listens, or tells why it cannot."""
        if not problem:
            self._began = True
            if self._restarts.failing:
                self._later(WELL_S, self._still_lives, process)
            else:
                self._back(process)
        self._ready.put(problem)

    def _does_not_answer(self, process: subprocess.Popen[str]) -> None:
        self._ready.put("the keyboard does not answer")
        process.kill()

    def _gone(self) -> None:
        # What was held is not held any more.
        for key in sorted(self._down):
            self._tell(Edge("everywhere", key, False, steady_ns()))
        self._down.clear()
        with self._lock:
            was_away, self._away = self._away, True
        if not was_away:
            self._changed("keys_gone")

    def _still_lives(self, process: subprocess.Popen[str]) -> None:
        if process.poll() is None:
            self._back(process)

    def _back(self, process: subprocess.Popen[str]) -> None:
        with self._lock:
            is_back = self._away and self._process is process
            self._away = self._away and not is_back
        if is_back:
            self._changed("keys_back")

    def _later(self, seconds: float, do: Callable[..., None], *given: Any) -> threading.Timer:
        timer = threading.Timer(seconds, do, given)
        timer.daemon = True
        timer.start()
        return timer

    @property
    def pid(self) -> int:
        """The process that listens now."""
        return self._process.pid

    def close(self) -> None:
        """Listen no longer."""
        with self._lock:
            self._closing.set()
            process = self._process
        if process.stdin is not None:
            with suppress(OSError):
                process.stdin.close()
        try:
            process.wait(timeout=3)
        except subprocess.TimeoutExpired:
            process.kill()
            process.wait()
        if self._reader is not threading.current_thread():
            self._reader.join(3)


def _close(process: subprocess.Popen[str]) -> None:
    for pipe in (process.stdin, process.stdout):
        if pipe is not None:
            with suppress(OSError):
                pipe.close()
