"""One play of an invented game: what is told of it, and what should be called."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from callout.game.calls import Call
from callout.game.notices.kinds import Notice

WHISTLE: Final = "whistle"
SIREN: Final = "horn"


@dataclass(frozen=True, slots=True)
class Play:
    """One play."""

    told: Notice
    """What is said of it."""
    calls: tuple[Call, ...] = ()
    """What the user should call, in this order; empty for what the table does not book."""
    partner: tuple[Call, ...] = ()
    """What a partner calls at once, such as the clock where the user does not keep it."""
    sound: str = ""
    """What sounds before the words."""
    live: bool = True
    """Whether the ball is in play after it, so that practice may end here."""
    settled: bool = False
    """Whether the next play waits until this one is called or missed, as in a lesson."""
