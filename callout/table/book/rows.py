"""A journal's rows: entries and what was said, to and from the columns of its tables."""

from __future__ import annotations

import json
from typing import Any, Final

from callout.game.calls import CALLS
from callout.game.events import EVENTS, Event
from callout.game.fold import Entry
from callout.game.kind import Rank
from callout.game.state import At
from callout.table.speech.reply import Said, Sort

ENTRY_COLUMNS: Final = 7
"""The columns of an entry, before its hashes."""


MOST_ENTRIES: Final = 1_000_000
"""No game comes near: a file with a higher number was made to keep its readers busy."""


def write_json(value: object) -> str:
    """The value as compact JSON."""
    return json.dumps(value, ensure_ascii=False, separators=(",", ":"))


def read_json(text: object) -> Any:
    """The value of which `write_json` made this text: nothing else is taken.

    So there is one way to write each entry, and none to vary its hash by a second key of the same
    name or by a space.

    Raises:
        ValueError: it is not JSON, or not as `write_json` writes it.
    """
    value, written = _loaded(text)
    if written != text:
        raise ValueError("expected JSON without spaces and with each key once")
    return value


def load_json(text: object) -> Any:
    """The value of any JSON.

    Raises:
        ValueError: it is none, or nested too deeply.
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
    if not 0 < read_int(number) <= MOST_ENTRIES:
        raise ValueError(f"expected an entry's number, 1 to {MOST_ENTRIES}")
    made = tuple(load_event(event) for event in read_json(events))
    at = At(read_int(left_tenths), read_int(wall_ms))
    return Entry(number, CALLS.load(call, read_json(fields)), read_text(source), at, made)


def read_int(value: object) -> int:
    """The value of a column that holds whole numbers.

    Raises:
        ValueError: it holds something else, which SQLite allows.
    """
    if not isinstance(value, int):
        raise ValueError(f"expected a whole number, got {value!r:.40}")
    return value


def read_text(value: object) -> str:
    """The value of a column that holds text.

    Raises:
        ValueError: it holds something else.
    """
    if not isinstance(value, str):
        raise ValueError(f"expected text, got {value!r:.40}")
    return value


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
    at = (read_int(period), read_int(left_tenths), read_int(wall_ms))
    words = (read_text(kind), Rank(rank), read_text(rule), read_text(text))
    return Said(Sort(sort), *words, *at, None if entry is None else read_int(entry))
