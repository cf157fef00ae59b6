"""Notices that somebody must act on: when each is done, and when it may be repeated."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from callout.game import calls
from callout.game.fold import Entry
from callout.game.notices.after_entry import Notice
from callout.game.state import Game, Phase

LAST_TENTHS: Final = 100
"""Clock time below which nothing is repeated, up to the horn: 10 s."""


@dataclass(frozen=True, slots=True)
class Pending:
    """A notice that somebody must act on, kept until the table knows that it was done."""

    notice: Notice
    text: str
    entry: int
    """The journal entry that caused it."""
    again_ms: int | None
    """When it is repeated; None for one that is said once, or was repeated at this stop."""


def done(notice: Notice, entry: int, game: Game) -> bool:
    """Whether what a notice asks for has been done, as far as the book shows.

    A notice of an entry that was undone counts as done.
    """
    if game.phase is Phase.OVER or entry in game.taken_back:
        return True
    until = notice.kind.until
    return until is not None and until(notice.slots, entry, game)


def may_come(notice: Notice, game: Game, now_ms: int) -> bool:
    """Whether a notice may be repeated now: not in play, nor in the last seconds of a period.

    For a notice with the horn a dead ball is enough, and its words name that condition.
    """
    last = game.clock.running and game.clock.left_at(now_ms) <= LAST_TENTHS
    if last or not game.phase.under_way:
        return False
    runs = game.phase is Phase.RUNNING
    if notice.kind.running:
        return runs
    return game.ball_dead and not (notice.kind.standing and runs)


def at_a_stop(entry: Entry, before: Game, after: Game) -> bool:
    """Whether this entry is the whistle, after which the referee reports to the table."""
    dead = after.ball_dead and not before.ball_dead
    return dead and isinstance(entry.call, calls.StopClock | calls.DeadBall)
