"""When a process that died is started again: at once, and ever later if it keeps dying."""

from __future__ import annotations

import threading
import time
from collections.abc import Callable, Sequence
from typing import Final

PAUSES_S: Final = (0.0, 0.0, 1.0, 2.0, 5.0, 10.0, 20.0, 30.0)
"""How long one waits after the first death in a row, the second, and so on."""

MANY: Final = 3
"""A process that died so often in a row keeps dying: that is told once, and its return only when
it lives."""

WELL_S: Final = 10.0
"""A process that lived so long is well, and its next death is the first again."""


class Restarts:
    """Counts the deaths of a process in a row."""

    def __init__(self, pauses_s: Sequence[float] = PAUSES_S) -> None:
        self.deaths = 0
        self._pauses_s = pauses_s

    def died(self, lived_s: float) -> float:
        """The process has died; the seconds until it should be started again."""
        if lived_s >= WELL_S:
            self.deaths = 0
        self.deaths += 1
        return self._pauses_s[min(self.deaths, len(self._pauses_s)) - 1]

    def worked(self) -> None:
        """It has done what it is there for."""
        self.deaths = 0

    @property
    def failing(self) -> bool:
        """Whether it keeps dying."""
        return self.deaths >= MANY


class Pace:
    """Real seconds, by which a process is watched and waited for; a test passes its own."""

    def now_s(self) -> float:
        """Seconds since some moment."""
        return time.monotonic()

    def wait(self, over: threading.Event, seconds: float) -> bool:
        """Wait so long, or until it is over; whether it is."""
        return over.wait(seconds)

    def each_second(self, over: threading.Event, do: Callable[[], None]) -> None:
        """Do something each second until it is over, on a thread of its own.

        While the whole machine sleeps, no seconds are counted.
        """

        def work() -> None:
            while not over.wait(1.0):
                do()

        threading.Thread(target=work, name="watch", daemon=True).start()
