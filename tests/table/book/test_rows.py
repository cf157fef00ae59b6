"""Rows of the journal. What is written must be read as the same; the two are each other's check."""

from __future__ import annotations

from dataclasses import fields

import pytest
from hypothesis import given
from hypothesis import strategies as st

from callout.errors import CalloutError
from callout.game.events import EVENTS, Event
from callout.game.fold import Entry
from callout.game.kind import Rank
from callout.game.state import At
from callout.table.book.rows import (
    dump_event,
    entry_row,
    load_event,
    read_entry,
    read_said,
    said_row,
)
from callout.table.speech.reply import Said, Sort
from tests.game.strategies import any_call, member

SOME_EVENTS: st.SearchStrategy[Event] = st.one_of(
    *(member(EVENTS, name) for name in sorted(EVENTS.members()))
)
SOURCES = st.sampled_from(["voice", "key", "pedal", "script", "clock"])
TIMES = st.integers(0, 2**40)


@given(SOME_EVENTS)
def test_every_event_is_read_as_it_was_written(event: Event) -> None:
    assert load_event(dump_event(event)) == event


@given(st.builds(At, st.integers(0, 72_000), TIMES), SOURCES, st.data())
def test_every_entry_is_read_as_it_was_written(at: At, source: str, data: st.DataObject) -> None:
    call = data.draw(any_call())
    events = tuple(data.draw(st.lists(SOME_EVENTS, max_size=3)))
    entry = Entry(data.draw(st.integers(1, 9_999)), call, source, at, events)
    assert read_entry(entry_row(entry)) == entry


@given(
    st.builds(
        Said,
        st.sampled_from(Sort),
        st.text(max_size=9),
        st.sampled_from(Rank),
        st.text(max_size=9),
        st.text(max_size=30),
        st.integers(0, 9),
        st.integers(0, 72_000),
        TIMES,
        st.one_of(st.none(), st.integers(1, 9_999)),
    )
)
def test_whatever_was_said_is_read_as_it_was_written(said: Said) -> None:
    assert read_said((1, *said_row(said))) == said


def test_every_field_of_what_was_said_has_a_column() -> None:
    said = Said(Sort.NOTICE, "goal", Rank.ECHO, "R", "Two.", 1, 2, 3, 4)
    assert len(said_row(said)) == len(fields(Said))


def test_no_event_has_a_field_named_event() -> None:
    # Its name stands under that key in the journal.
    assert not [name for name in EVENTS.members() if "event" in EVENTS.fields(name)]


def test_an_unknown_event_is_refused() -> None:
    with pytest.raises(CalloutError, match="expected the name of a known event, got 'scores'"):
        load_event({"event": "scores"})
    with pytest.raises(KeyError):
        load_event({})
