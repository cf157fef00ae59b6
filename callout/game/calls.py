"""Every call that can be made at the table: one frozen dataclass for each kind.

A call says what a person said or pressed. What it means for the book is decided in `decide`.
Language files and the journal refer to a call by its name in the register `CALLS`. Calls to the
table itself are defined in `talk`, those of what happens seldom in `incidents`, those that close
the book in `closing`, those before the game in `pregame`; all are re-exported here, so that
importing `CALLS` from this module always gives the complete register.
"""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

from callout.game.called import CALLS as CALLS
from callout.game.called import Call as Call
from callout.game.called import called as called
from callout.game.closing import Approve as Approve
from callout.game.closing import Signed as Signed
from callout.game.incidents import ChangeShirt as ChangeShirt
from callout.game.incidents import CheckScore as CheckScore
from callout.game.incidents import CompareBook as CompareBook
from callout.game.incidents import DelayWarning as DelayWarning
from callout.game.incidents import Forfeit as Forfeit
from callout.game.incidents import HandOver as HandOver
from callout.game.incidents import Hurt as Hurt
from callout.game.incidents import LaneViolation as LaneViolation
from callout.game.incidents import SendOff as SendOff
from callout.game.incidents import Suspend as Suspend
from callout.game.incidents import TooManyOn as TooManyOn
from callout.game.pregame import BeforeDue as BeforeDue
from callout.game.pregame import CheckDone as CheckDone
from callout.game.pregame import CheckSeen as CheckSeen
from callout.game.pregame import CheckSkip as CheckSkip
from callout.game.pregame import ConfirmStarters as ConfirmStarters
from callout.game.pregame import DropStarter as DropStarter
from callout.game.pregame import SetTip as SetTip
from callout.game.pregame import TipIn as TipIn
from callout.game.talk import TALK as TALK
from callout.game.talk import Answer as Answer
from callout.game.talk import Ask as Ask
from callout.game.talk import Cancel as Cancel
from callout.game.talk import Earlier as Earlier
from callout.game.talk import Later as Later
from callout.game.talk import ListenAgain as ListenAgain
from callout.game.talk import No as No
from callout.game.talk import PauseListening as PauseListening
from callout.game.talk import Pick as Pick
from callout.game.talk import PutRight as PutRight
from callout.game.talk import RefereeTold as RefereeTold
from callout.game.talk import SayHow as SayHow
from callout.game.talk import SayLevel as SayLevel
from callout.game.talk import SoundHorn as SoundHorn
from callout.game.talk import TipAt as TipAt
from callout.game.talk import Yes as Yes
from callout.game.terms import Award, FoulKind, Moment, Offender, Team
from callout.game.values import Points, ShirtNumber, Tenths


# --- score ---------------------------------------------------------------------------------
@called("score")
class Score(Call):
    """A goal counted for `team`; one point is a free throw."""

    team: Team
    points: Points
    number: ShirtNumber | None = None
    own_basket: bool = False
    """An opponent of `team` threw the ball into his own basket; the line needs no number."""


@called("number")
class Number(Call):
    """A shirt number alone: it completes the newest line that has none."""

    number: ShirtNumber


@called("shot")
class Shot(Call):
    """A free throw taken; the team may be left out while throws are owed."""

    made: bool
    team: Team | None = None
    number: ShirtNumber | None = None


@called("no_basket")
class NoBasket(Call):
    """The officials cancel the basket just made, before the ball was live again."""


@called("count_it")
class CountIt(Call):
    """The basket that the officials have just cancelled counts after all."""


@called("set_score")
class SetScore(Call):
    """A team's score as the officials rule it to be."""

    team: Team
    points: Annotated[int, Field(ge=0, le=299)]


# --- fouls ---------------------------------------------------------------------------------
@called("foul")
class Foul(Call):
    """A foul charged to `team`."""

    team: Team
    number: ShirtNumber | None = None
    foul: FoulKind = FoulKind.PERSONAL
    on: Offender = Offender.PLAYER
    award: Award | None = None
    """Free throws the official signalled; None where nothing was said."""
    before_horn: bool | None = None
    """For a foul called after a period's end: whether it happened before the horn."""
    fight: bool = False
    """Whether it is for leaving the bench during a fight."""


@called("double_foul")
class DoubleFoul(Call):
    """Two opponents foul each other at about the same time."""

    home: ShirtNumber
    guest: ShirtNumber
    foul: FoulKind = FoulKind.PERSONAL


@called("award")
class SetAward(Call):
    """The throws the official signals for the newest foul: `shooting two`, `no shots`."""

    award: Award
    team: Team | None = None
    """The team that throws, if it was named; the newest foul must then be the other team's."""


# --- clock and periods ---------------------------------------------------------------------
@called("start_clock")
class StartClock(Call):
    """The game clock starts."""


@called("stop_clock")
class StopClock(Call):
    """The game clock stops."""


@called("dead_ball")
class DeadBall(Call):
    """The ball is dead while the clock runs on, or while the official clock is another one."""


@called("set_clock")
class SetClock(Call):
    """The time left, as the officials rule it to be."""

    left_tenths: Tenths


@called("check_clock")
class CheckClock(Call):
    """What the gym's clock shows, to compare with ours."""

    left_tenths: Tenths


@called("adjust_clock")
class AdjustClock(Call):
    """Time added to the clock (positive) or taken off it (negative)."""

    tenths: Annotated[int, Field(ge=-6_000, le=6_000)]


@called("start_period")
class StartPeriod(Call):
    """The next period begins; the clock stands at its length until it is started."""


@called("end_period")
class EndPeriod(Call):
    """The period is over."""


@called("end_game")
class EndGame(Call):
    """The game is over."""


@called("clock_expired")
class ClockExpired(Call):
    """The running clock reached zero. Made by the clock, never by a person."""


@called("reminder")
class Reminder(Call):
    """A moment that the table announces has come. Made by the clock, never by a person."""

    of: Moment


# --- time-outs, substitution, possession ---------------------------------------------------
@called("timeout")
class Timeout(Call):
    """A time-out granted to `team`; `length` names its kind, as the profile does."""

    team: Team
    length: Literal["thirty", "full"] | None = None


@called("timeout_waiting")
class TimeoutWaiting(Call):
    """A time-out asked for at the table, to be granted at the next opportunity."""

    team: Team


@called("timeout_withdrawn")
class TimeoutWithdrawn(Call):
    """The request for a time-out is taken back."""

    team: Team


@called("timeout_over")
class TimeoutOver(Call):
    """The time-out has ended."""


@called("official_timeout")
class OfficialTimeout(Call):
    """The officials stop the game; charged to no team."""


@called("sub_waiting")
class SubWaiting(Call):
    """A substitute has reported to the table."""

    team: Team | None = None


@called("sub_withdrawn")
class SubWithdrawn(Call):
    """The request for a substitution is taken back."""

    team: Team


@called("substitution")
class Substitution(Call):
    """One player goes in for another."""

    team: Team
    entering: ShirtNumber
    leaving: ShirtNumber


@called("sub_of")
class SubOf(Call):
    """One player goes in for another, and the team was left out: the one that has both numbers."""

    entering: ShirtNumber
    leaving: ShirtNumber


@called("subs_in")
class SubsIn(Call):
    """The waiting substitutes have entered."""


@called("tip")
class Tip(Call):
    """First control of a live ball after a jump ball."""

    team: Team


@called("held_ball")
class HeldBall(Call):
    """A held ball, or another jump-ball situation settled by the arrow."""

    team: Team | None = None
    """The team to which the officials gave the ball, where it was put right; else by the arrow."""


@called("switch_arrow")
class SwitchArrow(Call):
    """The alternating-possession throw-in has ended: the arrow turns."""


@called("throw_in_violation")
class ThrowInViolation(Call):
    """The team entitled to the alternating-possession throw-in violates."""


@called("set_arrow")
class SetArrow(Call):
    """The team entitled to the next alternating-possession throw-in."""

    team: Team


# --- corrections ---------------------------------------------------------------------------
@called("undo")
class Undo(Call):
    """The newest entry of the book is taken back."""


@called("put_back")
class PutBack(Call):
    """An entry that was taken back counts again: the last one, if none is named."""

    entry: Annotated[int, Field(ge=1, le=1_000_000)] | None = None


@called("make_team")
class MakeTeam(Call):
    """The newest entry belongs to `team`."""

    team: Team


@called("make_points")
class MakePoints(Call):
    """The newest goal counts `points`."""

    points: Points


@called("make_number")
class MakeNumber(Call):
    """The newest entry belongs to this shirt number."""

    number: ShirtNumber


@called("last_number")
class LastNumber(Call):
    """The shirt number of a team's last basket or foul."""

    team: Team
    entry: Literal["basket", "foul"]
    number: ShirtNumber


@called("last_team")
class LastTeam(Call):
    """A team's last basket belongs to the team `to`."""

    team: Team
    to: Team


@called("correct")
class Correct(Call):
    """One line of the book is put right, or taken off; what is None stays as it was.

    The table makes it from a `PutRight`, once it is known which line is meant.
    """

    item: Annotated[int, Field(ge=0, le=10_000_009)]
    team: Team | None = None
    number: ShirtNumber | None = None
    """Of a substitution, the player who came in."""
    points: Points | None = None
    made: bool | None = None
    foul: FoulKind | None = None
    off: bool = False
    leaving: ShirtNumber | None = None
    """Of a substitution, the player who went out."""


@called("mark")
class Mark(Call):
    """The moment is marked, to be looked at later."""


# --- the lists -----------------------------------------------------------------------------
@called("add_player")
class AddPlayer(Call):
    """A number is added to a team's roster."""

    team: Team
    number: ShirtNumber


@called("starter")
class Starter(Call):
    """A number is one of the five who start."""

    team: Team
    number: ShirtNumber
