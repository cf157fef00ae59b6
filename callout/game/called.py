"""The base class of calls, and the register of all calls by name."""

from __future__ import annotations

from collections.abc import Callable
from typing import Final, dataclass_transform

from callout.game.registry import Registry


class Call:
    """Something that is called at the table."""

    __slots__ = ()


CALLS: Final = Registry[Call]("call")
"""Every call by its name."""


@dataclass_transform(frozen_default=True)
def called(name: str) -> Callable[[type[Call]], type[Call]]:
    """A class decorator that registers a call as `name`."""
    return lambda cls: CALLS.add(name, cls)
