"""A game played fast: through the whole program, or through a session alone."""

from __future__ import annotations

import math
import re
import subprocess
import sys
import threading
import time
from contextlib import suppress
from itertools import cycle, islice
from pathlib import Path

import numpy as np
import soundfile

from callout.edges.ear.hall_noise import hall_noise
from callout.edges.ear.sound import RATE_HZ
from callout.table.book.journal import Journal

SETUP = """\
profile: youth-6-minute
home: Harbour Kites | 4 Ada Moss, 5 Bo Reed, 12
guest: Quarry Foxes | 8 11 15
"""
CALLS = ("home two number five", "guest three number eight", "guest foul eleven", "home two",
         "guest two number fifteen", "undo that")  # fmt: skip
"""Calls that are accepted at any moment of the first period."""
SILENT = ("--ear", "off", "--voice", "print")
"""Options for machines without sound. A later option overrides an earlier one."""
_LINE = re.compile(r"\s*\S+  (.+?)  ->  (.*)")


def calls(count: int) -> str:
    """The text of `count` calls, a line each."""
    return "".join(f"{call}\n" for call in islice(cycle(CALLS), count))


class Live:
    """`callout live` with calls typed into it; its answers are collected with their times."""

    def __init__(
        self,
        game: Path,
        *options: str,
        before: tuple[str, ...] = (),
        environment: dict[str, str] | None = None,
    ) -> None:
        self.started_s = time.monotonic()
        program = before or (sys.executable, "-m", "callout")
        command = [*program, "live", str(game), *SILENT, *options]
        self.process = subprocess.Popen(
            command, stdin=subprocess.PIPE, stdout=subprocess.PIPE, stderr=subprocess.PIPE,
            text=True, env=environment,
        )  # fmt: skip
        self.answers: list[tuple[float, str, str]] = []
        """Time, call and answer, oldest first."""
        self.errors = ""
        self._threads = [threading.Thread(target=f) for f in (self._read, self._read_errors)]
        for thread in self._threads:
            thread.start()

    def _read(self) -> None:
        for line in self.process.stdout or ():
            # The last line of a killed program may be cut: such a call was not confirmed.
            found = _LINE.fullmatch(line[:-1]) if line.endswith("\n") else None
            if found:
                self.answers.append((time.monotonic(), found[1], found[2]))

    def _read_errors(self) -> None:
        for line in self.process.stderr or ():
            self.errors += line

    def type(self, lines: str) -> None:
        """Type lines, as fast as it takes them."""
        assert self.process.stdin is not None
        try:
            self.process.stdin.write(lines)
            self.process.stdin.flush()
        except BrokenPipeError:
            return

    def said(self) -> list[str]:
        """The answers to typed calls, in order."""
        return [reply for _, words, reply in self.answers if words != "(table)"]

    def first(self) -> str:
        """What the table said by itself, not in answer to a call."""
        return " ".join(reply for _, words, reply in self.answers if words == "(table)")

    def wait_for(self, count: int, seconds: float = 180.0) -> float:
        """Wait for `count` answers to calls; the seconds from the start to the newest one."""
        end = time.monotonic() + seconds
        while len(self.said()) < count:
            if self.process.poll() is not None or time.monotonic() > end:
                self.kill()
                raise AssertionError(f"expected {count} answers, got {self.answers} {self.errors}")
            time.sleep(0.002)
        moments = [moment for moment, words, _ in self.answers if words != "(table)"]
        return moments[count - 1] - self.started_s

    def kill(self) -> None:
        """End the program by SIGKILL, and collect the rest of its output."""
        self.process.kill()
        self.end()

    def end(self) -> int:
        """Close its input and wait until it ends; its exit status."""
        if self.process.stdin is not None:
            with suppress(BrokenPipeError):
                self.process.stdin.close()
        status = self.process.wait(timeout=60)
        for thread in self._threads:
            thread.join()
        for pipe in (self.process.stdout, self.process.stderr):
            if pipe is not None:
                pipe.close()
        return status


def hall_file(path: Path, seconds: float) -> Path:
    """Write at least so many seconds of a hall's noise, one minute again and again."""
    minute = 0.01 * hall_noise(60.0, seed=6)
    soundfile.write(path, np.tile(minute, math.ceil(seconds / 60)), RATE_HZ)
    return path


def new_game(folder: Path, name: str = "x.game") -> Path:
    """A game in its first period, with no call but its start."""
    setup = folder / "x.setup"
    setup.write_text(SETUP, encoding="utf-8")
    live = Live(folder / name, "--setup", str(setup))
    live.type("start clock\n")
    live.wait_for(1)
    live.end()
    return folder / name


def booked(game: Path, source: str = "key") -> list[str]:
    """What was said of each call in the book that came from `source`, oldest first."""
    with Journal.open(game) as journal:
        said = journal.replies()
        entries = [entry.id for entry in journal.entries() if entry.source == source]
    return [" ".join(s.text for s in said if s.entry == entry and s.text) for entry in entries]


def lost(confirmed: list[str], book: list[str]) -> int:
    """How many confirmed calls do not stand in the book, each once and in order.

    The book may have one call more, which was recorded but not confirmed before the program ended.
    """
    matching = sum(said.endswith(text) for said, text in zip(confirmed, book, strict=False))
    return max(len(confirmed), len(book) - 1) - min(matching, len(confirmed))
