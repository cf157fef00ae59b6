"""A line about the book for a person."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Note:
    """What is open or to be looked at."""

    team: str
    """The team, as the setup names it, in any language; empty where it is about none."""
    text: str
    """The rest, in the language of the game."""

    def __str__(self) -> str:
        """The whole line."""
        return (f"{self.team}: " if self.team else "") + self.text
