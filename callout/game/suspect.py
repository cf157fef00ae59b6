"""One thing that may be wrong in the book, where another book has another figure."""

from __future__ import annotations

from dataclasses import dataclass, field
from enum import Enum

from callout.game.calls import Call
from callout.game.state import Charge, Game, Goal, TimeoutLine


class Cause(Enum):
    """What may have gone wrong."""

    EXTRA = "extra"
    """A line was called twice, or never happened."""
    TEAM = "team"
    """A line is the other team's."""
    POINTS = "points"
    """A goal counts otherwise: two for three."""
    RESULT = "result"
    """A free throw was made and not missed, or the other way round."""
    NUMBER = "number"
    """A line is another player's."""
    UNDONE = "undone"
    """An entry was taken back, and should count."""
    UNTAKEN = "untaken"
    """A free throw was awarded, and neither made nor missed in the book."""
    LOST = "lost"
    """Something was never booked."""


@dataclass(frozen=True, slots=True)
class Suspect:
    """One thing that may be wrong."""

    cause: Cause
    call: Call
    """The call that puts it right; a `Correct` that changes nothing still lacks the number."""
    line: Goal | Charge | TimeoutLine
    """The line as it is booked, or as it would be."""
    after: Game = field(compare=False, repr=False)
    """The lines of the game as they would be; nothing else of it has followed."""
    entry: int | None = None
    """The entry that may be wrong; None for a call that was lost."""
    moment: tuple[int, int] | None = None
    """The period and the tenths left where a lost call may have been made; None if not known."""
    also: tuple[Suspect, ...] = field(default=(), compare=False, repr=False)
    """What must be wrong, too, each of these in the place of the others: the likeliest first. Empty
    where this one alone explains the difference."""
