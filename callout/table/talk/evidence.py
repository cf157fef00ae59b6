"""What the table knows of its entries beside the book: what else a sound may have been, and when
something was called and nothing booked. It is kept among the replies, and so outlives a restart;
pure.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import Final

from callout.errors import CalloutError
from callout.game.calls import CALLS
from callout.game.fold import Entry
from callout.game.kind import Rank
from callout.table.book.rows import load_json, write_json
from callout.table.speech.kinds import UNHEARD
from callout.table.speech.reply import Said, Sort
from callout.table.talk.question_kinds import ANOTHER, ANOTHER_FOUL, SHIRT, TEAM, WHICH
from callout.table.talk.questions import Readings
from callout.table.talk.suspicion import Evidence

HEARD_TOO: Final = "heard_too"
"""The name under which the other readings of an entry's sound are kept. They are never said."""

MOST_READINGS: Final = 4
"""The most readings that are kept of each sound."""

LEAST_SHARE: Final = 0.001
"""A reading with a smaller share is not kept."""

NOTHING_BOOKED: Final = frozenset(
    {UNHEARD, *(each.kept for each in (WHICH, SHIRT, ANOTHER, ANOTHER_FOUL, TEAM))}
)
"""What is said where something was called and nothing was booked."""


def heard_too(others: Readings, entry: Entry, period: int) -> tuple[Said, ...]:
    """The other readings of the sound of an entry, to be kept; none where there are none."""
    likely = sorted(others, key=lambda reading: -reading[1])[:MOST_READINGS]
    readings = [
        {"call": CALLS.name(call), "fields": CALLS.dump(call), "share": round(share, 4)}
        for call, share in likely
        if share >= LEAST_SHARE and call != entry.call
    ]
    if not readings:
        return ()
    text = write_json({"entry": entry.id, "readings": readings})
    at = (period, entry.at.left_tenths, entry.at.wall_ms)
    return (Said(Sort.NOTICE, HEARD_TOO, Rank.ECHO, "", text, *at),)


def evidence_in(replies: Iterable[Said]) -> Evidence:
    """What was kept of it."""
    readings: dict[int, Readings] = {}
    unbooked: list[tuple[int, int, int]] = []
    for said in replies:
        if said.kind == HEARD_TOO:
            readings.update(_read(said.text))
        elif said.kind in NOTHING_BOOKED and said.entry is None:
            unbooked.append((said.period, said.left_tenths, said.wall_ms))
    return Evidence(readings, tuple(unbooked))


def _read(text: str) -> Iterator[tuple[int, Readings]]:
    """The readings in one reply; none of one that is damaged: it only weakens a guess."""
    try:
        kept = load_json(text)
        calls = [(CALLS.load(r["call"], r["fields"]), float(r["share"])) for r in kept["readings"]]
        yield int(kept["entry"]), tuple(calls)
    except (CalloutError, ValueError, TypeError, KeyError):
        return
