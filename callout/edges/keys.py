"""The keyboard whichever window has the focus, in a process of its own; it tells, and no more.

pynput's native parts may end their process, and it freezes all input where a callback is slow: so
a child listens and writes a line for each key, with the time at which it came.
"""

from __future__ import annotations

import json
import queue
import subprocess
import sys
import threading
from collections.abc import Callable
from contextlib import suppress
from typing import Final

from callout.edges.child_environment import child_environment
from callout.errors import DeviceError
from callout.table.hands import Edge

START_S: Final = 10.0
"""A listener that has not begun after so long is given up."""


class EverywhereKeys:
    """The keys of the whole keyboard; `tell` is called with each, on a thread of its own."""

    def __init__(
        self, tell: Callable[[Edge], None], ended: Callable[[str], None] | None = None
    ) -> None:
        """Start listening.

        Raises:
            DeviceError: this machine does not let us; the text says what to do.
        """
        self._tell = tell
        self._ended = ended or (lambda why: None)
        self._closing = False
        self._ready: queue.Queue[str] = queue.Queue()
        self._process = subprocess.Popen(
            [sys.executable, "-m", "callout.edges.keyboard"],
            env=child_environment(),
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            stderr=subprocess.DEVNULL,
            text=True,
            encoding="utf-8",
        )
        self._reader = threading.Thread(target=self._read, name="keys", daemon=True)
        self._reader.start()
        try:
            problem = self._ready.get(timeout=START_S)
        except queue.Empty:
            problem = "the keyboard does not answer"
        if problem:
            self.close()
            raise DeviceError(problem)

    def _read(self) -> None:
        for line in self._process.stdout or ():
            try:
                told = json.loads(line)
            except json.JSONDecodeError:
                continue  # It died in the midst of a line.
            if "key" in told:
                self._tell(Edge("everywhere", told["key"], told["down"], told["at_ns"]))
            else:
                self._ready.put(told["problem"])
        self._ready.put("the process that hears the keys has died")
        if not self._closing:
            self._ended("the keys of other windows are heard no longer")

    def close(self) -> None:
        """Listen no longer."""
        self._closing = True
        if self._process.stdin is not None:
            with suppress(OSError):
                self._process.stdin.close()
        try:
            self._process.wait(timeout=3)
        except subprocess.TimeoutExpired:
            self._process.kill()
            self._process.wait()
        if self._reader is not threading.current_thread():
            self._reader.join(3)
        if self._process.stdout is not None:
            self._process.stdout.close()
