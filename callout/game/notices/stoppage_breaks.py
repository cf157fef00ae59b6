"""Notices of time-outs and substitutions that the rules do not allow now, or not any more."""

from __future__ import annotations

from collections.abc import Iterator

from callout.game import events
from callout.game.choices import After
from callout.game.figures.fouls import is_out
from callout.game.figures.opportunities import (
    sub_between_throws,
    sub_chance,
    throws_begun,
    timeout_chance,
    too_early,
    warned_already,
)
from callout.game.figures.score import entry_of, fresh_goal, goal_by, is_overtime
from callout.game.figures.timeouts import timeouts_left
from callout.game.notices import kinds
from callout.game.notices.kinds import Notice
from callout.game.state import Game, Owner, Phase
from callout.game.terms import Team

# --- substitutes ----------------------------------------------------------------------------


def changed_too_soon(before: Game, event: events.Substituted) -> Iterator[Notice]:
    """A player who left returns, or one who entered leaves, before the clock has run."""
    mine = [change for change in before.changes if change.team is event.team]
    back = event.entering in [change.leaving for change in mine]
    gone = event.leaving in [change.entering for change in mine]
    out = gone and is_out(before, event.team, event.leaving)
    if back or (gone and not out):
        number = event.entering if back else event.leaving
        slots = {"team": event.team, "number": number}
        yield Notice(kinds.SUB_TOO_SOON, slots)


def sub_not_now(before: Game, team: Team | None) -> Iterator[Notice]:
    """A substitution at a moment when the rules do not allow one."""
    between = throws_begun(before) and not sub_between_throws(before)
    by_goal = before.phase is Phase.STOPPED and fresh_goal(before) is not None
    denied = by_goal and not sub_chance(before, team, before.seen_tenths)
    if too_early(before) or between or denied or warned_already(before):
        yield Notice(kinds.SUB_NOT_NOW, {"team": team})


def other_than_the_line_up(before: Game, event: events.Substituted) -> Iterator[Notice]:
    """A player who leaves is not on court by the book, or one who enters is: a wrong number.

    The book knows who is on court only if all starters were named, and nobody came in without a
    number since.
    """
    team, starters = event.team, before.side(event.team).starters
    if len(starters) < before.profile.roster.on_court:
        return
    if any(line.call == "subs_in" for line in before.lines):
        return
    court = dict(before.on_court).get(team, starters)
    if event.leaving not in court:
        yield Notice(kinds.NOT_ON_COURT, {"team": team, "number": event.leaving})
    if event.entering in court:
        yield Notice(kinds.ON_COURT_ALREADY, {"team": team, "number": event.entering})


# --- time-outs ------------------------------------------------------------------------------


def timeout_not_now(before: Game, team: Team, left: int) -> Iterator[Notice]:
    """A time-out at a moment when the rules do not allow one."""
    if _has_its_time(before, team, left):
        return
    yield Notice(kinds.TIMEOUT_NOT_NOW, {"team": team})


def _has_its_time(before: Game, team: Team, left: int) -> bool:
    """Whether the rules allow a time-out now, as far as the table knows."""
    if before.phase is Phase.BEFORE:
        return before.profile.chances.before_first_clock
    if _between_live_balls(before):
        since = [line for line in before.timeouts if entry_of(line.item) > before.ended]
        return len(since) < before.profile.timeouts.in_interval
    scored = goal_by(before) is team and before.profile.chances.goal_timeout is After.CONCEDING
    stands = before.phase is Phase.STOPPED and before.owner is not Owner.NONE
    early = stands and before.period == 1 and not before.starts
    if scored or early or throws_begun(before):
        return timeout_chance(before, team, left)
    return True


def _between_live_balls(before: Game) -> bool:
    """Whether it is an interval, or an overtime whose clock has not run yet."""
    waits = is_overtime(before) and before.live_since <= before.ended
    return before.phase is Phase.INTERVAL or waits


def timeouts_spent(after: Game, team: Team, left_tenths: int) -> Iterator[Notice]:
    """A team's last time-out, or one more than it had."""
    left = timeouts_left(after, team, left_tenths)
    if left <= 0:
        kind = kinds.TIMEOUT_LAST if left == 0 else kinds.TIMEOUT_EXCESS
        yield Notice(kind, {"team": team})
