"""Notices that somebody must act on: when each is done, and what the referee's report holds up."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from callout.game import calls
from callout.game.fold import Entry
from callout.game.notices.after_entry import Notice
from callout.game.state import Game, Phase

LAST_TENTHS: Final = 100
"""From here to the horn nothing is said unasked."""


@dataclass(frozen=True, slots=True)
class Pending:
    """A notice that somebody must act on, until it is known that somebody did."""

    notice: Notice
    text: str
    entry: int
    """The journal entry it came of."""
    again_ms: int | None
    """When it is due again; None for one that is said only once, or often enough at this stop."""


def done(notice: Notice, entry: int, game: Game) -> bool:
    """Whether what a notice asks for has been done, as far as the book can tell.

    What came of an entry that was taken back is done with.
    """
    if game.phase is Phase.OVER or entry in game.taken_back:
        return True
    until = notice.kind.until
    return until is not None and until(notice.slots, entry, game)


def may_come(notice: Notice, game: Game, now_ms: int) -> bool:
    """Whether a notice may come again now: never in play, nor in the last seconds of a period.

    For what is told by the horn a dead ball is enough; with it the words name that condition.
    """
    last = game.clock.running and game.clock.left_at(now_ms) <= LAST_TENTHS
    if last or not game.phase.under_way:
        return False
    runs = game.phase is Phase.RUNNING
    if notice.kind.running:
        return runs
    return game.ball_dead and not (notice.kind.standing and runs)


def at_a_stop(entry: Entry, before: Game, after: Game) -> bool:
    """Whether the ball has now been whistled dead: the referee reports, and is not talked over."""
    dead = after.ball_dead and not before.ball_dead
    return dead and isinstance(entry.call, calls.StopClock | calls.DeadBall)
