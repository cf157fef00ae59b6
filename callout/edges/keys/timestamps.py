"""Moments that a device's own clock gave, told in ours: a busy machine tells of keys late."""

from __future__ import annotations

from typing import Final

LATE_NS: Final = 5 * 10**9
"""What seems to be told later than this was not: the other clock was set, or began anew."""


class Stamps:
    """Another clock that goes as fast as ours, but shows something else.

    Nothing is told before it has happened, so what is told the soonest shows how far the two are
    apart; whatever was told later happened earlier than it seems.
    """

    def __init__(self) -> None:
        self._apart_ns: int | None = None

    def ours(self, theirs_ns: int, now_ns: int) -> int:
        """What our clock showed when the other one showed `theirs_ns`; it is told `now_ns`."""
        apart = now_ns - theirs_ns
        known = self._apart_ns
        if known is None or apart < known or apart - known > LATE_NS:
            self._apart_ns = known = apart
        return theirs_ns + known
