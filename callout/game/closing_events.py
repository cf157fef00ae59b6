"""The events of a closed book; `events` re-exports them."""

from __future__ import annotations

from callout.game.happened import Event, happens


@happens("score_approved")
class ScoreApproved(Event):
    """The officials approved this score, and the book is closed."""

    home: int
    guest: int
    open: int = 0
    """How many lines had no number then."""
    by: str = ""
    """Name and role of who said so; empty where nobody was named."""


@happens("correction_signed")
class CorrectionSigned(Event):
    """The other events of this entry correct the closed book."""

    by: str
    reason: str
