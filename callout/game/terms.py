"""The vocabulary that calls, events and profiles share: teams, fouls, awards, topics, moments."""

from __future__ import annotations

from enum import Enum


class Team(Enum):
    """The two teams, as the table calls them."""

    HOME = "home"
    GUEST = "guest"

    @property
    def other(self) -> Team:
        """The opponent."""
        return Team.GUEST if self is Team.HOME else Team.HOME


class FoulKind(Enum):
    """Every kind of foul that a rule book may name; a profile says which ones a league has."""

    PERSONAL = "personal"
    OFFENSIVE = "offensive"
    TECHNICAL = "technical"
    UNSPORTSMANLIKE = "unsportsmanlike"
    INTENTIONAL = "intentional"
    DISQUALIFYING = "disqualifying"
    FLAGRANT = "flagrant"
    THROW_IN = "throw-in"
    """A foul on an opponent before a throw-in is released, late in a game."""
    CLASS_B = "class-b"
    """A minor technical."""


class Offender(Enum):
    """The one to whom a foul is charged."""

    PLAYER = "player"
    COACH = "coach"
    BENCH = "bench"
    TEAM = "team"


class Award(Enum):
    """Free throws awarded for a foul."""

    NONE = "none"
    ONE = "one"
    TWO = "two"
    THREE = "three"
    ONE_AND_ONE = "one-and-one"

    @property
    def throws(self) -> int:
        """The most free throws that may be taken."""
        return {"none": 0, "one": 1, "two": 2, "three": 3, "one-and-one": 2}[self.value]


class Topic(Enum):
    """What can be asked of the table."""

    SCORE = "score"
    TIME = "time"
    TEAM_FOULS = "team-fouls"
    PLAYER_FOULS = "player-fouls"
    TIMEOUTS = "timeouts"
    ARROW = "arrow"
    BALL = "ball"
    """Whose ball it is: after a held ball the arrow says so."""
    WHOSE = "whose"
    """What was called lacks its team."""
    BOARD = "board"
    OPEN = "open"
    AGAIN = "again"
    CHECKS = "checks"
    """What is left of the checklist before the game."""
    LEAGUE = "league"
    """The league's main figures."""
    ALOUD = "aloud"
    """The newest notice, over the loudspeaker for the officials."""


class Figure(Enum):
    """A figure of the book that can be compared with another book's."""

    SCORE = "score"
    """A team's points."""
    POINTS = "points"
    """A player's points."""
    FOULS = "fouls"
    """A player's fouls."""
    TEAM_FOULS = "team-fouls"
    TIMEOUTS = "timeouts"
    """The time-outs that a team has left."""


class CheckedAs(Enum):
    """What became of an item of the checklist before a game."""

    DONE = "done"
    SKIPPED = "skipped"
    """It stays open, and is asked again after the rest."""
    SEEN = "seen"
    """The program saw by itself that it was done."""


class Moment(Enum):
    """What the table announces by itself at a moment of the clock."""

    TIMEOUT_WARNING = "timeout-warning"
    TIMEOUT_END = "timeout-end"
    INTERVAL_WARNING = "interval-warning"
    INTERVAL_END = "interval-end"
    CLOCK_STOPS = "clock-stops"
    """From now on, whistles stop a running clock."""
    CLOCK_RUNS = "clock-runs"
    """From now on, the clock keeps running because of a large lead."""
    REPLACE_END = "replace-end"
    """The time to replace a player who is out or hurt has passed."""
    GOALS_STOP = "goals-stop"
    """From now on, a field goal stops the clock."""
    ITEM_SOON = "item-soon"
    """An item of the checklist before the game is soon due, and not done."""
    ITEM_DUE = "item-due"
    """It is due now, and not done."""


class SayMuch(Enum):
    """How much the voice says; `LESS` and `MORE` are one step from the present level."""

    LESS = "less"
    MORE = "more"
    URGENT = "urgent"


class Manner(Enum):
    """How the voice speaks; each is one step from the present manner."""

    SLOWER = "slower"
    FASTER = "faster"
    SOFTER = "softer"
    LOUDER = "louder"
