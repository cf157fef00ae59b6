"""Calls that the ear nearly took: whoever is not answered says the same again; pure."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from callout.game.calls import Call

# Source for this: the design of this table; no rule book speaks of it.
AGAIN_MS: Final = 8_000
"""The same call within this time is said again because nothing came of it."""


@dataclass(frozen=True, slots=True)
class NearlyHeard:
    """The calls of the last seconds that were not clear enough."""

    recent: tuple[tuple[Call, int], ...] = ()
    """Each with when it was said, in milliseconds since 1970."""

    def after(self, call: Call, wall_ms: int) -> NearlyHeard:
        """The same with one call more; those too old to be said again are forgotten."""
        kept = (each for each in self.recent if wall_ms - each[1] <= AGAIN_MS)
        return NearlyHeard((*kept, (call, wall_ms)))

    def has(self, call: Call, wall_ms: int) -> bool:
        """Whether that call was nearly heard shortly before."""
        return any(
            each == call and 0 < wall_ms - said_ms <= AGAIN_MS for each, said_ms in self.recent
        )
