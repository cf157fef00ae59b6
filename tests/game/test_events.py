"""What can happen: every class entered, frozen, and whole in its plain form."""

from __future__ import annotations

import dataclasses
import inspect
import json

import pytest

from callout.errors import CalloutError
from callout.game import events
from callout.game.events import EVENTS, Event, Replaced, Scored, happens
from callout.game.terms import Team


def test_every_class_of_events_is_entered_under_a_name() -> None:
    classes = [
        cls
        for _, cls in inspect.getmembers(events, inspect.isclass)
        if issubclass(cls, Event) and cls is not Event
    ]
    assert set(classes) == set(EVENTS.members().values())


def test_every_event_says_what_it_is() -> None:
    for cls in EVENTS.members().values():
        assert dataclasses.is_dataclass(cls)
        assert cls.__doc__
        assert not cls.__doc__.startswith(f"{cls.__name__}(")


def test_an_event_as_the_journal_keeps_it() -> None:
    scored = Scored(20, Team.HOME, 2, None, 1, 4610, said="33")
    plain = {
        "item": 20,
        "team": "home",
        "points": 2,
        "number": None,
        "period": 1,
        "left_tenths": 4610,
        "said": "33",
    }
    assert EVENTS.dump(scored) == plain
    assert EVENTS.load("scored", json.loads(json.dumps(plain))) == scored


def test_an_event_holds_the_events_of_another_entry() -> None:
    replaced = Replaced(3, 30, (Scored(30, Team.HOME, 2, None, 1, 4610),))
    dumped = json.loads(json.dumps(EVENTS.dump(replaced)))
    assert dumped["events"][0]["event"] == "scored"
    assert EVENTS.load("replaced", dumped) == replaced
    made = {"entry": 3, "item": 30, "events": list(replaced.events)}
    assert EVENTS.load("replaced", made) == replaced
    for wrong in (7, {}, {"event": "dunked"}, {"event": "replaced", "entry": 1, "item": None}):
        with pytest.raises(CalloutError, match="event 'replaced': events"):
            EVENTS.load("replaced", {"entry": 3, "item": 30, "events": [wrong]})


def test_a_journal_of_another_program_is_refused() -> None:
    with pytest.raises(CalloutError, match="expected the name of a known event, got 'dunked'"):
        EVENTS.load("dunked", {})


def test_the_decorator_enters_a_class_and_gives_it_back() -> None:
    before = dict(EVENTS.members())
    try:
        made = happens("of_this_test")(type("OfThisTest", (Event,), {}))
        assert EVENTS.name(made()) == "of_this_test"
    finally:
        EVENTS._by_name.clear()
        EVENTS._by_name.update(before)
        EVENTS._names.pop(made)
    assert EVENTS.members() == before
