"""A program in a real pseudo-terminal, and hands on its keys."""

from __future__ import annotations

import os
import pty
import re
import select
import subprocess
import time
from collections.abc import Mapping, Sequence


class Terminal:
    """A running program, and what it has shown that nobody waited for yet."""

    def __init__(
        self, command: Sequence[str], environment: Mapping[str, str] | None = None
    ) -> None:
        self.ours, theirs = pty.openpty()
        self.process = subprocess.Popen(
            command, stdin=theirs, stdout=theirs, stderr=theirs, env=environment,
            start_new_session=True,
        )  # fmt: skip
        os.close(theirs)
        self.shown = ""

    def press(self, text: str) -> None:
        """Send what keys send."""
        os.write(self.ours, text.encode())

    def wait_for(self, pattern: str, seconds: float = 60.0) -> None:
        """Until that is shown, after what was waited for before."""
        end = time.monotonic() + seconds
        while not (found := re.search(pattern, self.shown)):
            assert time.monotonic() < end, f"expected {pattern!r}, got {self.shown!r}"
            if select.select([self.ours], [], [], 0.1)[0]:
                self.shown += os.read(self.ours, 4096).decode()
        self.shown = self.shown[found.end() :]
