"""The base class of events, and the registry of all events by name."""

from __future__ import annotations

from collections.abc import Callable
from typing import Final, dataclass_transform

from callout.game.registry import Registry


class Event:
    """Something that happened in a game."""

    __slots__ = ()


EVENTS: Final = Registry[Event]("event")
"""Every event by its name."""


@dataclass_transform(frozen_default=True)
def happens(name: str) -> Callable[[type[Event]], type[Event]]:
    """A class decorator: the class is an event, known as `name`."""
    return lambda cls: EVENTS.add(name, cls)
