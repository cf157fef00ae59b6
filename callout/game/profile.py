"""One league's rules as data: what a profile holds. `profile_file` reads it from its file."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import Enum
from typing import Annotated, Final

from pydantic import ConfigDict, Field

from callout.game.terms import Award, FoulKind

STRICT: Final = ConfigDict(extra="forbid")

Seconds = Annotated[int, Field(ge=0, le=7_200)]
Count = Annotated[int, Field(ge=0, le=99)]


class Span(Enum):
    """A stretch of the game over which something is counted."""

    PERIOD = "period"
    HALF = "half"
    GAME = "game"
    OVERTIME = "overtime"


class Opening(Enum):
    """How a period begins."""

    JUMP = "jump"
    ARROW = "arrow"


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


@dataclass(frozen=True, slots=True)
class Periods:
    """How long a game is."""

    __pydantic_config__ = STRICT

    count: Annotated[int, Field(ge=1, le=4)]
    length_s: Seconds
    overtime_s: Seconds
    half_after: Annotated[int, Field(ge=1, le=4)]
    """The last period of the first half."""
    break_s: Seconds
    half_time_s: Seconds
    overtime_break_s: Seconds
    break_warnings_s: tuple[Seconds, ...]
    """How long before the end of an interval the table warns."""


@dataclass(frozen=True, slots=True)
class Goals:
    """What a goal counts."""

    __pydantic_config__ = STRICT

    field: tuple[Annotated[int, Field(ge=1, le=3)], ...]
    throw: Annotated[int, Field(ge=1, le=3)]
    own_basket_rule: str
    """The article by which points in the wrong basket are booked."""


@dataclass(frozen=True, slots=True)
class FoulRule:
    """What one kind of foul counts towards and brings."""

    __pydantic_config__ = STRICT

    player: bool
    team: bool
    throws: ThrowRule
    award: Award = Award.NONE
    """The throws where `throws` is `always`."""
    ejects_at: Annotated[int, Field(ge=1, le=9)] | None = None
    """So many fouls of this kind on one player put him out of the game."""


@dataclass(frozen=True, slots=True)
class Fouls:
    """Fouls on players, and who is out."""

    __pydantic_config__ = STRICT

    limit: Annotated[int, Field(ge=1, le=99)]
    """So many fouls and the player is out."""
    limit_rule: str
    kinds: Mapping[FoulKind, FoulRule]
    bench_team: bool
    """Whether fouls on coach, bench and team count as team fouls."""
    interval_counts_next: bool
    """Whether a foul in an interval counts in the next period."""
    overtime_counts_last: bool
    """Whether fouls in overtime count in the last regular period."""


@dataclass(frozen=True, slots=True)
class Tier:
    """From this team foul on, a common foul brings this award."""

    __pydantic_config__ = STRICT

    at: Annotated[int, Field(ge=1, le=99)]
    award: Award


@dataclass(frozen=True, slots=True)
class Penalty:
    """What a team's next common foul brings the opponent."""

    __pydantic_config__ = STRICT

    over: Span
    tiers: tuple[Tier, ...]
    light: Light
    rule: str


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
    allotments: tuple[Allotment, ...]
    rule: str


@dataclass(frozen=True, slots=True)
class Arrow:
    """Alternating possession."""

    __pydantic_config__ = STRICT

    used: bool
    periods: Opening
    """How the second and later regular periods begin."""
    overtime: Opening
    rule: str


@dataclass(frozen=True, slots=True)
class Roster:
    """Shirt numbers and lists."""

    __pydantic_config__ = STRICT

    numbers: tuple[str, ...]
    """Legal numbers: single ones and ranges such as `10-15`."""
    late_rule: str
    """The article on names added to the list after the game has begun."""
    on_court: Annotated[int, Field(ge=1, le=5)]


@dataclass(frozen=True, slots=True)
class Table:
    """What the table crew does and when."""

    __pydantic_config__ = STRICT

    crew_before_s: Seconds
    sub_rule: str
    jump_rule: str


@dataclass(frozen=True, slots=True)
class Profile:
    """One league's rules."""

    __pydantic_config__ = STRICT

    name: str
    title: str
    edition: str
    periods: Periods
    goals: Goals
    fouls: Fouls
    penalty: Penalty
    timeouts: Timeouts
    arrow: Arrow
    roster: Roster
    table: Table
    sources: Mapping[str, str] = field(default_factory=dict, hash=False)
    """Where each value stands in the rule book, by its dotted name: `periods.count`."""

    def length_tenths(self, period: int) -> int:
        """How long a period lasts.

        Units: whole tenths of a second.
        """
        regular = period <= self.periods.count
        return 10 * (self.periods.length_s if regular else self.periods.overtime_s)

    def legal_numbers(self) -> tuple[str, ...]:
        """Every shirt number that this league allows, in ascending order."""
        legal: list[str] = []
        for item in self.roster.numbers:
            first, _, last = item.partition("-")
            legal += [str(n) for n in range(int(first), int(last) + 1)] if last else [item]
        return tuple(sorted(legal, key=lambda number: (int(number), len(number))))
