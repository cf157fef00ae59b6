"""Time-outs: how many a team has left, and how many it has lost by not taking them in time.

A profile gives allotments (so many in each half) and limits (at most so many from a moment on). A
time-out that a limit takes away is called struck.
"""

from __future__ import annotations

from callout.game.choices import Span
from callout.game.profile.profile import Profile
from callout.game.profile.sections import Allotment, Limit
from callout.game.state import Game, Phase, TimeoutLine
from callout.game.terms import Team


def timeouts_left(game: Game, team: Team, left_tenths: int) -> int:
    """Time-outs that a team may still take; negative if it took more than it had.

    `left_tenths` is what the clock shows now.
    """
    now = lending_period(game)
    # What the regular periods took away is not taken from an overtime that has its own alone.
    own = game.profile.is_overtime(now) and not _carried(game)
    struck = 0 if own else timeouts_struck(game, team, left_tenths)
    return _left_of_allotments(game, team, now) - struck


def _carried(game: Game) -> bool:
    """Whether an overtime lends what is left of the regular periods."""
    return any(allotment.carries for allotment in game.profile.timeouts.allotments)


def timeouts_of_kind(game: Game, team: Team, kind: str) -> int:
    """Time-outs of one kind that a team has left, before any limit."""
    return _left_of_allotments(game, team, lending_period(game), kind)


def lending_period(game: Game) -> int:
    """The period whose time-outs may be taken now: in an interval, those of the coming period.

    Before an overtime's clock has run its own time-out cannot be taken yet.
    Source: FIBA interpretation 18/19-20; NFHS 5-11 (read in an online copy) for overtime.
    """
    waits = game.phase.in_period and game.live_since <= game.ended
    if waits and game.profile.is_overtime(game.period):
        return game.period - 1
    ahead = game.phase is Phase.INTERVAL and game.period < game.profile.periods.count
    return max(1, game.period + ahead)


def timeouts_struck(game: Game, team: Team, left_tenths: int) -> int:
    """Time-outs that a team has lost because it did not take them before a limit began.

    In an overtime, and after the game, they are those of the regular periods.
    Source: FIBA interpretations 18/19-21 and 18/19-22.
    """
    rules, now, left = game.profile.timeouts, lending_period(game), left_tenths
    if game.phase is Phase.INTERVAL:
        left = game.profile.length_tenths(now) if now > game.period else 0
    if now < game.period:
        left = 0  # An overtime has begun and lends nothing yet: the period before it is over.
    if game.profile.is_overtime(now):
        now, left = game.profile.periods.count, 0
    struck = 0
    for limit in rules.limits:
        if _has_begun(limit, now, left):
            since = sum(
                _has_begun(limit, t.period, t.left_tenths) for t in _in_regular_periods(game, team)
            )
            struck += max(0, _left_of_allotments(game, team, now) + since - struck - limit.count)
    return struck


def timeouts_used(game: Game, team: Team) -> int:
    """Time-outs that a team has taken in the whole game."""
    return sum(line.team is team for line in game.timeouts)


def _left_of_allotments(game: Game, team: Team, now: int, kind: str | None = None) -> int:
    """What a team has left of its allotments in period `now`, before any limit."""
    kinds = [kind] if kind else list(game.profile.timeouts.kinds)
    return sum(_left_of_kind(game, team, name, now) for name in kinds)


def _in_regular_periods(game: Game, team: Team) -> list[TimeoutLine]:
    """The time-outs that a team took in the regular periods."""
    over = game.profile.is_overtime
    return [line for line in game.timeouts if line.team is team and not over(line.period)]


def _has_begun(limit: Limit, period: int, left_tenths: int) -> bool:
    if period != limit.period:
        return period > limit.period
    return not limit.last_s or left_tenths <= 10 * limit.last_s


def _left_of_kind(game: Game, team: Team, kind: str, now: int) -> int:
    profile = game.profile
    mine = [a for a in profile.timeouts.allotments if a.kind == kind]
    granted = sum(a.count * _spans_granted(profile, a, now) for a in mine)
    lines = _in_regular_periods(game, team)
    if profile.is_overtime(now):
        lines = [line for line in game.timeouts if line.team is team]
    used = sum(_is_charged(profile, mine, line, now) for line in lines)
    return granted - used


def _spans_granted(profile: Profile, allotment: Allotment, now: int) -> int:
    """The number of spans (periods, halves, …) whose allotment may be used in period `now`."""
    begun = [span for span in _spans(profile, allotment.per, now) if span[0] <= now]
    return len(begun) if allotment.carries else sum(last >= now for _, last in begun)


def _spans(profile: Profile, per: Span, now: int) -> list[tuple[int, int]]:
    """The spans of one sort in a game, each as its first and its last period."""
    count, half = profile.periods.count, profile.periods.half_after
    first, second = (1, half), (half + 1, count)
    return {
        Span.PERIOD: [(period, period) for period in range(1, count + 1)],
        Span.HALF: [first, second],
        Span.FIRST_HALF: [first],
        Span.SECOND_HALF: [second],
        Span.GAME: [(1, count)],
        Span.OVERTIME: [(period, period) for period in range(count + 1, now + 1)],
    }[per]


def _is_charged(profile: Profile, mine: list[Allotment], line: TimeoutLine, now: int) -> bool:
    """Whether a time-out taken earlier is charged to an allotment that may be used now."""
    if not mine or line.kind != mine[0].kind:
        return False
    if any(allotment.carries for allotment in mine):
        return True
    then = max(1, line.period)
    spans = [span for allotment in mine for span in _spans(profile, allotment.per, now)]
    return any(first <= then <= last and first <= now <= last for first, last in spans)
