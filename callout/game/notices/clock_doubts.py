"""Where the clock contradicts what was called: it runs at a whistle, or stands while play goes on.

Whoever keeps book and clock alone forgets one of them. That is said only of a clock that this table
keeps: a copy of the gym's clock is compared by `clock check`.
"""

from __future__ import annotations

from typing import Final

from callout.game import events
from callout.game.figures.running_clock import clock_runs_on, goal_stops_clock
from callout.game.fold import Entry
from callout.game.notices import kinds
from callout.game.notices.kinds import Notice
from callout.game.state import Game, Owner, Phase
from callout.game.terms import Moment

LATE_MS: Final = 15_000
"""A basket called within this time after a whistle may have been made before it.

An official gives the table a foul's number within some ten seconds of the whistle, and a scorer
looks for a shirt no longer than that (common practice, no source).
"""

WHISTLES: Final = frozenset({
    "stop_clock", "dead_ball", "foul", "double_foul", "award", "shot", "timeout",
    "official_timeout", "timeout_over", "set_clock", "adjust_clock", "start_period",
})  # fmt: skip
"""Calls that show that play has not yet gone on."""


def clock_doubts(before: Game, entry: Entry, after: Game) -> list[Notice]:
    """A clock that must be stopped or started, as far as this entry shows."""
    found = _goal_stops(before, entry, after)
    timed = after.profile.length_tenths(after.period) > 0
    if after.owner is Owner.OURS and timed:
        found += [*_runs_at_a_whistle(entry, after), *_stands_in_play(before, entry, after)]
    return found


def _goal_stops(before: Game, entry: Entry, after: Game) -> list[Notice]:
    """A field goal for which the rules stop a clock that still runs."""
    running = before.phase is Phase.RUNNING and not before.ball_dead
    stops = running and _scored(entry) and goal_stops_clock(after, after.goals[-1])
    return [Notice(kinds.CLOCK_STOPS)] if stops else []


def _runs_at_a_whistle(entry: Entry, after: Game) -> list[Notice]:
    """A foul or a held ball while the clock runs, where whistles stop it."""
    whistle = events.FoulCharged | events.BallHeld
    blown = any(isinstance(event, whistle) for event in entry.events)
    runs = after.phase is Phase.RUNNING and not clock_runs_on(after, entry.at.left_tenths)
    return [Notice(kinds.CLOCK_IS_RUNNING)] if blown and runs else []


def _stands_in_play(before: Game, entry: Entry, after: Game) -> list[Notice]:
    """A basket or a held ball while the clock stands, although play must have gone on."""
    held = any(isinstance(event, events.BallHeld) for event in entry.events)
    if not (held or _scored(entry)) or not _stands(before):
        return []
    full = after.clock.left_tenths == after.profile.length_tenths(after.period)
    # A missed last throw leaves the ball live, and nobody scores before a period has begun.
    played = not before.ball_dead or (full and not held)
    late = not before.owed and _since_whistle_ms(before, entry) > LATE_MS
    return [Notice(kinds.CLOCK_IS_STOPPED)] if played or late else []


def _stands(game: Game) -> bool:
    """Whether the clock stands in a period, and no time-out has time left."""
    over = game.phase is Phase.TIMEOUT and Moment.TIMEOUT_END.value in game.reminded
    return game.phase is Phase.STOPPED or over


def _since_whistle_ms(before: Game, entry: Entry) -> int:
    """How long ago the newest call was made that belongs to the time in which the clock stands."""
    made = [
        line.wall_ms
        for line in before.lines
        if line.entry > before.live_since and line.call in WHISTLES
    ]
    return entry.at.wall_ms - made[-1] if made else 0


def _scored(entry: Entry) -> bool:
    return any(isinstance(event, events.Scored) for event in entry.events)
