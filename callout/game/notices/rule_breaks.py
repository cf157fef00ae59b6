"""Notices of calls that the rules forbid: they are booked, and the table says so with the rule."""

from __future__ import annotations

from collections.abc import Iterator

from callout.game import calls, events
from callout.game.choices import After, Until
from callout.game.events import Event
from callout.game.figures.deadlines import still_open
from callout.game.figures.fouls import is_out
from callout.game.figures.opportunities import (
    sub_between_throws,
    sub_chance,
    throws_begun,
    timeout_chance,
    too_early,
    warned_already,
)
from callout.game.figures.score import (
    both_scores,
    entry_of,
    find,
    fresh_goal,
    goal_by,
    illegal_numbers,
    is_overtime,
    owed_to,
)
from callout.game.figures.timeouts import timeouts_left
from callout.game.fold import Entry
from callout.game.notices import kinds
from callout.game.notices.kinds import Notice
from callout.game.state import ITEMS_PER_ENTRY, Charge, Game, Goal, Phase
from callout.game.terms import Award, Offender, Team


def against_the_rules(before: Game, entry: Entry, after: Game) -> list[Notice]:
    """A notice for everything in the entry that the rules forbid."""
    found = [notice for event in entry.events for notice in _of_event(before, event, after, entry)]
    found += _too_late(before, entry)
    new_misfits = len(after.misfits) > len(before.misfits)
    return [*found, *([Notice(kinds.MISFIT)] if new_misfits else [])]


def _of_event(before: Game, event: Event, after: Game, entry: Entry) -> Iterator[Notice]:
    left = entry.at.left_tenths
    match event:
        case events.FoulCharged() | events.Scored() | events.FreeThrow():
            yield from _by_someone_out(before, event.team, event.number)
            yield from _illegal_shirt(before, event.team, event.number or event.said)
        case events.Substituted():
            yield from _by_someone_out(before, event.team, event.entering)
            yield from _changed_too_soon(before, event)
            yield from _sub_not_now(before, event.team)
            yield from _too_many(after, event.team)
        case events.SubsEntered():
            yield from _sub_not_now(before, next(iter(before.subs_waiting)))
        case events.NumberGiven():
            line = find(after, event.item)
            if isinstance(line, Goal | Charge):
                yield from _by_someone_out(before, line.team, line.number)
        case events.Replaced(item=int() as item):
            lines = find(before, item), find(after, item)
            was, now = (x if isinstance(x, Goal | Charge) else None for x in lines)
            if was and now and (was.team, was.number) != (now.team, now.number):
                yield from _by_someone_out(before, now.team, now.number)
        case events.TimeoutGranted(team=Team() as team):
            yield from _timeout_not_now(before, team, left)
            yield from _timeouts_spent(after, team, left)
        case events.PlayerAdded():
            yield from _late_name(before, after, event)
        case events.StarterNamed():
            if len(after.side(event.team).starters) > after.profile.roster.on_court:
                yield Notice(kinds.TOO_MANY, {"team": event.team})
        case events.PeriodStarted():
            yield from _unlevel(after)
        case events.ArrowSet():
            yield from _wrong_arrow(before, event, entry)
        case _:
            pass


def _by_someone_out(before: Game, team: Team, number: str | None) -> Iterator[Notice]:
    if number is not None and is_out(before, team, number):
        slots = {"team": team, "number": number}
        yield Notice(kinds.PLAYS_THOUGH_OUT, slots)


def _illegal_shirt(before: Game, team: Team, number: str | None) -> Iterator[Notice]:
    """A number that no player may wear, announced the first time that it is called.

    Listed numbers are announced before the game. Source: NFHS 3.4.3B: such a number may be seen
    for the first time in play.
    """
    if number is None or number in before.side(team).numbers:
        return
    lines: list[Goal | Charge] = [*before.goals, *before.charges]
    seen = any(line.team is team and number in (line.number, line.said) for line in lines)
    if not seen and illegal_numbers(before.profile, (number,)):
        slots = {"team": team, "number": number}
        yield Notice(kinds.NUMBER_ILLEGAL, slots)


# --- substitutes ----------------------------------------------------------------------------


def _changed_too_soon(before: Game, event: events.Substituted) -> Iterator[Notice]:
    """A player who left returns, or one who entered leaves, before the clock has run."""
    mine = [change for change in before.changes if change.team is event.team]
    back = event.entering in [change.leaving for change in mine]
    gone = event.leaving in [change.entering for change in mine]
    out = gone and is_out(before, event.team, event.leaving)
    if back or (gone and not out):
        number = event.entering if back else event.leaving
        slots = {"team": event.team, "number": number}
        yield Notice(kinds.SUB_TOO_SOON, slots)


def _sub_not_now(before: Game, team: Team | None) -> Iterator[Notice]:
    """A substitution at a moment when the rules do not allow one."""
    between = throws_begun(before) and not sub_between_throws(before)
    by_goal = before.phase is Phase.STOPPED and fresh_goal(before) is not None
    denied = by_goal and not sub_chance(before, team, before.seen_tenths)
    if too_early(before) or between or denied or warned_already(before):
        yield Notice(kinds.SUB_NOT_NOW, {"team": team})


def _too_many(after: Game, team: Team) -> Iterator[Notice]:
    court = dict(after.on_court).get(team, ())
    if len(court) > after.profile.roster.on_court:
        yield Notice(kinds.TOO_MANY, {"team": team})


# --- time-outs ------------------------------------------------------------------------------


def _timeout_not_now(before: Game, team: Team, left: int) -> Iterator[Notice]:
    if _has_its_time(before, team, left):
        return
    yield Notice(kinds.TIMEOUT_NOT_NOW, {"team": team})


def _has_its_time(before: Game, team: Team, left: int) -> bool:
    """Whether the rules allow a time-out now, as far as the table knows."""
    if before.phase is Phase.INTERVAL:
        since = [line for line in before.timeouts if entry_of(line.item) > before.ended]
        return len(since) < before.profile.timeouts.in_interval
    scored = goal_by(before) is team and before.profile.chances.goal_timeout is After.CONCEDING
    early = before.phase is Phase.STOPPED and before.period == 1 and not before.starts
    if scored or early or throws_begun(before):
        return timeout_chance(before, team, left)
    return True


def _timeouts_spent(after: Game, team: Team, left_tenths: int) -> Iterator[Notice]:
    left = timeouts_left(after, team, left_tenths)
    if left <= 0:
        kind = kinds.TIMEOUT_LAST if left == 0 else kinds.TIMEOUT_EXCESS
        yield Notice(kind, {"team": team})


# --- lists and periods ------------------------------------------------------------------------


def _late_name(before: Game, after: Game, event: events.PlayerAdded) -> Iterator[Notice]:
    slots = {"team": event.team, "number": event.number}
    rules = after.profile.roster
    if after.phase is not Phase.BEFORE and not rules.late_names:
        yield Notice(kinds.ROSTER_CLOSED, slots)
    elif after.phase is not Phase.BEFORE:
        # One technical foul a team for all errors in its list (NFHS 3-2).
        charged = any((c.team, c.on) == (event.team, Offender.TEAM) for c in before.charges)
        told = charged or before.side(event.team).late or rules.late_award is Award.NONE
        award = None if told else rules.late_award
        yield Notice(kinds.ROSTER_LATE, {**slots, "award": award})
    if event.number in illegal_numbers(after.profile, after.side(event.team).numbers):
        yield Notice(kinds.NUMBER_ILLEGAL, slots)


def _unlevel(after: Game) -> Iterator[Notice]:
    home, guest = both_scores(after)
    if is_overtime(after) and home != guest:
        yield Notice(kinds.NOT_LEVEL, {"home": home, "guest": guest})


def _wrong_arrow(before: Game, event: events.ArrowSet, entry: Entry) -> Iterator[Notice]:
    """The officials point the arrow the other way than the book."""
    if isinstance(entry.call, calls.SetArrow) and before.arrow is event.team.other:
        slots = {"team": event.team, "was": before.arrow}
        yield Notice(kinds.ARROW_AGAINST, slots)


# --- corrections ------------------------------------------------------------------------------


def _too_late(before: Game, entry: Entry) -> list[Notice]:
    """A correction that comes after its deadline."""
    wrong = _wrong_entry(before, entry)
    if wrong is None:
        return []
    rules, left = before.profile.corrections, entry.at.left_tenths
    if _about_throws(before, entry, wrong):
        in_time = still_open(before, rules.throws, wrong, left) and not _lapsed(before, entry)
        return [] if in_time else [Notice(kinds.TOO_LATE_THROWS)]
    if rules.book is Until.FINAL and before.phase is Phase.OVER:
        # The deadline is when the officials leave or sign, which the table does not know. Entries
        # made after the end are the table's own slips, and may be corrected.
        ended = max(line.entry for line in before.lines if line.call == "end_game")
        return [Notice(kinds.AFTER_FINAL)] if wrong <= ended else []
    in_time = still_open(before, rules.book, wrong, left)
    return [] if in_time else [Notice(kinds.TOO_LATE_BOOK)]


def _lapsed(before: Game, entry: Entry) -> bool:
    """Whether a goal of the fouled team since then ends the right to its throws."""
    if not before.profile.corrections.goal_ends_throws:
        return False
    awards = [(e.team, e.item) for e in entry.events if isinstance(e, events.ThrowsAwarded)]
    for event in entry.events:
        if isinstance(event, events.FreeThrow) and (foul := _late_throw(before, event)):
            # A goal of the same stop belongs to the foul and does not count.
            since = next(s.entry for s in before.starts if s.entry > entry_of(foul.item))
            awards.append((event.team, since * ITEMS_PER_ENTRY))
    return any(
        goal.team is team and not goal.free_throw and goal.item > item
        for team, item in awards
        for goal in before.goals
    )


def _late_throw(before: Game, event: events.FreeThrow) -> Charge | None:
    """The foul of a throw that is booked after the clock has run, when it is not owed any more.

    None for further throws of that foul in the same stop: the first was announced.
    """
    fouls = [charge for charge in before.charges if charge.team is event.team.other]
    newest = max(fouls, key=lambda charge: charge.item, default=None)
    if newest is None or owed_to(before, event.team):
        return None
    known = [g for g in before.goals if g.free_throw and g.team is event.team]
    if entry_of(max([newest.item, *(g.item for g in known)])) > before.live_since:
        return None
    return newest


def _wrong_entry(before: Game, entry: Entry) -> int | None:
    """The entry that the call corrects; None where it corrects none."""
    for event in entry.events:
        match event:
            case events.TakenBack(entry=wrong) | events.PutBackIn(entry=wrong):
                return None if _ends(before, wrong) else wrong
            case events.Replaced(entry=wrong, item=int()):
                return wrong
            case events.ThrowsAwarded() | events.TeamChanged() | events.PointsChanged():
                # The throws of a foul of this very entry correct nothing.
                old = find(before, event.item)
                return entry_of(event.item) if old else None
            case events.NumberGiven():
                line = find(before, event.item)
                new = isinstance(line, Goal | Charge) and line.number is None
                return None if new else entry_of(event.item)
            case events.ScoreSet():
                # The error lies in the newest goal, or before it.
                if before.phase is not Phase.OVER:
                    return before.entry
                return entry_of(before.goals[-1].item) if before.goals else 0
            case events.FreeThrow():
                foul = _late_throw(before, event)
                return entry_of(foul.item) if foul else None
            case _:
                pass
    return None


def _ends(before: Game, wrong: int) -> bool:
    """Whether an entry only began or ended a period, or ended the game.

    No rule sets a deadline for undoing such a slip of the table.
    """
    ended = any(line.entry == wrong and line.call == "end_game" for line in before.lines)
    return ended or wrong in before.turns


def _about_throws(before: Game, entry: Entry, wrong: int) -> bool:
    """Whether the correction is about free throws: awarded, withheld, or by the wrong player.

    A throw that was taken as it should and written down wrongly is a slip of the book.
    """
    if isinstance(entry.call, calls.Correct):
        return False
    if isinstance(entry.call, calls.SetAward | calls.Shot | calls.Score):
        return True
    throws = [goal for goal in before.goals if goal.free_throw]
    return any(entry_of(goal.item) == wrong for goal in throws)
