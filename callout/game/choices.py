"""What a rule book chooses between: the named answers that the sections of a profile give."""

from __future__ import annotations

from enum import Enum


class Span(Enum):
    """A stretch of the game over which something is counted."""

    PERIOD = "period"
    HALF = "half"
    FIRST_HALF = "first-half"
    SECOND_HALF = "second-half"
    GAME = "game"
    OVERTIME = "overtime"


class Opening(Enum):
    """How a period begins."""

    JUMP = "jump"
    """A jump ball; the arrow is set by the first control that follows."""
    ARROW = "arrow"
    """A throw-in by the team that the arrow names."""
    WINNER = "winner"
    """A throw-in by the team that had first control of the game."""
    LOSER = "loser"
    """A throw-in by the other one."""
    TOSS = "toss"
    """By a coin, or as the officials say."""


class Held(Enum):
    """What settles a held ball."""

    ARROW = "arrow"
    JUMP = "jump"
    DEFENCE = "defence"
    """The team that had no control gets the ball."""


class ThrowRule(Enum):
    """When a foul of a kind brings free throws, unless the official signals otherwise."""

    NEVER = "never"
    PENALTY = "penalty"
    ALWAYS = "always"


class Light(Enum):
    """On whose side the bonus is shown."""

    RECEIVER = "receiver"
    """The team that will throw."""
    OFFENDER = "offender"
    """The team that fouled."""


class Until(Enum):
    """Until when something may still be put right."""

    SECOND_LIVE = "second-live"
    """Until the ball is live after the first dead ball since the clock ran again."""
    LATE = "late"
    """Until the last minutes begin, or the ball is live after the first stop that follows; of
    what happened in them, until the ball is live after the first stop."""
    PERIOD = "period"
    """Until the last regular period, or the overtime in which it was made, has ended."""
    FINAL = "final"
    """Until the game has ended and the officials have gone."""


class Credit(Enum):
    """Who gets the points of a goal in a team's own basket."""

    CAPTAIN = "captain"
    """The opponents' captain on court."""
    TEAM = "team"
    """The opponents as a team, no player."""
    NEAREST = "nearest"
    """The opponent who was nearest."""


class After(Enum):
    """Who has a chance while the ball is dead by a field goal alone, with no whistle."""

    NONE = "none"
    CONCEDING = "conceding"
    BOTH = "both"
