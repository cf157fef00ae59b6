"""The sections of a profile: what one league's rules say of each part of a game, as plain data."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Annotated, Final

from pydantic import ConfigDict, Field

from callout.game.choices import After, Credit, Held, Light, Opening, Span, ThrowRule, Until
from callout.game.terms import Award, FoulKind, Offender

STRICT: Final = ConfigDict(extra="forbid")

Seconds = Annotated[int, Field(ge=0, le=7_200)]
Tenths = Annotated[int, Field(ge=0, le=72_000)]
Count = Annotated[int, Field(ge=0, le=99)]
Nth = Annotated[int, Field(ge=1, le=99)]


@dataclass(frozen=True, slots=True)
class Periods:
    """How long a game is."""

    __pydantic_config__ = STRICT

    count: Annotated[int, Field(ge=1, le=4)]
    """Regular periods."""
    length_s: Annotated[int, Field(ge=1, le=3_600)]
    """A period lasts."""
    overtime_s: Seconds
    """An overtime lasts; 0:00 where it has no clock."""
    half_after: Count
    """The last period of the first half."""
    break_s: Seconds
    """The interval between periods."""
    half_time_s: Seconds
    """Half-time."""
    overtime_break_s: Seconds
    """The interval before an overtime."""
    break_warnings_s: tuple[Seconds, ...]
    """The table warns so long before an interval ends."""
    half_warnings_s: tuple[Seconds, ...]
    """The table warns so long before half-time ends."""


@dataclass(frozen=True, slots=True)
class Mercy:
    """A lead from which the clock runs on."""

    __pydantic_config__ = STRICT

    lead: Annotated[int, Field(ge=1, le=99)]
    from_period: Annotated[int, Field(ge=1, le=5)]
    below_s: Seconds = 0
    """Only with less than this left in that period; 0 for all of it."""


@dataclass(frozen=True, slots=True)
class ClockRules:
    """When the game clock stands and when it runs."""

    __pydantic_config__ = STRICT

    runs_on: bool
    """The clock runs on through whistles."""
    stops_last_s: Seconds
    """A running clock stops on whistles so long before the end of a half."""
    goal_stops_tenths: tuple[Tenths, ...]
    """A field goal stops the clock with so much left, period by period, then in overtime."""
    goal_stops_rule: str
    """The article on goals that stop the clock."""
    mercy: tuple[Mercy, ...]
    """Leads from which the clock runs on."""
    mercy_reverts: bool
    """The clock stops again when the lead drops."""
    mercy_rule: str
    """The article on such leads."""


@dataclass(frozen=True, slots=True)
class Goals:
    """What a goal counts."""

    __pydantic_config__ = STRICT

    field: tuple[Annotated[int, Field(ge=1, le=3)], ...]
    """Points of a field goal."""
    throw: Annotated[int, Field(ge=1, le=3)]
    """Points of a free throw."""
    own_basket: Credit
    """Points in a team's own basket go to the opponents' …"""
    own_basket_rule: str
    """The article by which points in the wrong basket are booked."""
    target: Count
    """So many points end the game; 0 for none."""
    overtime_target: Count
    """So many points in overtime end the game; 0 for none."""
    target_rule: str
    """The article on points that end the game."""


@dataclass(frozen=True, slots=True)
class FoulRule:
    """What one kind of foul counts towards and brings."""

    __pydantic_config__ = STRICT

    player: bool
    """It counts towards the player's limit."""
    team: Annotated[int, Field(ge=0, le=2)]
    """So many team fouls."""
    throws: ThrowRule
    award: Award = Award.NONE
    """The throws where `throws` is `always`."""
    ball: bool = False
    """After the throws the team that was fouled has the ball."""
    first: bool = False
    """Its throws are taken before others that are owed."""


@dataclass(frozen=True, slots=True)
class Ejection:
    """So many fouls of these kinds together, and the player is out of the game."""

    __pydantic_config__ = STRICT

    of: tuple[FoulKind, ...]
    count: Annotated[int, Field(ge=1, le=9)]


@dataclass(frozen=True, slots=True)
class Fouls:
    """Fouls on players and coaches, and who is out."""

    __pydantic_config__ = STRICT

    limit: Nth
    """So many fouls and the player is out."""
    limit_rule: str
    """The article on that limit."""
    kinds: Mapping[FoulKind, FoulRule]
    """Foul"""
    ejections: tuple[Ejection, ...]
    """Fouls that together put a player out of the game."""
    ejections_rule: str
    """The article on players put out of the game."""
    coach_own: Annotated[int, Field(ge=1, le=9)]
    """So many technicals of his own put a coach out."""
    coach_all: Annotated[int, Field(ge=1, le=9)]
    """So many technicals, those of his bench among them, put a coach out."""
    coach_rule: str
    """The article on coaches put out."""
    counted_on: tuple[Offender, ...]
    """Team fouls are counted of fouls on …"""
    bench_on_player: bool
    """A bench technical with a number counts on that player too."""
    double_team: bool
    """A double foul counts for both teams."""
    interval_counts_next: bool
    """A foul in an interval counts in the next period."""
    overtime_counts_last: bool
    """Fouls in overtime count in the last regular period."""
    after_out: Offender
    """A foul by a player who is already out is charged to …"""
    cancels: bool
    """Equal penalties of both teams in one stop cancel each other."""
    cancels_rule: str
    """The article on penalties that cancel."""


@dataclass(frozen=True, slots=True)
class Tier:
    """From this team foul on, a common foul brings this award."""

    __pydantic_config__ = STRICT

    at: Nth
    award: Award
    last_s: Seconds = 0
    """Counting only fouls with this much or less left in the period; 0 to count all."""
    ball: bool = False
    """After the throws the team that was fouled has the ball."""


@dataclass(frozen=True, slots=True)
class Penalty:
    """What a team's next common foul brings the opponent."""

    __pydantic_config__ = STRICT

    over: Span
    """Team fouls are counted over a …"""
    tiers: tuple[Tier, ...]
    """The penalty."""
    overtime_tiers: tuple[Tier, ...]
    """The penalty in overtime; none given where it is the same."""
    light: Light
    """The bonus is shown on the side of the …"""
    rule: str
    """The article on the penalty."""


@dataclass(frozen=True, slots=True)
class Allotment:
    """So many time-outs of a kind in every stretch of the game."""

    __pydantic_config__ = STRICT

    kind: str
    count: Count
    per: Span
    carries: bool = False
    """Whether unused ones stay for the stretches after."""


@dataclass(frozen=True, slots=True)
class Limit:
    """At most so many time-outs from some moment on, whatever is left."""

    __pydantic_config__ = STRICT

    count: Count
    period: Annotated[int, Field(ge=1, le=4)]
    """The regular period in which it begins."""
    last_s: Seconds = 0
    """With so much left in that period; 0 for its beginning."""


@dataclass(frozen=True, slots=True)
class Mandatory:
    """A time-out that must have been taken by some moment of every regular period."""

    __pydantic_config__ = STRICT

    nth: Annotated[int, Field(ge=1, le=4)]
    below_s: Seconds


@dataclass(frozen=True, slots=True)
class TimeoutKind:
    """One kind of time-out."""

    __pydantic_config__ = STRICT

    length_s: Seconds
    warnings_s: tuple[Seconds, ...]
    """How long before its end the table warns."""


@dataclass(frozen=True, slots=True)
class Timeouts:
    """Time-outs a team may take."""

    __pydantic_config__ = STRICT

    kinds: Mapping[str, TimeoutKind]
    """Kind"""
    allotments: tuple[Allotment, ...]
    """A team has."""
    limits: tuple[Limit, ...]
    """At most."""
    mandatory: tuple[Mandatory, ...]
    """Must have been taken in every period."""
    in_interval: Count
    """So many in a row after the end of the last period or of an overtime."""
    rule: str
    """The article on time-outs."""


@dataclass(frozen=True, slots=True)
class Chances:
    """When a waiting time-out or substitute has its chance."""

    __pydantic_config__ = STRICT

    before_first_clock: bool
    """Before the clock has run for the first time."""
    goal_timeout: After
    """A time-out after a field goal, with no whistle, for the …"""
    goal_sub: After
    """A substitute after a field goal that stopped the clock, for the …"""
    sub_running: bool
    """A substitute may enter at a dead ball while the clock runs."""
    timeout_between_throws: bool
    """A time-out between free throws."""
    sub_last_throw: bool
    """A substitute before the last free throw."""
    sub_after_warning: bool
    """A substitute may still report after the warning horn of a time-out or an interval."""
    timeout_rule: str
    """The article on when time-outs may be taken."""
    sub_rule: str
    """The article on when substitutes may enter."""
    again_rule: str
    """The article by which a player may not be changed again before the clock has run."""


@dataclass(frozen=True, slots=True)
class Arrow:
    """Alternating possession."""

    __pydantic_config__ = STRICT

    held: Held
    """A held ball is settled by …"""
    openings: tuple[Opening, ...]
    """How each regular period begins."""
    overtime: Opening
    """How an overtime begins."""
    rule: str
    """The article on the arrow, or on jump balls where there is none."""

    @property
    def used(self) -> bool:
        """Whether there is an arrow."""
        return self.held is Held.ARROW


@dataclass(frozen=True, slots=True)
class Corrections:
    """Until when errors may be put right."""

    __pydantic_config__ = STRICT

    throws: Until
    """Free throws wrongly given, not given, or taken by the wrong player."""
    throws_rule: str
    """The article on those."""
    goal_ends_throws: bool
    """Throws not given lapse when the team that was fouled has scored."""
    book: Until
    """Slips of the scorer or the timer."""
    book_rule: str
    """The article on those."""
    late_s: Seconds
    """The last minutes, where errors before and in them differ."""


@dataclass(frozen=True, slots=True)
class Roster:
    """Shirt numbers and lists."""

    __pydantic_config__ = STRICT

    numbers: tuple[str, ...]
    """Legal numbers."""
    zeros_together: bool
    """One list may hold both 0 and 00."""
    list_before_s: Seconds
    """Lists are due so long before the start."""
    starters_before_s: Seconds
    """Starters are due so long before the start."""
    late_names: bool
    """Names may be added after the start."""
    late_award: Award
    """What a late name brings the opponent."""
    late_rule: str
    """The article on late names."""
    on_court: Annotated[int, Field(ge=1, le=5)]
    """Players of a team on court."""


@dataclass(frozen=True, slots=True)
class Table:
    """What the table crew does and when."""

    __pydantic_config__ = STRICT

    crew_before_s: Seconds
    """The crew is at the table so long before the start."""
    clock_starts: str
    """The timer starts the clock …"""
    clock_stops: str
    """The timer stops the clock …"""
    subs_wait: str
    """Substitutes wait …"""
    horn: str
    """The horn goes …"""
    three: str
    """An official shows a three …"""
    replace_s: Seconds
    """So long to replace a player who is out."""
    board_rule: str
    """The article by which the book, not the board, is right."""
