"""Notices of calls that the rules forbid: they are booked, and the table says so with the rule."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from callout.game import calls, events
from callout.game.choices import Opening
from callout.game.events import Event
from callout.game.figures.fouls import is_ejected, is_out
from callout.game.figures.score import (
    entry_of,
    find,
    is_level,
    is_overtime,
    period_slots,
    score_slots,
)
from callout.game.fold import Entry
from callout.game.notices import kinds
from callout.game.notices.kinds import Notice
from callout.game.notices.late_corrections import too_late
from callout.game.notices.list_breaks import illegal_shirt, late_name, new_shirt, unlisted
from callout.game.notices.stoppage_breaks import (
    changed_too_soon,
    other_than_the_line_up,
    sub_not_now,
    timeout_not_now,
    timeouts_spent,
)
from callout.game.state import Charge, Game, Goal, Phase, TimeoutLine
from callout.game.terms import Team

LATE_MS: Final = 10_000
"""A goal called this long after the horn was probably not made before it.

Source: common practice, no source.
"""


def against_the_rules(before: Game, entry: Entry, after: Game) -> list[Notice]:
    """A notice for everything in the entry that the rules forbid."""
    found = [notice for event in entry.events for notice in _of_event(before, event, after, entry)]
    found += too_late(before, entry)
    new_misfits = len(after.misfits) > len(before.misfits)
    return [*found, *([Notice(kinds.MISFIT)] if new_misfits else [])]


def _of_event(before: Game, event: Event, after: Game, entry: Entry) -> Iterator[Notice]:
    left = entry.at.left_tenths
    match event:
        case events.FoulCharged() | events.Scored() | events.FreeThrow():
            yield from _by_someone_out(before, after, event.team, event.number)
            yield from _between_periods(before, event, after, entry)
            yield from illegal_shirt(before, event.team, event.number or event.said)
        case events.Substituted():
            yield from unlisted(before, event.team, event.entering, event.leaving)
            yield from _by_someone_out(before, after, event.team, event.entering)
            yield from changed_too_soon(before, event)
            yield from sub_not_now(before, event.team)
            yield from other_than_the_line_up(before, event)
        case events.SubsEntered():
            yield from sub_not_now(before, next(iter(before.subs_waiting)))
        case events.NumberGiven():
            line = find(after, event.item)
            if isinstance(line, Goal | Charge):
                yield from _by_someone_out(before, after, line.team, line.number)
        case events.Replaced(item=int() as item):
            lines = find(before, item), find(after, item)
            was, now = (x if isinstance(x, Goal | Charge) else None for x in lines)
            if was and now and (was.team, was.number) != (now.team, now.number):
                yield from _by_someone_out(before, after, now.team, now.number)
        case events.TimeoutGranted(team=Team() as team):
            yield from _between_periods(before, event, after, entry)
            yield from timeout_not_now(before, team, left)
            yield from timeouts_spent(after, team, left)
        case events.PlayerAdded():
            yield from late_name(before, after, event)
        case events.StarterNamed():
            yield from unlisted(before, event.team, event.number)
            if len(after.side(event.team).starters) > after.profile.roster.on_court:
                yield Notice(kinds.TOO_MANY, {"team": event.team})
        case events.PutBackIn():
            most = after.profile.roster.on_court
            for team in Team:
                if len(after.side(team).starters) > max(most, len(before.side(team).starters)):
                    yield Notice(kinds.TOO_MANY, {"team": team})
        case events.DelayWarned() if event.team in before.delays:
            yield Notice(kinds.DELAY_AGAIN, {"team": event.team})
        case events.ShirtChanged():
            yield from new_shirt(before, after, event)
        case events.PeriodStarted():
            yield from _unlevel(before, after)
        case events.ArrowSet():
            yield from _wrong_arrow(before, event, after, entry)
        case _:
            pass


def _by_someone_out(before: Game, after: Game, team: Team, number: str | None) -> Iterator[Notice]:
    """A player who was out before; who is ejected by this very entry is told as that alone."""
    if number is None or not is_out(before, team, number):
        return
    if is_ejected(before, team, number) or not is_ejected(after, team, number):
        slots = {"team": team, "number": number}
        yield Notice(kinds.PLAYS_THOUGH_OUT, slots)


def _between_periods(
    before: Game,
    event: events.FoulCharged | events.Scored | events.FreeThrow | events.TimeoutGranted,
    after: Game,
    entry: Entry,
) -> Iterator[Notice]:
    """The first goal or time-out while no period is played: the scorer may have forgotten to start
    the clock. It is said where the book counts it.
    """
    match event:
        case events.Scored() if before.phase is Phase.INTERVAL:
            odd = entry.at.wall_ms - (before.interval_since_ms or 0) > LATE_MS
        case events.Scored() | events.TimeoutGranted():
            odd = before.phase is Phase.BEFORE
        case events.FreeThrow():
            odd = before.phase is Phase.BEFORE and not before.owed
        case _:
            odd = False
    lines: list[Goal | TimeoutLine] = [*before.goals, *before.timeouts]
    if odd and not any(entry_of(line.item) > before.ended for line in lines):
        yield Notice(kinds.NOT_PLAYING, period_slots(after, event.period))


# --- periods and the arrow ------------------------------------------------------------------------


def _unlevel(before: Game, after: Game) -> Iterator[Notice]:
    if is_overtime(after) and not is_level(before):
        yield Notice(kinds.NOT_LEVEL, score_slots(after))


def _wrong_arrow(
    before: Game, event: events.ArrowSet, after: Game, entry: Entry
) -> Iterator[Notice]:
    """The officials point the arrow the other way than the book, or a toss was called that would
    turn it in a period that begins with none.
    """
    toss = isinstance(entry.call, calls.Tip)
    if toss and after.profile.opening(max(1, after.period)) is Opening.JUMP:
        return
    set_so = toss or isinstance(entry.call, calls.SetArrow)
    if set_so and before.arrow is event.team.other:
        slots = {"team": event.team, "was": before.arrow}
        yield Notice(kinds.ARROW_AGAINST, slots)
