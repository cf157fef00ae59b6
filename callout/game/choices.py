"""The choices of a profile: how rule books differ, as enumerations."""

from __future__ import annotations

from enum import Enum


class Span(Enum):
    """A part of the game over which something is counted."""

    PERIOD = "period"
    HALF = "half"
    FIRST_HALF = "first-half"
    SECOND_HALF = "second-half"
    GAME = "game"
    OVERTIME = "overtime"


class Why(Enum):
    """Why a player is out, where it is not the limit of fouls."""

    AT_ONCE = "at-once"
    """One foul of a kind that ejects by itself."""
    TWO_TECHNICALS = "two-technicals"
    THREE_TECHNICALS = "three-technicals"
    """At least one of them was a minor one."""
    TWO_FLAGRANT = "two-flagrant"
    TWO_UNSPORTSMANLIKE = "two-unsportsmanlike"
    BOTH = "technical-and-unsportsmanlike"
    SENT_OFF = "sent-off"
    COACH = "coach"
    """He is the coach as well, and out as that."""


class Opening(Enum):
    """How a period begins."""

    JUMP = "jump"
    """A jump ball; the first control that follows sets the arrow."""
    ARROW = "arrow"
    """A throw-in by the team that has the arrow."""
    WINNER = "winner"
    """A throw-in by the team that had first control of the game."""
    LOSER = "loser"
    """A throw-in by the other team."""
    TOSS = "toss"
    """A coin toss, or as the officials decide."""


class Held(Enum):
    """What settles a held ball."""

    ARROW = "arrow"
    JUMP = "jump"
    DEFENCE = "defence"
    """The team without control gets the ball."""


class ThrowRule(Enum):
    """When a kind of foul brings free throws, unless the official signals otherwise."""

    NEVER = "never"
    PENALTY = "penalty"
    ALWAYS = "always"


class Light(Enum):
    """The side on which the bonus is shown."""

    RECEIVER = "receiver"
    """The team that shoots the free throws."""
    OFFENDER = "offender"
    """The team that fouled."""


class Until(Enum):
    """Until when an error may be corrected."""

    SECOND_LIVE = "second-live"
    """Until the ball is live after the first dead ball since the clock ran again."""
    LATE = "late"
    """For an error before the last minutes: until the ball is live after a stop in them. For an
    error in them: until the ball is live after the first stop."""
    PERIOD = "period"
    """Until the end of the last regular period, or of the overtime of the error."""
    FINAL = "final"
    """Until the game is over and the officials have left."""


class Credit(Enum):
    """Who is credited with a goal in a team's own basket."""

    CAPTAIN = "captain"
    """The opponents' captain on court."""
    TEAM = "team"
    """The opponents as a team, no player."""
    NEAREST = "nearest"
    """The opponent who was nearest."""


class After(Enum):
    """Who has an opportunity while the ball is dead after a field goal, without a whistle."""

    NONE = "none"
    CONCEDING = "conceding"
    BOTH = "both"


class SheetForm(Enum):
    """How a score sheet is laid out."""

    FIBA = "fiba"
    """A running score in the middle of all; a foul is a letter with its number of throws."""
    AMERICAN = "american"
    """A table of baskets, throws and fouls by player and period."""


class Column(Enum):
    """A column of the lists of players on a score sheet, beside number and name."""

    LICENCE = "licence"
    """Empty: no licence is kept, it is filled in with a pen."""
    ENTERED = "entered"
    FOULS = "fouls"
    TECHNICALS = "technicals"
    """Technical fouls in boxes of their own; without it they are among the fouls."""
    PERIODS = "periods"
    """Field goals and throws of each period."""
    GOALS = "goals"
    THROWS = "throws"
    POINTS = "points"
