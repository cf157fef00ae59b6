"""What the keyboard's process tells the table, used at both ends of the pipe."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from callout.edges.wire import Wire


@dataclass(frozen=True, slots=True)
class Ready:
    """The process hears keys from now on."""


@dataclass(frozen=True, slots=True)
class Problem:
    """The process cannot hear keys, and ends."""

    what: str
    """Why, and what to do."""


@dataclass(frozen=True, slots=True)
class Key:
    """A key went down or up."""

    key: str
    """The table's name of it."""
    down: bool
    at_ns: int
    """Units: nanoseconds of `clock.steady_ns`."""


Told = Ready | Problem | Key

EVENTS: Final = Wire[Told]("event", {"ready": Ready, "problem": Problem, "key": Key})
