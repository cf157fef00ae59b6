"""What the table owes the scorer and the referees after a call."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import IntEnum


class Rank(IntEnum):
    """How urgent a notice is: the lower, the sooner it is said."""

    ACT = 0
    """Act now: the scorer must do something before the game goes on."""
    TELL = 1
    """Tell the referee at the next chance."""
    ECHO = 2
    """Confirms what was booked, or answers what was asked."""
    ASK = 3
    """A question that can wait."""


@dataclass(frozen=True, slots=True)
class Notice:
    """Something to be said: a kind with its values, not yet words."""

    kind: str
    rank: Rank = Rank.ECHO
    slots: Mapping[str, object] = field(default_factory=dict, hash=False)
    rule: str = ""
    """The article it rests on; empty where none is needed."""
