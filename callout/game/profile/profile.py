"""One league's rules as data; `file.py` reads them."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Annotated

from callout.game.choices import Opening
from callout.game.profile.before import Before
from callout.game.profile.sections import (
    STRICT,
    Arrow,
    Chances,
    ClockRules,
    Corrections,
    Fouls,
    Goals,
    Penalty,
    Periods,
    Roster,
    Sheet,
    Table,
    Timeouts,
    label,
)


@dataclass(frozen=True, slots=True, repr=False)
class Profile:
    """One league's rules."""

    __pydantic_config__ = STRICT

    name: str
    title: str
    edition: str
    periods: Periods
    clock: Annotated[ClockRules, label("Game clock")]
    goals: Goals
    fouls: Fouls
    penalty: Annotated[Penalty, label("Team-foul penalty")]
    timeouts: Annotated[Timeouts, label("Time-outs")]
    chances: Annotated[Chances, label("Opportunities for time-outs and substitutions")]
    arrow: Annotated[Arrow, label("Possession")]
    corrections: Annotated[Corrections, label("Correctable errors")]
    roster: Annotated[Roster, label("Team lists")]
    table: Annotated[Table, label("Table crew")]
    before: Annotated[Before, label("Before the game")]
    sheet: Annotated[Sheet, label("Score sheet")]
    sources: Mapping[str, str] = field(default_factory=dict, hash=False)
    """The source of each value in the rule book, by its dotted name: `periods.count`."""

    def __repr__(self) -> str:
        """The name alone, because the rules fill pages."""
        return f"Profile({self.name!r})"

    def is_overtime(self, period: int) -> bool:
        """Whether that period is an overtime."""
        return period > self.periods.count

    def length_tenths(self, period: int) -> int:
        """The length of a period; 0 for an overtime without a clock.

        Units: whole tenths of a second.
        """
        over = self.is_overtime(period)
        return 10 * (self.periods.overtime_s if over else self.periods.length_s)

    def opening(self, period: int) -> Opening:
        """How a period begins."""
        return self.arrow.overtime if self.is_overtime(period) else self.arrow.openings[period - 1]

    def goal_stops_tenths(self, period: int) -> int:
        """The time left in a period from which a field goal stops the clock; 0 where none does.

        Units: whole tenths of a second.
        """
        return self.clock.goal_stops_tenths[min(period, self.periods.count + 1) - 1]

    def legal_numbers(self) -> tuple[str, ...]:
        """Every shirt number that the league allows, in ascending order."""
        legal: list[str] = []
        for item in self.roster.numbers:
            first, _, last = item.partition("-")
            legal += [str(n) for n in range(int(first), int(last) + 1)] if last else [item]
        return tuple(sorted(legal, key=lambda number: (int(number), len(number))))
