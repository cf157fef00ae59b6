"""The sections of a profile: what one league's rules say about each part of a game, as plain data.

Each field's label is what `callout rules` prints before its value, for a volunteer who knows the
game and not this program. A field within a list has a label in lower case, as a part of a line;
one without a label is called by its name. A docstring adds what a maintainer needs beyond it.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Annotated, Any, Final

from pydantic import ConfigDict, Field

from callout.game.choices import (
    After,
    Column,
    Credit,
    Held,
    Light,
    Opening,
    SheetForm,
    Span,
    ThrowRule,
    Until,
)
from callout.game.terms import Award, FoulKind, Offender
from callout.game.values import Tenths

STRICT: Final = ConfigDict(extra="forbid")


def label(text: str) -> Any:
    """What a field is called when it is shown to a person."""
    return Field(description=text)


Seconds = Annotated[int, Field(ge=0, le=7_200)]
Count = Annotated[int, Field(ge=0, le=99)]
Nth = Annotated[int, Field(ge=1, le=99)]


@dataclass(frozen=True, slots=True)
class Periods:
    """Periods and intervals."""

    __pydantic_config__ = STRICT

    count: Annotated[int, Field(ge=1, le=4), label("Regular periods")]
    length_s: Annotated[int, Field(ge=1, le=3_600), label("Length of a period")]
    overtime_s: Annotated[Seconds, label("Length of an overtime (0:00: no clock)")]
    half_after: Annotated[Count, label("Last period of the first half")]
    break_s: Annotated[Seconds, label("Interval between periods")]
    half_time_s: Annotated[Seconds, label("Half-time")]
    overtime_break_s: Annotated[Seconds, label("Interval before an overtime")]
    break_warnings_s: Annotated[
        tuple[Seconds, ...], label("Warnings before the end of an interval")
    ]
    half_warnings_s: Annotated[tuple[Seconds, ...], label("Warnings before the end of half-time")]
    horn_last_s: Annotated[Seconds, label("End of an interval in which a warning is a horn")]
    """The referees are told of earlier ones by word of mouth."""


@dataclass(frozen=True, slots=True)
class Mercy:
    """A lead at which the clock keeps running."""

    __pydantic_config__ = STRICT

    lead: Annotated[int, Field(ge=1, le=99)]
    from_period: Annotated[int, Field(ge=1, le=5)]
    below_s: Annotated[Seconds, label("time left below")] = 0
    """0 for all of the period."""


@dataclass(frozen=True, slots=True)
class ClockRules:
    """When the game clock stops and when it runs."""

    __pydantic_config__ = STRICT

    runs_on: Annotated[bool, label("Clock keeps running through whistles")]
    stops_last_s: Annotated[
        Seconds, label("End of each half in which whistles stop a running clock")
    ]
    """0 where they never do."""
    goal_stops_tenths: Annotated[
        tuple[Tenths, ...], label("Time left when field goals stop the clock (0: never)")
    ]
    """One value a period, then one for overtimes."""
    goal_stops_rule: Annotated[str, label("Rule on goals that stop the clock")]
    mercy: Annotated[tuple[Mercy, ...], label("Leads at which the clock keeps running")]
    mercy_reverts: Annotated[bool, label("Clock stops again once the lead shrinks")]
    mercy_rule: Annotated[str, label("Rule on large leads")]


@dataclass(frozen=True, slots=True)
class Goals:
    """What a goal counts, and target scores."""

    __pydantic_config__ = STRICT

    field: Annotated[
        tuple[Annotated[int, Field(ge=1, le=3)], ...], label("Points for a field goal")
    ]
    throw: Annotated[int, Field(ge=1, le=3), label("Points for a free throw")]
    own_basket: Annotated[Credit, label("Credit for a goal in a team's own basket")]
    own_basket_rule: Annotated[str, label("Rule on goals in a team's own basket")]
    target: Annotated[Count, label("Target score (0: none)")]
    overtime_target: Annotated[Count, label("Points that win an overtime (0: none)")]
    target_rule: Annotated[str, label("Rule on target scores")]
    forfeit: Annotated[Count, label("Winner's points in a forfeited game")]
    """Where the winner does not lead by what was played."""
    forfeit_stands: Annotated[bool, label("Score of a forfeited game stands if its winner leads")]
    forfeit_rule: Annotated[str, label("Rule on forfeited games")]


@dataclass(frozen=True, slots=True)
class FoulRule:
    """What one kind of foul counts towards, and the free throws it brings."""

    __pydantic_config__ = STRICT

    player: Annotated[bool, label("player foul")]
    """It counts towards the player's limit."""
    team: Annotated[int, Field(ge=0, le=2), label("team fouls")]
    """How many team fouls it counts as."""
    throws: Annotated[ThrowRule, label("free throws")]
    award: Award = Award.NONE
    """The free throws where `throws` is `always`."""
    ball: Annotated[bool, label("then the ball")] = False
    """The fouled team has the ball after the free throws."""
    first: Annotated[bool, label("taken first")] = False
    """Its free throws are taken before others that are owed."""


@dataclass(frozen=True, slots=True)
class Ejection:
    """Kinds of foul that together eject a player at a limit of their own."""

    __pydantic_config__ = STRICT

    of: Annotated[tuple[FoulKind, ...], label("kinds")]
    count: Annotated[int, Field(ge=1, le=9), label("limit")]


@dataclass(frozen=True, slots=True)
class Fouls:
    """Fouls on players and coaches, and who is out."""

    __pydantic_config__ = STRICT

    limit: Annotated[Nth, label("Player's foul limit")]
    limit_rule: Annotated[str, label("Rule on the foul limit")]
    kinds: Annotated[Mapping[FoulKind, FoulRule], label("Foul")]
    ejections: Annotated[tuple[Ejection, ...], label("Fouls that eject a player")]
    ejections_rule: Annotated[str, label("Rule on ejections")]
    coach_own: Annotated[int, Field(ge=1, le=9), label("Own technicals that eject a coach")]
    coach_all: Annotated[
        int, Field(ge=1, le=9), label("Own and bench technicals that eject a coach")
    ]
    coach_rule: Annotated[str, label("Rule on ejecting a coach")]
    counted_on: Annotated[
        tuple[Offender, ...], label("Fouls that count as team fouls, by offender")
    ]
    bench_on_player: Annotated[
        bool, label("Bench technical with a shirt number counts against that player")
    ]
    double_team: Annotated[bool, label("Double fouls count as team fouls")]
    interval_counts_next: Annotated[bool, label("Fouls in an interval count in the next period")]
    overtime_counts_last: Annotated[bool, label("Overtime fouls count in the last regular period")]
    after_out: Annotated[Offender, label("Who is charged when a player already out fouls")]
    cancels: Annotated[bool, label("Equal penalties of both teams cancel each other")]
    """Those of one stoppage."""
    cancels_rule: Annotated[str, label("Rule on cancelling penalties")]
    too_many_on: Annotated[Offender, label("Who is charged for a player too many on court")]


@dataclass(frozen=True, slots=True)
class Tier:
    """The award for a common foul from one team foul of the span on."""

    __pydantic_config__ = STRICT

    at: Nth
    award: Award
    last_s: Annotated[Seconds, label("time left at most")] = 0
    """Counts only fouls with this much or less left in the period; 0 counts all."""
    ball: Annotated[bool, label("then the ball")] = False
    """The fouled team has the ball after the free throws."""


@dataclass(frozen=True, slots=True)
class Penalty:
    """The team-foul penalty, and how the bonus is shown."""

    __pydantic_config__ = STRICT

    over: Annotated[Span, label("Span over which team fouls are counted")]
    tiers: Annotated[tuple[Tier, ...], label("Team-foul penalty")]
    overtime_tiers: Annotated[
        tuple[Tier, ...], label("Team-foul penalty in overtime (none: the same)")
    ]
    """Empty where it is the same as in a regular period."""
    light: Annotated[Light, label("Side that shows the bonus")]
    rule: Annotated[str, label("Rule on the team-foul penalty")]


@dataclass(frozen=True, slots=True)
class Allotment:
    """Time-outs of one kind that a team has for each span of the game."""

    __pydantic_config__ = STRICT

    kind: str
    count: Count
    per: Span
    carries: Annotated[bool, label("carried over")] = False
    """Unused ones stay for later spans."""


@dataclass(frozen=True, slots=True)
class Limit:
    """The most time-outs a team may still take from some moment on."""

    __pydantic_config__ = STRICT

    count: Annotated[Count, label("time-outs")]
    period: Annotated[int, Field(ge=1, le=4)]
    """The regular period in which it begins."""
    last_s: Annotated[Seconds, label("time left at most")] = 0
    """0 for the beginning of that period."""


@dataclass(frozen=True, slots=True)
class Mandatory:
    """A time-out that must be taken before some moment of every regular period."""

    __pydantic_config__ = STRICT

    nth: Annotated[int, Field(ge=1, le=4), label("time-out")]
    below_s: Annotated[Seconds, label("time left below")]


@dataclass(frozen=True, slots=True)
class TimeoutKind:
    """One kind of time-out."""

    __pydantic_config__ = STRICT

    length_s: Seconds
    warnings_s: Annotated[tuple[Seconds, ...], label("warnings before its end")]


@dataclass(frozen=True, slots=True)
class Timeouts:
    """Time-outs a team may take."""

    __pydantic_config__ = STRICT

    kinds: Annotated[Mapping[str, TimeoutKind], label("Time-out")]
    allotments: Annotated[tuple[Allotment, ...], label("Time-outs for each team")]
    limits: Annotated[tuple[Limit, ...], label("Late limits")]
    mandatory: Annotated[tuple[Mandatory, ...], label("Mandatory time-outs in each period")]
    in_interval: Annotated[Count, label("Time-outs in a row after the last period or an overtime")]
    excess_technical: Annotated[bool, label("A time-out too many brings a team technical")]
    rule: Annotated[str, label("Rule on time-outs")]


@dataclass(frozen=True, slots=True)
class Chances:
    """When time-outs and substitutions are allowed."""

    __pydantic_config__ = STRICT

    before_first_clock: Annotated[bool, label("Allowed before the clock first starts")]
    goal_timeout: Annotated[After, label("Time-out after a field goal: teams allowed")]
    """With no whistle."""
    goal_stops_for_timeout: Annotated[
        bool, label("Table stops the clock when a team that asked for a time-out concedes a goal")
    ]
    goal_sub: Annotated[
        After, label("Substitution after a goal that stopped the clock: teams allowed")
    ]
    sub_running: Annotated[bool, label("Substitution at a dead ball with the clock running")]
    timeout_between_throws: Annotated[bool, label("Time-out between free throws")]
    sub_last_throw: Annotated[bool, label("Substitution before the last free throw")]
    sub_after_warning: Annotated[bool, label("Substitutes may report after the warning horn")]
    """That of a time-out or an interval."""
    timeout_rule: Annotated[str, label("Rule on when time-outs are allowed")]
    sub_rule: Annotated[str, label("Rule on when substitutions are allowed")]
    again_rule: Annotated[str, label("Rule on re-entry before the clock has run")]


@dataclass(frozen=True, slots=True)
class Arrow:
    """Alternating possession."""

    __pydantic_config__ = STRICT

    held: Annotated[Held, label("How a held ball is decided")]
    openings: Annotated[tuple[Opening, ...], label("Start of each regular period")]
    overtime: Annotated[Opening, label("Start of an overtime")]
    rule: Annotated[str, label("Rule on the arrow or on jump balls")]

    @property
    def used(self) -> bool:
        """Whether there is an arrow."""
        return self.held is Held.ARROW


@dataclass(frozen=True, slots=True)
class Corrections:
    """Until when errors may be corrected."""

    __pydantic_config__ = STRICT

    throws: Annotated[Until, label("Deadline for correcting free throws")]
    """Free throws wrongly awarded, not awarded, or taken by the wrong player."""
    throws_rule: Annotated[str, label("Rule on correcting free throws")]
    goal_ends_throws: Annotated[bool, label("Throws not awarded lapse once the fouled team scores")]
    book: Annotated[Until, label("Deadline for scoring and timing mistakes")]
    book_rule: Annotated[str, label("Rule on scoring and timing mistakes")]
    late_s: Annotated[Seconds, label("Last minutes, with a deadline of their own")]
    """0 where no minutes differ."""


@dataclass(frozen=True, slots=True)
class Roster:
    """Shirt numbers and team lists."""

    __pydantic_config__ = STRICT

    numbers: Annotated[tuple[str, ...], label("Legal shirt numbers")]
    zeros_together: Annotated[bool, label("0 and 00 allowed on the same team")]
    list_before_s: Annotated[Seconds, label("Team lists due before the start")]
    starters_before_s: Annotated[Seconds, label("Starters due before the start")]
    late_names: Annotated[bool, label("Names may be added after the start")]
    late_award: Annotated[Award, label("Opponent's award for a late name")]
    late_rule: Annotated[str, label("Rule on late names")]
    names_days: Annotated[int, Field(ge=0, le=3650), label("Days that names are kept")]
    """After the newest entry; 0 where nobody asks for it."""
    on_court: Annotated[int, Field(ge=1, le=5), label("Players on court for each team")]
    most: Annotated[Count, label("Most players on a team list (0: no limit)")]


@dataclass(frozen=True, slots=True)
class Table:
    """What the table crew does, and when."""

    __pydantic_config__ = STRICT

    crew_before_s: Annotated[Seconds, label("Crew at the table before the start")]
    clock_starts: Annotated[str, label("Signal to start the clock")]
    clock_stops: Annotated[str, label("Signal to stop the clock")]
    subs_wait: Annotated[str, label("Where substitutes wait")]
    horn: Annotated[str, label("When to sound the horn")]
    three: Annotated[str, label("Official's signal for a three-point goal")]
    replace_s: Annotated[Seconds, label("Time to replace a player who is out")]
    hurt_rule: Annotated[str, label("Rule on injured and bleeding players")]
    head_rule: Annotated[str, label("Rule on signs of concussion")]
    delay_rule: Annotated[str, label("Rule on delaying the game")]
    board_rule: Annotated[str, label("Rule that the book overrides the scoreboard")]


@dataclass(frozen=True, slots=True)
class Sheet:
    """The score sheet that is printed and signed."""

    __pydantic_config__ = STRICT

    form: Annotated[SheetForm, label("Form of the score sheet")]
    columns: Annotated[tuple[Column, ...], label("Columns beside number and name")]
    officials: Annotated[tuple[str, ...], label("Officials whose names stand on the score sheet")]
    signatures: Annotated[tuple[str, ...], label("Who signs the score sheet, in this order")]
