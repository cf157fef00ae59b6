"""The game clock, and what it shows at a moment. Time is whole tenths of a second."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final


@dataclass(frozen=True, slots=True)
class Clock:
    """The game clock: what it showed when last started or stopped, and since when it runs."""

    left_tenths: int
    since_ms: int | None = None
    spent_ms: int = 0
    """How much of the tenth that a stopped clock shows has passed.

    Without it each stop would give back up to a tenth of a second: 400 stops, some 20 s a game.
    """

    @property
    def running(self) -> bool:
        """Whether it runs."""
        return self.since_ms is not None

    def left_at(self, wall_ms: int) -> int:
        """What it shows at that moment, never below zero.

        A tenth that has begun still shows. Units: tenths of a second.
        """
        if self.since_ms is None:
            return self.left_tenths
        return max(0, self.left_tenths - max(0, wall_ms - self.since_ms) // 100)

    def stopped_at(self, wall_ms: int) -> Clock:
        """The clock, stopped at that moment."""
        if self.since_ms is None:
            return self
        left = self.left_at(wall_ms)
        return Clock(left, None, max(0, wall_ms - self.since_ms) % 100 if left else 0)

    def started_at(self, wall_ms: int) -> Clock:
        """The clock, started at that moment."""
        return Clock(self.left_tenths, wall_ms - self.spent_ms)


AT_ZERO: Final = Clock(0)
"""A clock that stands at zero."""
