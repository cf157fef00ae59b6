"""How likely each mistake in a book is: all weights, each with its reason.

The weight of a suspect (`suspicion`) is how often its kind of mistake is made in one call, times a
factor for each thing that the book knows of it. Only the order of the suspects counts, so the
weights need no common scale.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Final

from callout.game.suspect import Cause

# --- how often each mistake is made in one call, per cent -----------------------------------------

WRONG: Final = 0.25
"""Of 144 common calls in recorded crowds at 12 dB, 0.7 per cent were booked wrongly; that is spread
over team, points and number, and some of it is noticed at once."""

UNHEARD: Final = 2.0
"""Of the same calls 11 per cent came to nothing even after one question. Most of them are missed at
once, because no confirmation follows. Common practice, no source: one in five is not."""

FREQUENCY: Final[Mapping[Cause, float]] = {
    Cause.TEAM: WRONG,
    Cause.POINTS: WRONG,
    Cause.NUMBER: WRONG,
    Cause.RESULT: WRONG,
    # A partner's repeat or a key pressed twice; what comes within seconds is raised below.
    Cause.EXTRA: WRONG,
    # Most entries that are taken back should be.
    Cause.UNDONE: 5.0,
    # An official's award is booked, and then a throw is not: play went on, or the call was lost.
    Cause.UNTAKEN: 40.0,
    Cause.LOST: UNHEARD,
}

# --- what the book knows of an entry --------------------------------------------------------------

DOUBLED: Final = ((5_000, 60.0), (12_000, 12.0), (20_000, 2.0))
"""Milliseconds, and a factor. The same call once more within that time is probably one call made
twice: no team scores again within five seconds, since the opponents must first throw in and lose
the ball, and seldom within twelve. Common practice, no source."""

RUN: Final = ((5_000, 20.0), (12_000, 4.0))
"""For the same reason one of two goals of a team within this time may be the opponents'."""

OTHER_PLAYER: Final = 0.3
"""Two calls of one thing name the same player, or one of them names none."""

OVER_AWARD: Final = 60.0
"""More throws are booked than were awarded."""

HEARD_TOO: Final = 400.0
"""Times the share that the ear gave to the other call as its second choice: the shares are honest
(tests/bench/reliability.svg), so an entry with two per cent for another call is wrong in two cases
of a hundred, eight times as often as `WRONG`."""

ON_OTHER_LIST: Final = 40.0
"""The number that was called is not on the team's list, and is on the other's."""

NO_NUMBER: Final = 15.0
"""A line without a number is another player's only in that nobody has said whose."""

LOOKED_AT: Final = 0.2
"""Somebody has put this entry right already, or confirmed it, and so has looked at it."""

CONTRADICTED: Final = 0.02
"""Another figure that was compared speaks against it: with it put right, that one would still
differ, or no longer agree, so that two things would be wrong. Thus a goal is the other team's only
if theirs differs the other way, and a wrong number leaves the team's figure as it was."""

NO_AWARD: Final = 0.05
"""A throw was lost for which no award is open: the call of the award must have been lost, too."""

CALLED_AGAIN_MS: Final = 20_000
"""What is taken back is mostly called again rightly within this time."""
CALLED_AGAIN: Final = 0.02
"""Such an entry was taken back rightly: it explains no difference."""


def within(gap_ms: int, steps: Sequence[tuple[int, float]]) -> float:
    """The factor of the first step that the time does not go beyond; 1 beyond the last."""
    return next((factor for most_ms, factor in steps if gap_ms <= most_ms), 1.0)
