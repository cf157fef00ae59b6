"""The ear's process as the table has it: a line in for each command, a line out for each event."""

from __future__ import annotations

import subprocess
import sys
from collections.abc import Iterator
from contextlib import suppress
from pathlib import Path
from typing import BinaryIO, Protocol

from callout.edges.child_environment import child_environment


class Child(Protocol):
    """A process that is told lines, and tells lines."""

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
        """Give it no more lines: then it ends by itself."""
        ...

    def lines(self) -> Iterator[str]:
        """What it tells, until it ends."""
        ...

    def kill(self) -> None:
        """End it at once."""
        ...

    def wait(self, limit_s: float | None = None) -> int | None:
        """Its exit status, negative where a signal ended it; None if it lives on."""
        ...


class EarChild:
    """The real one."""

    def __init__(self, folder: Path, complaints: BinaryIO) -> None:
        """It works in that folder, and writes its complaints there.

        Raises:
            OSError: the system starts no process now.
        """
        self._process = subprocess.Popen(
            [sys.executable, "-m", "callout.edges.ear.process", str(folder)],
            env=child_environment(),
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            stderr=complaints,
            text=True,
            encoding="utf-8",
            errors="replace",
        )

    @property
    def pid(self) -> int:
        """Its number in the system."""
        return self._process.pid

    def write(self, line: str) -> None:
        """Give it a line.

        Raises:
            OSError, ValueError: it has ended.
        """
        assert self._process.stdin is not None
        self._process.stdin.write(line + "\n")
        self._process.stdin.flush()

    def end_input(self) -> None:
        """Give it no more lines: then it ends by itself."""
        assert self._process.stdin is not None
        with suppress(OSError):
            self._process.stdin.close()

    def lines(self) -> Iterator[str]:
        """What it tells, until it ends."""
        assert self._process.stdout is not None
        yield from self._process.stdout
        self._process.wait()
        for pipe in (self._process.stdin, self._process.stdout):
            if pipe is not None:
                with suppress(OSError):
                    pipe.close()

    def kill(self) -> None:
        """End it at once."""
        self._process.kill()

    def wait(self, limit_s: float | None = None) -> int | None:
        """Its exit status, negative where a signal ended it; None if it lives on."""
        try:
            return self._process.wait(limit_s)
        except subprocess.TimeoutExpired:
            return None
