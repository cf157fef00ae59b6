"""What may be called: names, fields, and values within their limits."""

from __future__ import annotations

import dataclasses
import inspect

import pytest

from callout.errors import CalloutError
from callout.game import calls
from callout.game.calls import CALLS, TALK, Call, Score, SetClock, called
from callout.game.registry import Registry
from callout.game.terms import Team


def test_every_class_of_calls_is_entered_under_a_name() -> None:
    classes = [
        cls
        for _, cls in inspect.getmembers(calls, inspect.isclass)
        if issubclass(cls, Call) and cls is not Call
    ]
    assert set(classes) == set(CALLS.members().values())
    assert set(TALK) < set(classes)


def test_every_call_is_frozen_and_says_what_it_is() -> None:
    for cls in CALLS.members().values():
        assert dataclasses.is_dataclass(cls)
        assert cls.__doc__
        assert not cls.__doc__.startswith(f"{cls.__name__}(")
    with pytest.raises(dataclasses.FrozenInstanceError):
        Score(Team.HOME, 2).points = 3  # type: ignore[misc]


def test_names_are_words_of_language_files() -> None:
    assert all(name.replace("_", "").isalpha() and name.islower() for name in CALLS.members())


@pytest.mark.parametrize(
    ("name", "fields"),
    [
        ("score", {"team": "home", "points": 4}),
        ("score", {"team": "home", "points": 0}),
        ("number", {"number": "100"}),
        ("number", {"number": "05"}),
        ("number", {"number": ""}),
        ("set_score", {"team": "home", "points": -1}),
        # 75 seconds are no time of a clock that shows minutes, but 72001 tenths are no time at all.
        ("set_clock", {"left_tenths": 72_001}),
        ("set_clock", {"left_tenths": -1}),
        ("adjust_clock", {"tenths": 6_001}),
        ("timeout", {"team": "home", "length": "sixty"}),
        ("last_number", {"team": "home", "entry": "pass", "number": "5"}),
    ],
)
def test_what_cannot_be_is_no_call(name: str, fields: dict[str, object]) -> None:
    with pytest.raises(CalloutError, match=rf"^call '{name}': .*, got "):
        CALLS.load(name, fields)


def test_numbers_keep_their_zeros() -> None:
    # FIBA 4.3.2, NFHS 3-4: 0 and 00 are two numbers.
    zero, double = (CALLS.load("number", {"number": n}) for n in ("0", "00"))
    assert zero != double


def test_times_are_whole_tenths() -> None:
    assert CALLS.load("set_clock", {"left_tenths": 83}) == SetClock(83)
    with pytest.raises(CalloutError):
        CALLS.load("set_clock", {"left_tenths": 8.35})


def test_the_decorator_enters_a_class_and_gives_it_back() -> None:
    before = dict(CALLS.members())
    try:
        made = called("of_this_test")(type("OfThisTest", (Call,), {}))
        assert CALLS.name(made()) == "of_this_test"
    finally:
        assert isinstance(CALLS, Registry)
        CALLS._by_name.clear()
        CALLS._by_name.update(before)
        CALLS._names.pop(made)
    assert CALLS.members() == before
