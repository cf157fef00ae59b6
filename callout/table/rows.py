"""A journal's rows: entries and what was said, to and from the columns of its tables."""

from __future__ import annotations

import json
from typing import Any, Final

from callout.game.calls import CALLS
from callout.game.events import EVENTS, Event
from callout.game.fold import Entry
from callout.game.state import At
from callout.game.urgency import Rank
from callout.table.reply import Said, Sort

ENTRY_COLUMNS: Final = 7
"""The columns of an entry, before its hashes."""


def write_json(value: object) -> str:
    """The value as compact JSON."""
    return json.dumps(value, ensure_ascii=False, separators=(",", ":"))


def dump_event(event: Event) -> dict[str, Any]:
    """The event as plain values, its name under `event`."""
    return {"event": EVENTS.name(event), **EVENTS.dump(event)}


def load_event(fields: dict[str, Any]) -> Event:
    """The event that `dump_event` wrote.

    Raises:
        CalloutError: no such event, or not with these fields.
        KeyError: its name is missing.
    """
    return EVENTS.load(fields["event"], {k: v for k, v in fields.items() if k != "event"})


def entry_row(entry: Entry) -> tuple[Any, ...]:
    """The columns of an entry."""
    return (
        entry.id,
        CALLS.name(entry.call),
        write_json(CALLS.dump(entry.call)),
        entry.source,
        entry.at.left_tenths,
        entry.at.wall_ms,
        write_json([dump_event(event) for event in entry.events]),
    )


def read_entry(row: tuple[Any, ...]) -> Entry:
    """The entry that `entry_row` wrote; hashes behind its columns are left alone.

    Raises:
        CalloutError, ValueError, TypeError, KeyError: the row is damaged.
    """
    number, call, fields, source, left_tenths, wall_ms, events = row[:ENTRY_COLUMNS]
    made = tuple(load_event(event) for event in json.loads(events))
    at = At(left_tenths, wall_ms)
    return Entry(number, CALLS.load(call, json.loads(fields)), source, at, made)


def said_row(said: Said) -> tuple[Any, ...]:
    """The columns of something said, but for its number."""
    return (
        said.entry,
        said.sort.value,
        said.kind,
        int(said.rank),
        said.rule,
        said.text,
        said.period,
        said.left_tenths,
        said.wall_ms,
    )


def read_said(row: tuple[Any, ...]) -> Said:
    """What `said_row` wrote, from a row that begins with its number.

    Raises:
        ValueError: the row is damaged.
    """
    _, entry, sort, kind, rank, rule, text, period, left_tenths, wall_ms = row
    at = (period, left_tenths, wall_ms)
    return Said(Sort(sort), kind, Rank(rank), rule, text, *at, entry)
