"""Timestamps of a device's clock, converted to ours: a busy machine delivers keys late."""

from __future__ import annotations

from typing import Final

LATE_NS: Final = 5 * 10**9
"""A larger delay is none: the other clock was set, or restarted."""


class Stamps:
    """Converts a device's timestamps to our clock.

    Both clocks run at the same speed. No event arrives before it happens, so the smallest
    difference seen is the offset of the clocks, and any more is the delay of that event.
    """

    def __init__(self) -> None:
        self._apart_ns: int | None = None

    def ours(self, theirs_ns: int, now_ns: int) -> int:
        """What our clock showed at `theirs_ns` of the other one; the event arrived at `now_ns`."""
        apart = now_ns - theirs_ns
        known = self._apart_ns
        if known is None or apart < known or apart - known > LATE_NS:
            self._apart_ns = known = apart
        return theirs_ns + known
