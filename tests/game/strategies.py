"""Hypothesis strategies for calls, events and whole walks through a game, made from the types."""

from __future__ import annotations

import types
import typing
from enum import Enum
from functools import cache
from typing import Any, TypeVar

from annotated_types import Ge, Le
from hypothesis import strategies as st

from callout.game import calls
from callout.game.calls import CALLS, Call
from callout.game.events import EVENTS, Event
from callout.game.registry import Registry
from callout.game.terms import Team
from callout.game.values import ItemName, ShirtNumber

T = TypeVar("T")

NUMBERS = ("4", "5", "11", "14", "15", "0", "00", "99")
"""Of home alone, of both teams, of guest alone, and of neither."""


def limits_of(hint: Any) -> tuple[int, int]:
    """The least and the greatest value of an annotated whole number."""
    limits = [limit for info in hint.__metadata__ for limit in info.metadata]
    low: Any = next(limit.ge for limit in limits if isinstance(limit, Ge))
    high: Any = next(limit.le for limit in limits if isinstance(limit, Le))
    return low, high


def of_type(hint: Any) -> st.SearchStrategy[Any]:
    """Values of an annotated type, within its limits."""
    if hint is ItemName:
        return st.sampled_from(("tip", "lists", "starters", "banner"))
    if hint is ShirtNumber:
        return st.sampled_from(NUMBERS)
    origin, args = typing.get_origin(hint), typing.get_args(hint)
    if origin is tuple:
        return st.lists(of_type(args[0]), max_size=2).map(tuple)
    if origin is typing.Annotated and args[0] is Event:
        # An event within another holds none itself.
        plain_events = sorted(set(EVENTS.members()) - {"replaced"})
        return st.one_of(*(member(EVENTS, name) for name in plain_events))
    if origin is typing.Annotated and args[0] is Call:
        # A call within another holds none itself.
        return st.one_of(
            *(member(CALLS, name) for name in sorted(set(CALLS.members()) - {"signed"}))
        )
    if origin is typing.Annotated and args[0] is str:
        return st.sampled_from(("", "J. Miller", "counted again"))
    if origin is typing.Annotated:
        return st.integers(*limits_of(hint))
    if origin is typing.Literal:
        return st.sampled_from(args)
    if origin in (types.UnionType, typing.Union):
        return st.one_of(*(of_type(arg) for arg in args))
    if isinstance(hint, type) and issubclass(hint, Enum):
        return st.sampled_from(list(hint))
    plain: dict[Any, st.SearchStrategy[Any]] = {
        type(None): st.none(),
        bool: st.booleans(),
        int: st.integers(0, 500),
        str: st.sampled_from(("", "full", "thirty")),
    }
    return plain[hint]


@cache
def member(registry: Registry[T], name: str) -> st.SearchStrategy[T]:
    """Any value of one class of a family."""
    cls = registry.members()[name]
    hints = typing.get_type_hints(cls, include_extras=True)
    return st.builds(cls, **{key: of_type(hint) for key, hint in hints.items()})


@cache
def any_call() -> st.SearchStrategy[Call]:
    """Any call at all, each class as likely as another."""
    return st.one_of(*(member(CALLS, name) for name in sorted(CALLS.members())))


USUAL = (
    "score", "score", "shot", "foul", "foul", "number", "start_clock", "stop_clock", "timeout",
    "end_period", "start_period", "undo", "put_back", "award", "held_ball", "substitution",
)  # fmt: skip
"""What most of a game is made of; without weight on it, walks would go nowhere."""

_PERIOD = [calls.StartClock(), calls.EndPeriod()]
OPENINGS: tuple[tuple[Call, ...], ...] = (
    (),
    (calls.StartClock(), calls.Tip(Team.HOME)),
    (calls.StartClock(), calls.Tip(Team.GUEST), calls.StopClock()),
    (*_PERIOD, calls.SetArrow(Team.HOME)),
    (*_PERIOD, *_PERIOD, calls.StartClock(), calls.Timeout(Team.GUEST)),
    (*_PERIOD * 3, calls.StartClock()),
    (*_PERIOD * 4, calls.StartClock(), calls.Tip(Team.HOME)),
    (*_PERIOD * 4, calls.EndGame()),
)
"""Ways into every phase and into overtime."""

Step = tuple[Call, int]


def walks(longest: int = 14) -> st.SearchStrategy[list[Step]]:
    """A game from its beginning: calls, each with the seconds that pass before it."""
    usual = st.one_of(*(member(CALLS, name) for name in USUAL))
    step = st.tuples(st.one_of(usual, any_call()), st.sampled_from((0, 1, 20, 200)))
    opening = st.sampled_from(OPENINGS).map(lambda found: [(call, 3) for call in found])
    return st.builds(lambda first, rest: first + rest, opening, st.lists(step, max_size=longest))
