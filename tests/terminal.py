"""A program in a real pseudo-terminal, whose keys the test presses."""

from __future__ import annotations

import os
import pty
import re
import select
import subprocess
import sys
import time
from collections.abc import Mapping, Sequence
from contextlib import suppress

from tests.patience import HANG_S

OWN = """
import fcntl, os, signal, sys, termios
fcntl.ioctl(0, termios.TIOCSCTTY, 0)
for each in (signal.SIGINT, signal.SIGHUP, signal.SIGTERM, signal.SIGQUIT, signal.SIGTSTP):
    signal.signal(each, signal.SIG_DFL)
os.execvp(sys.argv[1], sys.argv[1:])
"""
"""Makes the terminal the program's controlling one, so that Ctrl-C, Ctrl-Z and a closed window
reach it. Signals are set to their defaults, since a background job or nohup has them ignored."""


class Terminal:
    """A running program, and its output that no test has read yet."""

    def __init__(
        self, command: Sequence[str], environment: Mapping[str, str] | None = None
    ) -> None:
        self.ours, theirs = pty.openpty()
        self.process = subprocess.Popen(
            [sys.executable, "-S", "-c", OWN, *command], stdin=theirs, stdout=theirs, stderr=theirs,
            env=environment, start_new_session=True,
        )  # fmt: skip
        os.close(theirs)
        self.shown = ""

    def press(self, text: str) -> None:
        """Send the characters of keys."""
        os.write(self.ours, text.encode())

    def wait_for(self, pattern: str, seconds: float = HANG_S) -> str:
        """Wait for a pattern in the unread output, and return the output up to its end."""
        end = time.monotonic() + seconds
        while not (found := re.search(pattern, self.shown)):
            assert time.monotonic() < end, f"expected {pattern!r}, got {self.shown!r}"
            if not self._read(0.1):
                raise AssertionError(f"expected {pattern!r}, ended after {self.shown!r}")
        before, self.shown = self.shown[: found.end()], self.shown[found.end() :]
        return before

    def rest(self) -> str:
        """Return the rest of the output, once the program has ended."""
        while self._read(0.1):
            if self.process.poll() is not None and not select.select([self.ours], [], [], 0)[0]:
                break
        rest, self.shown = self.shown, ""
        return rest

    def _read(self, seconds: float) -> bool:
        """Read some output; False once nobody can write any more."""
        if select.select([self.ours], [], [], seconds)[0]:
            try:
                self.shown += os.read(self.ours, 4096).decode("utf-8", "replace")
            except OSError:
                return False
        return True

    def close_window(self) -> None:
        """Close the terminal, as when its window is closed."""
        if self.ours >= 0:
            os.close(self.ours)
            self.ours = -1

    def kill(self) -> None:
        """Kill the program."""
        if self.process.poll() is None:
            with suppress(ProcessLookupError):
                os.killpg(self.process.pid, 9)
        self.process.wait()
        self.close_window()
