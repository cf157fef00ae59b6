"""When a write that failed is tried again: a full disk must not be asked a thousand times a second,
nor be told of more than once."""

from __future__ import annotations

from typing import Final

from callout.table.clock import Time

RETRY_MS: Final = 5_000
"""What falls due by itself is tried again so long after it could not be written.

Common practice, no source.
"""


class Backoff:
    """Whether writing fails, since when it was told, and when it is tried again."""

    def __init__(self, time: Time) -> None:
        self._time = time
        self._failing = False
        self._until_ms = 0

    def failed(self) -> bool:
        """Waits before the next try; False if it failed before, and so was told already."""
        first, self._failing = not self._failing, True
        self._until_ms = self._time.wall_ms() + RETRY_MS
        return first

    def worked(self) -> None:
        """A write went well: the next failure is a new one."""
        self._failing, self._until_ms = False, 0

    @property
    def ready(self) -> bool:
        """Whether what falls due by itself may be tried now."""
        return self._time.wall_ms() >= self._until_ms

    def not_before(self, due_ms: int) -> int:
        """When something that falls due at a moment is tried.

        Units: milliseconds since 1970.
        """
        return max(due_ms, self._until_ms)
