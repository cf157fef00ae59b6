"""By whose word a correction came."""

from __future__ import annotations

from typing import Final

from callout.game import calls
from callout.game.fold import Entry

OFFICIALS: Final = (
    calls.SetScore,
    calls.NoBasket,
    calls.SetClock,
    calls.AdjustClock,
    calls.LaneViolation,
    calls.Suspend,
    calls.DelayWarning,
)
"""Calls that repeat a ruling of the officials; every other correction is the table's own."""


def whose_word(entry: Entry) -> str:
    """Whose word an entry was and how it came; of a signed correction who signed it, and why."""
    if isinstance(entry.call, calls.Signed):
        return f"signed {entry.call.by}: {entry.call.reason}"
    who = "officials" if isinstance(entry.call, OFFICIALS) else "table"
    return f"{who}, by {entry.source}"
