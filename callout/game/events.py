"""Every event of a game: one frozen dataclass for each kind.

`decide` turns a call into events, `apply` turns an event into the next state, and the journal
stores events by their names in `EVENTS`. An event holds all that `apply` needs, so the book can be
folded again at any time, with or without an entry that was taken back.
"""

from __future__ import annotations

from typing import Annotated, Any

from pydantic import Field, PlainValidator

from callout.errors import CalloutError
from callout.game.closing_events import CorrectionSigned as CorrectionSigned
from callout.game.closing_events import ScoreApproved as ScoreApproved
from callout.game.happened import EVENTS as EVENTS
from callout.game.happened import Event as Event
from callout.game.happened import happens as happens
from callout.game.incident_events import BookCompared as BookCompared
from callout.game.incident_events import DelayWarned as DelayWarned
from callout.game.incident_events import GameForfeited as GameForfeited
from callout.game.incident_events import GameSuspended as GameSuspended
from callout.game.incident_events import HandedOver as HandedOver
from callout.game.incident_events import PlayerHurt as PlayerHurt
from callout.game.incident_events import ScoreChecked as ScoreChecked
from callout.game.incident_events import SentOff as SentOff
from callout.game.incident_events import ShirtChanged as ShirtChanged
from callout.game.incident_events import ThrowVoided as ThrowVoided
from callout.game.incident_events import TooManySeen as TooManySeen
from callout.game.pregame_events import BeforeTold as BeforeTold
from callout.game.pregame_events import ItemChecked as ItemChecked
from callout.game.pregame_events import StarterDropped as StarterDropped
from callout.game.pregame_events import StartersConfirmed as StartersConfirmed
from callout.game.pregame_events import TipSet as TipSet
from callout.game.terms import Award, FoulKind, Moment, Offender, Team
from callout.game.values import ShirtNumber, Tenths

# `item` names one line of the book: a goal, a throw, a foul, a time-out or an adjustment. It is
# computed from the journal entry's number, not from the line's position in the book, so it stays
# the same when an earlier entry is taken back.


@happens("scored")
class Scored(Event):
    """A field goal counts for `team`."""

    item: int
    team: Team
    points: int
    number: ShirtNumber | None
    period: int
    left_tenths: Tenths
    own_basket: bool = False
    said: ShirtNumber | None = None
    """The number called, where it is not on the roster and so stays open."""


@happens("free_throw")
class FreeThrow(Event):
    """A free throw was taken."""

    item: int
    team: Team
    made: bool
    number: ShirtNumber | None
    period: int
    left_tenths: Tenths
    said: ShirtNumber | None = None
    """The number called, where it is not on the roster and so stays open."""
    assumed: bool = False
    """No number was called: it is the player who took the throw before."""


@happens("score_set")
class ScoreSet(Event):
    """The officials rule a team's score to be `points`."""

    item: int
    team: Team
    points: int
    period: int


@happens("basket_cancelled")
class BasketCancelled(Event):
    """The goal of line `item` does not count."""

    item: int


@happens("foul_charged")
class FoulCharged(Event):
    """A foul is charged to `team`."""

    item: int
    team: Team
    number: ShirtNumber | None
    foul: FoulKind
    on: Offender
    period: int
    """The period in which it counts."""
    left_tenths: Tenths
    double: bool = False
    said: ShirtNumber | None = None
    """The number called, where it is not on the roster and so stays open."""
    fight: bool = False


@happens("throws_awarded")
class ThrowsAwarded(Event):
    """Free throws for the foul of line `item`; replaces an earlier award for the same foul."""

    item: int
    team: Team
    """The team that throws."""
    award: Award


@happens("penalties_cancelled")
class PenaltiesCancelled(Event):
    """The throws for the foul of line `item` are cancelled by the equal ones for line `by`."""

    item: int
    by: int


@happens("throws_dropped")
class ThrowsDropped(Event):
    """Play went on although throws were owed; they are no longer expected."""


@happens("number_given")
class NumberGiven(Event):
    """The goal or foul of line `item` belongs to this player of its team."""

    item: int
    number: ShirtNumber
    listed: bool = True
    """Whether the team has that player; else the line stays open and keeps the number called."""


@happens("team_changed")
class TeamChanged(Event):
    """The goal, foul or time-out of line `item` belongs to `team`."""

    item: int
    team: Team
    number: ShirtNumber | None
    """The shirt number, if the new team has that player."""


@happens("points_changed")
class PointsChanged(Event):
    """The goal of line `item` counts `points`."""

    item: int
    points: int


# --- clock and periods ---------------------------------------------------------------------


@happens("period_started")
class PeriodStarted(Event):
    """A period begins; its clock stands at `left_tenths`."""

    period: int
    left_tenths: Tenths
    throw_in: Team | None
    """The team that begins it with a throw-in (by the arrow, where the league has one), or None."""
    jump: bool = False
    """It begins with a jump ball; first control then sets the arrow."""


@happens("period_ended")
class PeriodEnded(Event):
    """The period is over."""

    period: int
    wall_ms: int


@happens("game_ended")
class GameEnded(Event):
    """The game is over."""


@happens("clock_started")
class ClockStarted(Event):
    """The clock runs from `wall_ms` on."""

    left_tenths: Tenths
    wall_ms: int


@happens("clock_stopped")
class ClockStopped(Event):
    """The clock stands."""

    left_tenths: Tenths
    spent_ms: Annotated[int, Field(ge=0, le=99)] = 0
    """Milliseconds of the tenth shown that had passed; the next start continues from there."""


@happens("clock_set")
class ClockSet(Event):
    """The clock shows `left_tenths`, and runs on from `wall_ms` if it was running."""

    left_tenths: Tenths
    wall_ms: int


@happens("clock_checked")
class ClockChecked(Event):
    """The gym's clock was compared with ours."""

    shown_tenths: Tenths
    ours_tenths: Tenths


@happens("ball_dead")
class BallDead(Event):
    """The ball is dead while the clock runs."""


@happens("reminded")
class Reminded(Event):
    """The clock announced a moment, such as the warning before a time-out ends."""

    of: Moment


# --- time-outs and substitutions -------------------------------------------------------------


@happens("timeout_granted")
class TimeoutGranted(Event):
    """A time-out begins, charged to `team` or to nobody."""

    item: int
    team: Team | None
    kind: str
    """The kind of time-out, as the profile names it; empty for the officials' own."""
    period: int
    left_tenths: Tenths
    wall_ms: int


@happens("timeout_asked")
class TimeoutAsked(Event):
    """A team asks for a time-out at the next opportunity."""

    team: Team


@happens("timeout_unasked")
class TimeoutUnasked(Event):
    """The request is withdrawn."""

    team: Team


@happens("timeout_ended")
class TimeoutEnded(Event):
    """The time-out is over."""


@happens("sub_reported")
class SubReported(Event):
    """A substitute waits at the table."""

    team: Team | None


@happens("sub_left")
class SubLeft(Event):
    """A team's request for a substitution is withdrawn."""

    team: Team


@happens("subs_entered")
class SubsEntered(Event):
    """The substitutes who waited have entered."""


@happens("substituted")
class Substituted(Event):
    """One player went in for another."""

    team: Team
    entering: ShirtNumber
    leaving: ShirtNumber


# --- possession ------------------------------------------------------------------------------


@happens("control_won")
class ControlWon(Event):
    """A team has first control after a jump ball."""

    team: Team


@happens("ball_held")
class BallHeld(Event):
    """A held ball: throw-in by the arrow, or a jump ball where there is no arrow."""

    throw_in: Team | None


@happens("arrow_set")
class ArrowSet(Event):
    """The next throw-in by the arrow is `team`'s."""

    team: Team


# --- the book itself -------------------------------------------------------------------------


@happens("taken_back")
class TakenBack(Event):
    """The journal entry of that number no longer counts."""

    entry: int


@happens("put_back")
class PutBackIn(Event):
    """The journal entry of that number counts again."""

    entry: int


def _event(value: Any) -> Event:
    """An event within another, from the plain values that `Registry.dump` gives.

    Raises:
        ValueError: it is none, or holds events itself.
    """
    if isinstance(value, Event):
        return value
    if not isinstance(value, dict) or value.get("event") in (None, "replaced"):
        raise ValueError(f"expected an event, got {value!r:.40}")
    fields = {key: each for key, each in value.items() if key != "event"}
    try:
        return EVENTS.load(value["event"], fields)
    except CalloutError as error:
        raise ValueError(str(error)) from None


@happens("replaced")
class Replaced(Event):
    """From now on an earlier entry counts with these events, and no longer with its own."""

    entry: int
    item: int | None
    """The line that was put right; None where the entry only follows from another's correction."""
    events: tuple[Annotated[Event, PlainValidator(_event)], ...] = ()
    assumed: bool = False
    """The line is the other team's now, with the number that was called for the team before."""


@happens("marked")
class Marked(Event):
    """A moment is marked, to be looked at later."""

    period: int
    left_tenths: Tenths


@happens("player_added")
class PlayerAdded(Event):
    """A number is on a team's roster from now on."""

    team: Team
    number: ShirtNumber


@happens("starter_named")
class StarterNamed(Event):
    """A number is one of the five who start."""

    team: Team
    number: ShirtNumber
