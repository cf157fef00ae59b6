"""A line about the book for a person, in pieces, so that a page can say it in its own language."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Note:
    """What is open or to be looked at."""

    team: str
    """The team, as the setup names it, in any language; empty where it is about none."""
    pieces: tuple[str, ...]
    """The rest in English, to stand side by side; each has its words in page.yaml, or is a sign."""

    def __str__(self) -> str:
        """The whole line in English."""
        return (f"{self.team}: " if self.team else "") + "".join(self.pieces)
