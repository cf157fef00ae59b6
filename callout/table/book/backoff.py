"""When a failed write is tried again.

What falls due by itself would be tried in every turn of the loop, on a full disk a thousand times a
second, and reported each time. After a failure it waits, and only the first failure is reported.
"""

from __future__ import annotations

from typing import Final

from callout.table.clock import Time

RETRY_MS: Final = 5_000
"""The wait after a failed write before what falls due by itself is tried again.

Source: common practice, no source.
"""


class Backoff:
    """Whether writing fails at present, and when it may be tried again."""

    def __init__(self, time: Time) -> None:
        self._time = time
        self._failing = False
        self._until_ms = 0

    def failed(self) -> bool:
        """Notes a failed write; whether it is the first in a row, and so is to be reported."""
        first, self._failing = not self._failing, True
        self._until_ms = self._time.wall_ms() + RETRY_MS
        return first

    def worked(self) -> None:
        """Notes a write that succeeded; the next failure is reported again."""
        self._failing, self._until_ms = False, 0

    @property
    def ready(self) -> bool:
        """Whether the wait is over."""
        return self._time.wall_ms() >= self._until_ms

    def not_before(self, due_ms: int) -> int:
        """The moment at which something due at `due_ms` is tried.

        Units: milliseconds since 1970.
        """
        return max(due_ms, self._until_ms)
