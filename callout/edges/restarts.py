"""When a process that died is started again, and how that is reported.

It is started again at once, and after ever longer pauses if it keeps dying.
"""

from __future__ import annotations

import threading
import time
from collections.abc import Callable
from dataclasses import dataclass
from typing import Final

PAUSES_S: Final = (0.0, 0.0, 1.0, 2.0, 5.0, 10.0, 20.0, 30.0)
"""The pause after the first death in a row, the second, and so on; the last for all later ones."""

MANY: Final = 3
"""After this many deaths in a row a process keeps dying: that is reported once, and its return only
when it stays up."""

WELL_S: Final = 10.0
"""A process that has lived this long is well, and its next death counts as the first."""


@dataclass(frozen=True, slots=True)
class Died:
    """The process has ended, or none could be started; another will be."""

    status: int | None
    """Its exit status, negative for a signal; None where the system started no process."""
    what: str
    """What happened, to follow the name of the child: `died (status 1)`."""


@dataclass(frozen=True, slots=True)
class Gone(Died):
    """The process keeps dying: reported once, in place of `Died`."""


@dataclass(frozen=True, slots=True)
class Back:
    """There is a process again, and it is ready."""


Change = Died | Back
"""What becomes of the process; `Gone` is a kind of `Died`."""


class Restarts:
    """Counts the deaths of a process in a row."""

    def __init__(self) -> None:
        self.deaths = 0

    def died(self, lived_s: float) -> float:
        """Count a death; the seconds until the process should be started again."""
        if lived_s >= WELL_S:
            self.deaths = 0
        self.deaths += 1
        return PAUSES_S[min(self.deaths, len(PAUSES_S)) - 1]

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
        """Wait for this time, or until it is over; whether it is."""
        return over.wait(seconds)

    def each_second(self, over: threading.Event, do: Callable[[], None]) -> None:
        """Do something each second until it is over, on a thread of its own.

        While the whole machine sleeps, no seconds are counted.
        """

        def work() -> None:
            while not over.wait(1.0):
                do()

        threading.Thread(target=work, name="watch", daemon=True).start()
