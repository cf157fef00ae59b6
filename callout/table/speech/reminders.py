"""Pending notices in the announcer: added, repeated once a stop, removed when done; pure."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import replace

from callout.game.notices.kinds import Notice
from callout.table.speech.announcer import Announcer, Utterance
from callout.table.speech.pending_notices import Pending


def watch(announcer: Announcer, pending: Pending) -> Announcer:
    """Adds a notice; an older one that is equal to it is not repeated by itself any more.

    The older one stays, because the entry of the newer one may be undone.
    """
    others = tuple(
        replace(old, again_ms=None) if old.notice == pending.notice else old
        for old in announcer.pending
    )
    return replace(announcer, pending=(*others, pending))


def acknowledge(announcer: Announcer) -> Announcer | None:
    """Removes the pending notices of the newest entry; None if there are none."""
    if not announcer.pending:
        return None
    newest = announcer.pending[-1].entry
    told = [pending.notice for pending in announcer.pending if pending.entry == newest]
    return settle(announcer, lambda pending: pending.notice in told)


def settle(announcer: Announcer, done: Callable[[Pending], bool]) -> Announcer:
    """Removes every notice that is done, also from what waits to be said.

    What says several notices, one of which is done, is left without its words.
    """
    kept = tuple(p for p in announcer.pending if not done(p))
    left = [p.notice for p in kept]
    gone = [p.notice for p in announcer.pending if p.notice not in left]
    return replace(
        announcer,
        pending=kept,
        queue=_without(announcer.queue, gone),
        held=_without(announcer.held, gone),
    )


def _without(utterances: Iterable[Utterance], gone: Sequence[Notice]) -> tuple[Utterance, ...]:
    found: list[Utterance] = []
    for each in utterances:
        rest = [notice for notice in each.notices if notice not in gone]
        if len(rest) == len(each.notices):
            found.append(each)
        elif rest:
            found.append(replace(each, text="", of=rest[0], also=tuple(rest[1:])))
    return tuple(found)


def waits(announcer: Announcer, notice: Notice) -> bool:
    """Whether a notice is still to be said."""
    return any(notice in one.notices for one in (*announcer.queue, *announcer.held))


def remind(announcer: Announcer, which: Callable[[Pending], bool], at_ms: int) -> Announcer:
    """Sets those notices to be repeated at that moment: after the report at a stop."""
    later = tuple(
        replace(p, again_ms=at_ms) if p.notice.kind.again and which(p) else p
        for p in announcer.pending
    )
    return replace(announcer, pending=later)


def due_again(
    announcer: Announcer, now_ms: int, which: Callable[[Pending], bool]
) -> tuple[Announcer, tuple[Pending, ...]]:
    """The notices to repeat now, and the announcer that does not repeat them again at this stop.

    Each is repeated once at the stop at which it was said, and once at each later stop.
    """
    due: list[Pending] = []
    for p in announcer.pending:
        ripe = p.again_ms is not None and p.again_ms <= now_ms and which(p)
        if ripe and p.notice not in [other.notice for other in due]:
            due.append(p)
    said = [p.notice for p in due]
    later = (replace(p, again_ms=None) if p.notice in said else p for p in announcer.pending)
    return replace(announcer, pending=tuple(later)), tuple(due)
