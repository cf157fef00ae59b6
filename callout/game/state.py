"""The state of a game: the book's lines, the clock, the arrow, and what is waited for.

Time is whole tenths of a second. The arrow is the team that has the next throw-in by it, never a
direction. What can be counted from the lines, such as the score, is not stored: `figures`
counts it.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from enum import Enum
from typing import Final

from callout.game.game_clock import AT_ZERO, Clock
from callout.game.profile.profile import Profile
from callout.game.terms import Award, CheckedAs, FoulKind, Offender, Team

ITEMS_PER_ENTRY: Final = 10
"""How many lines of the book one journal entry may make: item = entry x 10 + position."""


@dataclass(frozen=True, slots=True)
class At:
    """When a call was made: when its key went down, or its first word began."""

    left_tenths: int
    """What the game clock showed, in tenths of a second."""
    wall_ms: int
    """The machine's clock, in milliseconds."""


class Phase(Enum):
    """The phases of a game."""

    BEFORE = "before"
    RUNNING = "running"
    STOPPED = "stopped"
    TIMEOUT = "timeout"
    INTERVAL = "interval"
    OVER = "over"

    @property
    def in_period(self) -> bool:
        """Whether a period is being played, its time-outs included."""
        return self in (Phase.RUNNING, Phase.STOPPED, Phase.TIMEOUT)

    @property
    def between(self) -> bool:
        """Whether the next thing to begin is a period."""
        return self in (Phase.BEFORE, Phase.INTERVAL)

    @property
    def under_way(self) -> bool:
        """Whether the game has begun and is not over."""
        return self not in (Phase.BEFORE, Phase.OVER)


class Owner(Enum):
    """Who keeps the game clock: this table, the gym, or nobody."""

    OURS = "ours"
    FOLLOW = "follow"
    NONE = "none"


@dataclass(frozen=True, slots=True)
class Side:
    """One team at the table."""

    name: str
    numbers: tuple[str, ...] = ()
    """The roster; empty where none was given, and then any number may play."""
    starters: tuple[str, ...] = ()
    coach: str | None = None
    """The number of a player who is also the coach."""
    late: bool = False
    """Whether a player was added after the game had begun."""
    first_worn: tuple[tuple[str, str], ...] = ()
    """Each number that a player changed to, with the one that he had at first."""

    def has(self, number: str | None) -> bool:
        """Whether the number may be one of this team's."""
        return number is not None and (not self.numbers or number in self.numbers)


@dataclass(frozen=True, slots=True)
class Goal:
    """A line of the score: a field goal or a free throw, made or missed."""

    item: int
    team: Team
    points: int
    number: str | None
    period: int
    left_tenths: int
    free_throw: bool = False
    made: bool = True
    own_basket: bool = False
    said: str | None = None
    """The shirt that was called and is not on the list, as long as the line has no number."""

    @property
    def counts(self) -> int:
        """The points it brings."""
        return self.points if self.made else 0


@dataclass(frozen=True, slots=True)
class Charge:
    """A line of the fouls."""

    item: int
    team: Team
    number: str | None
    foul: FoulKind
    on: Offender
    period: int
    """The period in which it counts."""
    left_tenths: int
    double: bool = False
    said: str | None = None
    """The shirt that was called and is not on the list, as long as the line has no number."""
    award: Award = Award.NONE
    """The free throws awarded for it; they stay here after they are taken or play has gone on."""
    cancelled: bool = False
    """Whether an equal penalty of the opponents cancelled its throws."""
    fight: bool = False
    """Whether it is for leaving the bench during a fight."""
    ended: Team | None = None
    """The team whose throw-in by the arrow it ended."""


@dataclass(frozen=True, slots=True)
class Adjustment:
    """Points that the officials gave or took, by no goal."""

    item: int
    team: Team
    points: int
    period: int


@dataclass(frozen=True, slots=True)
class Owed:
    """Free throws awarded and not yet all taken."""

    foul: int
    """The item of the foul that they were awarded for."""
    team: Team
    award: Award
    taken: int = 0
    shooter: str | None = None

    @property
    def left(self) -> int:
        """How many throws may still come."""
        return self.award.throws - self.taken


@dataclass(frozen=True, slots=True)
class TimeoutLine:
    """A line of the time-outs."""

    item: int
    team: Team | None
    kind: str
    period: int
    left_tenths: int
    wall_ms: int


BookLine = Goal | Charge | Adjustment | TimeoutLine
"""Any line of the book."""


@dataclass(frozen=True, slots=True)
class Start:
    """A moment at which the clock was started."""

    entry: int
    period: int
    left_tenths: int


@dataclass(frozen=True, slots=True)
class Change:
    """A substitution since the clock was last started."""

    team: Team
    entering: str
    leaving: str


@dataclass(frozen=True, slots=True)
class SubLine:
    """A substitution, by the journal entry that made it: an item as a line of the book has."""

    item: int
    team: Team
    entering: str
    leaving: str


@dataclass(frozen=True, slots=True)
class BallLine:
    """A held ball, or first control after a jump ball, and the team that had the ball by it."""

    item: int
    team: Team | None
    tip: bool
    """Whether it was first control."""


Move = SubLine | BallLine
"""What stands in no column of the book, and can be put right all the same."""


@dataclass(frozen=True, slots=True)
class Injury:
    """A player who is injured or bleeds, and the journal entry that said so."""

    team: Team
    number: str
    bleeds: bool
    entry: int


@dataclass(frozen=True, slots=True)
class Forfeited:
    """A game that a team has lost without its being played out."""

    team: Team
    default: bool


@dataclass(frozen=True, slots=True)
class Approval:
    """The journal entry by which the officials approved the score, and that score."""

    entry: int
    home: int
    guest: int
    by: str = ""
    """Name and role of who said so; empty where nobody was named."""


@dataclass(frozen=True, slots=True)
class Signature:
    """The journal entry of a correction made after the approval, by whom and why."""

    entry: int
    by: str
    reason: str


@dataclass(frozen=True, slots=True)
class Checked:
    """An item of the checklist before the game: what became of it, and when."""

    item: str
    how: CheckedAs
    wall_ms: int


@dataclass(frozen=True, slots=True)
class Line:
    """A journal entry, as far as later decisions need it."""

    entry: int
    call: str
    undoable: bool
    period: int
    left_tenths: int
    wall_ms: int = 0
    """When it was called, by the machine's clock.

    Units: milliseconds since 1970.
    """


@dataclass(frozen=True, slots=True)
class Game:
    """A game at one moment."""

    profile: Profile
    home: Side
    guest: Side
    owner: Owner = Owner.OURS
    phase: Phase = Phase.BEFORE
    period: int = 0
    """The period being played, or the last one that was; overtimes count on from it."""
    clock: Clock = AT_ZERO
    ball_dead: bool = True
    starts: tuple[Start, ...] = ()
    """Every start of the clock, the newest last."""
    fresh_goal: int | None = None
    """The item of the newest field goal, if it was the last thing to happen and no whistle came."""
    goals: tuple[Goal, ...] = ()
    charges: tuple[Charge, ...] = ()
    adjustments: tuple[Adjustment, ...] = ()
    timeouts: tuple[TimeoutLine, ...] = ()
    owed: tuple[Owed, ...] = ()
    thrown: tuple[Owed, ...] = ()
    """Awards whose throws have all been taken since the clock was last started."""
    again: Team | None = None
    """The team that takes a free throw once more which no award in the book brings."""
    assumed: tuple[int, int] | None = None
    """The line whose number was last assumed and not called, and the entry that assumed it."""
    arrow: Team | None = None
    throw_in: Team | None = None
    """The team that has a throw-in by the arrow now, until it ends."""
    first_control: Team | None = None
    """The team that had first control in the game."""
    timeouts_asked: tuple[Team, ...] = ()
    subs_waiting: tuple[Team | None, ...] = ()
    on_court: tuple[tuple[Team, tuple[str, ...]], ...] = ()
    changes: tuple[Change, ...] = ()
    """Substitutions since the clock was last started."""
    moves: tuple[Move, ...] = ()
    """All substitutions, held balls and first controls."""
    sent_off: tuple[tuple[Team, str | None], ...] = ()
    """Players, and coaches with no number, whom the officials sent off without a foul."""
    hurt: tuple[Injury, ...] = ()
    delays: tuple[Team, ...] = ()
    """Each warning for delaying the game."""
    tip_ms: int | None = None
    """When the game is to begin, in milliseconds of the machine's clock."""
    checks: tuple[Checked, ...] = ()
    """What became of the checklist before the game, the newest last."""
    starters_read: tuple[Team, ...] = ()
    """Teams whose starters were read back and are right."""
    suspended: tuple[tuple[int, int, int], ...] = ()
    """The period, the tenths left and the machine's time of each suspension."""
    forfeit: Forfeited | None = None
    approval: Approval | None = None
    signatures: tuple[Signature, ...] = ()
    marks: tuple[tuple[int, int], ...] = ()
    """The period and the tenths left of each mark."""
    interval_since_ms: int | None = None
    ended: int = 0
    """The journal entry that last ended a period; 0 if none did."""
    reminded: tuple[str, ...] = ()
    """What the clock has announced in this time-out, interval or run of the clock."""
    lines: tuple[Line, ...] = ()
    turns: tuple[int, ...] = ()
    """Entries that began or ended a period, including those taken back."""
    taken_back: tuple[int, ...] = ()
    """Entries taken back and not put back, the newest last."""
    entry: int = 0
    """The number of the newest journal entry."""
    seen_tenths: int = 0
    """What the clock showed after it, in tenths of a second."""
    misfits: tuple[int, ...] = ()
    """Entries with an event that refers to a line that has been taken back."""

    @property
    def live_since(self) -> int:
        """The journal entry that last started the clock; 0 before the first."""
        return self.starts[-1].entry if self.starts else 0

    def side(self, team: Team) -> Side:
        """The team as it stands on the list."""
        return self.home if team is Team.HOME else self.guest

    def with_side(self, team: Team, side: Side) -> Game:
        """The game with that team as it now is."""
        return replace(self, home=side) if team is Team.HOME else replace(self, guest=side)
