"""A child process as the table sees it: lines in, lines out, and what it complains of."""

from __future__ import annotations

import os
import subprocess
import sys
import threading
from collections.abc import Callable, Iterator, Sequence
from contextlib import suppress
from typing import IO, Final, Protocol

from callout.edges.child_environment import child_environment

KEPT_BYTES: Final = 32 << 10
"""The end of its standard error that is kept: a sound library may complain for hours."""

COMPLAINS_S: Final = 1.0
"""A dead child's last complaints are waited for at most this long: something that it started may
hold the pipe open."""


class ChildProcess(Protocol):
    """A process that reads and writes lines."""

    @property
    def pid(self) -> int:
        """Its number in the system."""
        ...

    def write(self, line: str) -> None:
        """Give it a line.

        Raises:
            OSError, ValueError: it has ended.
        """
        ...

    def end_input(self) -> None:
        """Give it no more lines, so that it ends by itself."""
        ...

    def lines(self) -> Iterator[str]:
        """What it writes, until it ends."""
        ...

    def complaints(self) -> bytes:
        """The end of what it wrote to standard error; asked for once it has ended."""
        ...

    def kill(self) -> None:
        """End it at once."""
        ...

    def wait(self, limit_s: float | None = None) -> int | None:
        """Its exit status, negative where a signal ended it; None if it lives on."""
        ...


StartProcess = Callable[[Sequence[str]], ChildProcess]
"""Starts a module of ours by its name and arguments.

Raises: OSError if the system starts no process now.
"""


class PythonProcess:
    """A module of ours, run by this Python."""

    def __init__(self, module: Sequence[str]) -> None:
        """`module` is its name and its arguments.

        Raises:
            OSError: the system starts no process now.
        """
        self._process = subprocess.Popen(
            [sys.executable, "-m", *module],
            env=child_environment(),
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            stderr=subprocess.PIPE,
        )
        self._complaints = bytearray()
        self._listener = threading.Thread(target=self._listen, name="complaints", daemon=True)
        self._listener.start()

    @property
    def pid(self) -> int:
        """Its number in the system."""
        return self._process.pid

    def write(self, line: str) -> None:
        """Give it a line.

        Raises:
            OSError, ValueError: it has ended.
        """
        stdin = _there(self._process.stdin)
        stdin.write(f"{line}\n".encode())
        stdin.flush()

    def end_input(self) -> None:
        """Give it no more lines, so that it ends by itself."""
        with suppress(OSError):
            _there(self._process.stdin).close()

    def lines(self) -> Iterator[str]:
        """What it writes, until it ends."""
        stdout = _there(self._process.stdout)
        for line in stdout:
            yield line.decode("utf-8", "replace")
        self._process.wait()
        self.end_input()
        stdout.close()

    def complaints(self) -> bytes:
        """The end of what it wrote to standard error; asked for once it has ended."""
        self._listener.join(COMPLAINS_S)
        return bytes(self._complaints)

    # Read all the time: a full pipe would stop the child.
    def _listen(self) -> None:
        with _there(self._process.stderr) as stderr:
            while data := os.read(stderr.fileno(), 4096):
                self._complaints += data
                del self._complaints[:-KEPT_BYTES]

    def kill(self) -> None:
        """End it at once."""
        self._process.kill()

    def wait(self, limit_s: float | None = None) -> int | None:
        """Its exit status, negative where a signal ended it; None if it lives on."""
        try:
            return self._process.wait(limit_s)
        except subprocess.TimeoutExpired:
            return None


def _there(pipe: IO[bytes] | None) -> IO[bytes]:
    assert pipe is not None
    return pipe
