"""Notices of corrections that come after their deadline."""

from __future__ import annotations

from typing import Final

from callout.game import calls, events
from callout.game.choices import Until
from callout.game.figures.deadlines import still_open
from callout.game.figures.score import entry_of, find, owed_to
from callout.game.fold import Entry
from callout.game.notices import kinds
from callout.game.notices.kinds import Notice
from callout.game.state import ITEMS_PER_ENTRY, Charge, Game, Goal, Phase

ENDINGS: Final = ("end_game", "forfeit")
"""Calls by which a game is over."""


def too_late(before: Game, entry: Entry) -> list[Notice]:
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
        ended = max(line.entry for line in before.lines if line.call in ENDINGS)
        return [Notice(kinds.AFTER_FINAL)] if wrong <= ended else []
    in_time = still_open(before, rules.book, wrong, left)
    return [] if in_time else [Notice(kinds.TOO_LATE_BOOK)]


def _lapsed(before: Game, entry: Entry) -> bool:
    """Whether a goal of the fouled team since then ends the right to its throws."""
    if not before.profile.corrections.goal_ends_throws:
        return False
    fouls = [(e.team, e.item) for e in entry.events if isinstance(e, events.ThrowsAwarded)]
    for event in entry.events:
        if isinstance(event, events.FreeThrow) and (foul := _late_throw(before, event)):
            fouls.append((event.team, foul.item))
    return any(
        goal.team is team and not goal.free_throw and goal.item > since
        for team, item in fouls
        if (since := _live_from(before, item)) is not None
        for goal in before.goals
    )


def _live_from(before: Game, foul: int) -> int | None:
    """The item from which the ball is live again after a foul; None while it is not.

    A goal of the same stop belongs to the foul, and does not count.
    """
    starts = (start.entry for start in before.starts if start.entry > entry_of(foul))
    first = next(starts, None)
    return None if first is None else first * ITEMS_PER_ENTRY


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
            case events.BasketCancelled():
                return entry_of(event.item)
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
    ended = any(line.entry == wrong and line.call in ENDINGS for line in before.lines)
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
