"""Calls that the clock makes by itself, and when; the session sets its timer by them."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass
from typing import Final

from callout.game.calls import BeforeDue, Call, ClockExpired, Reminder, SwitchArrow
from callout.game.figures import checklist
from callout.game.figures.replacing import replace_by_ms
from callout.game.figures.running_clock import clock_runs_on, ends_a_half, mercy
from callout.game.figures.score import is_decided, periods_to_come
from callout.game.pregame_lines import moment_name
from callout.game.profile.before import Look
from callout.game.state import Game, Owner, Phase
from callout.game.terms import Moment

THROWN_IN_MS: Final = 15_000
"""How long after a held ball the throw-in has ended, where the clock runs on.

Five seconds of it are the thrower's (FIBA 17.3.1, NFHS 9-2, from memory); that the official takes
no more than ten before is common practice, no source.
"""


@dataclass(frozen=True, slots=True)
class Due:
    """A call that the clock will make."""

    wall_ms: int
    """When, by the machine's clock.

    Units: milliseconds since 1970.
    """
    call: Call


def due(game: Game) -> tuple[Due, ...]:
    """Everything that falls due if nobody calls anything, the earliest first."""
    if game.approval:
        return ()
    found = [*_expiry(game), *_timeout(game), *_interval(game), *_replacing(game), *_before(game)]
    found += _throw_in(game)
    return tuple(sorted(found, key=lambda each: each.wall_ms))


def _expiry(game: Game) -> list[Due]:
    since = game.clock.since_ms
    timed = game.profile.length_tenths(max(1, game.period)) > 0
    if since is None or not timed or game.owner is not Owner.OURS:
        return []
    return [Due(since + 100 * game.clock.left_tenths, ClockExpired()), *_marks(game, since)]


def _marks(game: Game, since_ms: int) -> list[Due]:
    """The moments in a period from which the clock stops on whistles, stops on goals, or runs on
    because of a lead.
    """
    left, rules, marks = game.clock.left_tenths, game.profile.clock, []
    if rules.runs_on and ends_a_half(game):
        large = mercy(game, left)
        marks.append((10 * rules.stops_last_s, Moment.CLOCK_RUNS if large else Moment.CLOCK_STOPS))
    marks.append((game.profile.goal_stops_tenths(game.period), Moment.GOALS_STOP))
    for step in rules.mercy:
        if step.from_period == game.period:
            marks.append((10 * step.below_s - 1, Moment.CLOCK_RUNS))
    moments = [(since_ms + 100 * (left - mark), of) for mark, of in marks if left > mark > 0]
    return _reminders(game, moments)


def _throw_in(game: Game) -> list[Due]:
    """The turn of the arrow after a held ball, where no start of the clock will show it."""
    held = next((line for line in reversed(game.lines) if line.call == "held_ball"), None)
    played_on = game.phase is Phase.RUNNING and game.throw_in and game.arrow
    if held is None or not played_on or not clock_runs_on(game, held.left_tenths):
        return []
    ends = held.wall_ms + THROWN_IN_MS
    # A turn that a person has taken back since is not made again.
    return [Due(ends, SwitchArrow())] if ends >= game.lines[-1].wall_ms else []


def _timeout(game: Game) -> list[Due]:
    line = game.timeouts[-1] if game.timeouts else None
    if game.phase is not Phase.TIMEOUT or line is None or not line.kind:
        return []
    kind = game.profile.timeouts.kinds[line.kind]
    ends = line.wall_ms + 1000 * kind.length_s
    warnings = [(ends - 1000 * before, Moment.TIMEOUT_WARNING) for before in kind.warnings_s]
    return _reminders(game, [*warnings, (ends, Moment.TIMEOUT_END)])


def _replacing(game: Game) -> list[Due]:
    ends = replace_by_ms(game)
    return [] if ends is None else _reminders(game, [(ends, Moment.REPLACE_END)])


def _interval(game: Game) -> list[Due]:
    """The warnings and the end of an interval; none once a team has won.

    A correction may make the score level long after the last period: what lay before it is past.
    """
    since = game.interval_since_ms
    if game.phase is not Phase.INTERVAL or since is None or is_decided(game):
        return []
    ends = since + 1000 * interval_s(game)
    warnings = [
        (ends - 1000 * before, Moment.INTERVAL_WARNING) for before in interval_warnings_s(game)
    ]
    found = _reminders(game, [*warnings, (ends, Moment.INTERVAL_END)])
    newest_ms = 0 if periods_to_come(game) or not game.lines else game.lines[-1].wall_ms
    ahead = [each for each in found if each.wall_ms >= newest_ms]
    # Warnings are counted, so that none of them can be left out alone.
    ends_alone = [each for each in ahead if each.call == Reminder(Moment.INTERVAL_END)]
    return found if ahead == found else ends_alone


def _before(game: Game) -> list[Due]:
    """The warnings before the first period, its start, and the deadlines of what is not done.

    What lay before the newest entry is past: it was announced then, or nobody knew the start yet,
    or it was done at that time.
    """
    tip = game.tip_ms
    if game.phase is not Phase.BEFORE or tip is None:
        return []
    before, now_ms = game.profile.before, game.lines[-1].wall_ms if game.lines else 0
    found = [(tip, BeforeDue(Moment.INTERVAL_END))]
    for left_s in before.warnings_s:
        found.append((tip - 1000 * left_s, BeforeDue(Moment.INTERVAL_WARNING, None, left_s)))
    for item in before.order:
        due_s = checklist.due_s(game.profile, item)
        if due_s and not checklist.is_met(game, item):
            found.append((tip - 1000 * due_s, BeforeDue(Moment.ITEM_DUE, item)))
            if checklist.look_of(game.profile, item) is not Look.ARRIVAL:
                soon_ms = tip - 1000 * (due_s + before.soon_s)
                found.append((soon_ms, BeforeDue(Moment.ITEM_SOON, item)))
    untold = (each for each in found if moment_name(each[1]) not in game.reminded)
    return [Due(wall_ms, call) for wall_ms, call in untold if wall_ms >= now_ms]


def _reminders(game: Game, moments: list[tuple[int, Moment]]) -> list[Due]:
    """The moments not yet announced; those of one kind are announced in their order."""
    told = Counter(game.reminded)
    found = []
    for wall_ms, moment in sorted(moments, key=lambda pair: pair[0]):
        if told[moment.value]:
            told[moment.value] -= 1
        else:
            found.append(Due(wall_ms, Reminder(moment)))
    return found


def interval_warnings_s(game: Game) -> tuple[int, ...]:
    """How long before the end of the present interval it is announced, the longest time first.

    Units: seconds.
    """
    periods = game.profile.periods
    half = game.period == periods.half_after < periods.count
    warns = periods.half_warnings_s if half else periods.break_warnings_s
    return tuple(sorted(warns, reverse=True))


def interval_s(game: Game) -> int:
    """How long the interval after the present period lasts.

    Units: seconds.
    """
    periods = game.profile.periods
    if game.period >= periods.count:
        return periods.overtime_break_s
    return periods.half_time_s if game.period == periods.half_after else periods.break_s
