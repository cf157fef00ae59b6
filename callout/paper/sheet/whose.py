"""By whose word a correction came, and why if it was signed."""

from __future__ import annotations

from typing import Final

from callout.game import calls
from callout.game.fold import Entry
from callout.plain import plain
from callout.words import Words

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


def whose_word(words: Words, entry: Entry) -> str:
    """Whose word an entry was and how it came; of a signed correction who signed it."""
    if isinstance(entry.call, calls.Signed):
        return plain(entry.call.by)
    who = words("by_officials" if isinstance(entry.call, OFFICIALS) else "by_table")
    return words("by_whom", who=who, how=words(f"by_{entry.source}"))


def signed_reason(entry: Entry) -> str:
    """Why a closed book was corrected; empty for every other entry."""
    return plain(entry.call.reason) if isinstance(entry.call, calls.Signed) else ""
