"""How urgent each kind of notice is, as one table, in the order in which they are said."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from enum import IntEnum
from types import MappingProxyType
from typing import Any, Final

from callout.game.notices.endings import ENDINGS, Ending


class Rank(IntEnum):
    """How urgent a notice is: the lower, the sooner it is said."""

    ACT = 0
    """Act now: something must be done before the game goes on."""
    TELL = 1
    """For the referee, or for whoever keeps clock, board or book: to be known before any echo."""
    ECHO = 2
    """Confirms what was booked, or answers what was asked."""
    ASK = 3
    """A question."""


@dataclass(frozen=True, slots=True)
class Urgency:
    """When a kind of notice is said, and what becomes of it then."""

    rank: Rank = Rank.ECHO
    place: int = 0
    """Among those of one rank the lower is said first."""
    until: Ending | None = None
    """It comes again until this says that the thing is done, or somebody that it was told."""
    running: bool = False
    """It comes again while the clock runs in play, and not at a dead ball as all others do."""
    standing: bool = False
    """It comes again at a dead ball only if the clock stands, too."""
    told: bool = False
    """It is passed on to the referee, and waits to be told so."""
    horn: bool = False
    """The officials are told by the horn, for which the ball must be dead: at a stop a tone comes
    first and the words after the referee's report, and later they are said under that condition."""
    lasts: bool = False
    """It is said however late its turn comes, where other echoes are dropped."""

    @property
    def again(self) -> bool:
        """Whether it comes again."""
        return self.until is not None


def _table(text: str) -> dict[str, Urgency]:
    rows = (line.split() for line in text.strip().splitlines() if line.strip()[:1] != "#")
    return {
        kind: Urgency(Rank[rank.upper()], place, **dict(map(_flag, flags)))
        for place, (rank, kind, *flags) in enumerate(rows)
    }


def _flag(text: str) -> tuple[str, Any]:
    """`horn`, or `until:` with the name of an ending."""
    name, _, ending = text.partition(":")
    return name, ENDINGS[ending] if ending else True


URGENCIES: Final[Mapping[str, Urgency]] = MappingProxyType(
    _table("""
    # This very second.
    act  clock_stops         until:clock_stands running
    # A player or a coach who is out, shots owed, a time-out, a substitute.
    act  player_out          until:player_left standing
    act  coach_out           until:coach_left standing
    act  shots_owed          until:shots_taken
    act  shots_and_ball      until:shots_and_ball_taken
    act  timeout_due         until:timeout_granted horn
    act  sub_due             until:subs_entered horn
    # For the referee.
    tell plays_though_out    told
    tell bonus               told
    tell timeout_last        told
    tell timeout_excess      told
    tell arrow_against       told
    tell roster_late         told
    tell number_illegal      told
    tell not_level           told
    tell roster_closed
    tell sub_too_soon
    tell sub_not_now
    tell too_many
    tell timeout_not_now
    tell timeout_struck
    tell timeout_mandatory
    tell too_late_throws
    tell too_late_book
    tell after_final
    # For whoever keeps clock and board.
    tell timeout_warning
    tell timeout_end
    tell interval_warning
    tell interval_end
    tell clock_stops_now
    tell goals_stop_now
    tell mercy_on
    tell mercy_off
    tell clock_runs_on
    tell bonus_light
    tell bonus_marker
    tell bonus_off
    # For whoever keeps the book.
    tell misfit
    tell throws_unbooked
    tell target_reached
    tell half_time
    tell level
    tell final
    tell leads
    tell won_now
    tell level_now
    # What belongs to no single call is said after what does.
    echo board_score         lasts
    echo board_clock         lasts
    echo board_period        lasts
    echo board_fouls         lasts
    echo board_bonus         lasts
    echo board_timeouts      lasts
    echo board_arrow         lasts
    echo still_open          lasts
    """)
)
"""Kinds that are more than an echo, or other than a plain one. Source: the design of this table."""

_ECHO: Final = Urgency()
_QUESTION: Final = Urgency(Rank.ASK)


def urgency(kind: str) -> Urgency:
    """How urgent a kind is: an echo, unless the table knows better or it asks something."""
    if kind in URGENCIES:
        return URGENCIES[kind]
    return _QUESTION if kind.startswith("ask_") else _ECHO
