"""The levels of practice and the paces: who does what, and how much time there is."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Final


@dataclass(frozen=True, slots=True)
class Level:
    """One level. All its times: common practice, no source."""

    number: int
    gap_ms: int
    """From the end of a play to the beginning of the next one, for each call that it needs."""
    late_ms: int
    """A call that comes later is late. The second call of a play has the same time once more."""
    missed_ms: int
    """A call that has not come by then is missed; likewise for the second one."""
    substitutes: bool = True
    """Whether the user calls substitutes, ends of time-outs and jump balls, too."""
    clock: bool = False
    """Whether the user keeps the clock, too; else a partner does."""
    waits: bool = True
    """Whether the next play waits until the table has spoken."""
    patient: bool = False
    """Whether it waits, too, until the last one was called or missed."""

    @property
    def last_period(self) -> bool:
        """Whether it begins late in the last period of a close game."""
        return self.clock


LEVELS: Final[Mapping[int, Level]] = MappingProxyType(
    {
        1: Level(1, 5_000, 4_000, 9_000, substitutes=False, patient=True),
        2: Level(2, 4_000, 3_500, 8_000),
        3: Level(3, 2_500, 3_000, 7_000, clock=True, waits=False),
    }
)
"""1: goals, fouls, throws and time-outs. 2: the whole book. 3: the book and the clock, alone, in a
fast last period."""

PACES: Final[Mapping[str, float]] = MappingProxyType({"slow": 1.5, "normal": 1.0, "fast": 0.7})
"""By how much the gaps between plays are longer; what is late does not change."""

LAST_TENTHS: Final = 2_400
"""What the clock shows when the last period is taken up."""
