"""Entries and replies to rows of the journal's tables, and back."""

from __future__ import annotations

import json
from typing import Any, Final

from callout.errors import CalloutError, JournalError
from callout.game.calls import CALLS
from callout.game.events import EVENTS, Event
from callout.game.fold import Entry
from callout.game.kind import Rank
from callout.game.state import At
from callout.table.speech.reply import Said, Sort

ENTRY_COLUMNS: Final = 7
"""The columns of an entry that stand before its hashes."""

MOST_ENTRIES: Final = 1_000_000
"""The highest number of an entry. No game comes near it: a file with a higher number was made to
keep its reader busy."""


def write_json(value: object) -> str:
    """The value as JSON without spaces."""
    return json.dumps(value, ensure_ascii=False, separators=(",", ":"))


def read_json(text: object) -> Any:
    """The value of JSON in exactly the form that `write_json` gives.

    Each entry can thus be written in one way only, and a space or a repeated key cannot give the
    same entry another hash.

    Raises:
        ValueError: it is not JSON, or not in that form.
    """
    value, written = _loaded(text)
    if written != text:
        raise ValueError("expected JSON without spaces and with each key once")
    return value


def load_json(text: object) -> Any:
    """The value of JSON in any form.

    Raises:
        ValueError: it is not JSON, or nested too deeply.
    """
    return _loaded(text)[0]


def _loaded(text: object) -> tuple[Any, str]:
    if not isinstance(text, str):
        raise ValueError(f"expected JSON, got {text!r:.40}")
    try:
        value = json.loads(text)
        return value, write_json(value)
    except RecursionError:
        raise ValueError("expected JSON, got it nested too deeply") from None


def dump_event(event: Event) -> dict[str, Any]:
    """The event as plain values, with its name under the key `event`."""
    return {"event": EVENTS.name(event), **EVENTS.dump(event)}


def load_event(fields: dict[str, Any]) -> Event:
    """The event that `dump_event` wrote.

    Raises:
        CalloutError: there is no such event, or it does not have these fields.
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


def readable_row(entry: Entry) -> tuple[Any, ...]:
    """The same columns, once they have been read back.

    A row that cannot be read would make the whole game unreadable, so it is never written.

    Raises:
        JournalError: it cannot.
    """
    row = entry_row(entry)
    try:
        read_entry(row)
    except (CalloutError, ValueError, TypeError, KeyError) as error:
        raise JournalError(f"cannot write: {error}") from None
    return row


def read_entry(row: tuple[Any, ...]) -> Entry:
    """The entry that `entry_row` wrote; further columns, its hashes, are ignored.

    Raises:
        CalloutError, ValueError, TypeError, KeyError: the row is damaged.
    """
    number, call, fields, source, left_tenths, wall_ms, events = row[:ENTRY_COLUMNS]
    if not 0 < read_int(number) <= MOST_ENTRIES:
        raise ValueError(f"expected an entry's number, 1 to {MOST_ENTRIES}")
    made = tuple(load_event(event) for event in read_json(events))
    at = At(read_int(left_tenths), read_int(wall_ms))
    return Entry(number, CALLS.load(call, read_json(fields)), read_text(source), at, made)


def read_int(value: object) -> int:
    """The value of a column of whole numbers.

    Raises:
        ValueError: it is something else, which SQLite allows in any column.
    """
    if not isinstance(value, int):
        raise ValueError(f"expected a whole number, got {value!r:.40}")
    return value


def read_text(value: object) -> str:
    """The value of a column of text.

    Raises:
        ValueError: it is something else.
    """
    if not isinstance(value, str):
        raise ValueError(f"expected text, got {value!r:.40}")
    return value


def said_row(said: Said) -> tuple[Any, ...]:
    """The columns of something said, without its number."""
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
    """What `said_row` wrote; the row begins with its number.

    Raises:
        ValueError: the row is damaged.
    """
    _, entry, sort, kind, rank, rule, text, period, left_tenths, wall_ms = row
    at = (read_int(period), read_int(left_tenths), read_int(wall_ms))
    words = (read_text(kind), Rank(rank), read_text(rule), read_text(text))
    return Said(Sort(sort), *words, *at, None if entry is None else read_int(entry))
