"""Everything that comes to the table's one queue: typed values, matched by their class."""

from __future__ import annotations

import queue
import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from typing import Literal

from callout.edges.ear.messages import Event
from callout.edges.signals import told_of_end
from callout.game.calls import Call
from callout.game.notices.kinds import Notice
from callout.table.hands.devices import Edge


@dataclass(frozen=True, slots=True)
class TypedLine:
    """A line typed at the terminal: a call, or, where it is empty, the key to talk."""

    text: str


@dataclass(frozen=True, slots=True)
class PageCalled:
    """A call that the partner made on the page, in the words of a typed one."""

    words: str


@dataclass(frozen=True, slots=True)
class PageSigned:
    """A correction of the closed book that was signed on the page, in the words of a typed one."""

    words: str
    by: str
    reason: str


@dataclass(frozen=True, slots=True)
class PageMade:
    """A call that the page made by itself, and what is shown in the place of its words."""

    call: Call
    words: str


@dataclass(frozen=True, slots=True)
class InputEnded:
    """The terminal, or the file in its place, has ended."""


@dataclass(frozen=True, slots=True)
class DeviceLacking:
    """A device with keys could not be had."""

    why: str
    """For reading, not for hearing."""


@dataclass(frozen=True, slots=True)
class Sounded:
    """Something began to sound, or ended."""

    what: Literal["started", "finished", "stopped"]
    """`stopped`: it was cut short."""
    text: str = ""
    """What was said; empty for a tone."""
    aloud: bool = False
    """Whether it came from the loudspeaker, and so is no part of the talk with the scorer."""


FromPage = PageCalled | PageSigned | PageMade
"""What a person did on a page."""

Item = TypedLine | FromPage | InputEnded | DeviceLacking | Sounded | Edge | Notice | Event
"""A key comes as an `Edge`; a `Notice` is something that happened beside the game."""

Put = Callable[[Item], None]
"""Puts something on the queue, from any thread."""


class Inbox:
    """Everything that comes to the table, in its order."""

    def __init__(self) -> None:
        # A plain Queue waits in several steps, between which a signal must not put.
        self._items: queue.SimpleQueue[Item | None] = queue.SimpleQueue()

    @property
    def is_empty(self) -> bool:
        """Whether nothing waits."""
        return self._items.empty()

    def put(self, item: Item) -> None:
        """Put something on the queue, from any thread."""
        self._items.put(item)

    def next(self, longest_s: float) -> Item | None:
        """The next item; None where nothing comes in that time.

        Raises:
            KeyboardInterrupt: all that came before Ctrl-C or another end was taken.
        """
        try:
            item = self._items.get(timeout=longest_s)
        except queue.Empty:
            return None
        if item is None:
            raise KeyboardInterrupt
        return item

    @contextmanager
    def with_ends(self) -> Iterator[None]:
        """Ctrl-C and other ends come in their turn, so that no call is broken off."""
        with told_of_end(lambda: self._items.put(None)):
            yield


def read_lines(put: Put) -> None:
    """Put each line of standard input on the queue, until it ends."""
    for line in sys.stdin:
        put(TypedLine(line.strip()))
    put(InputEnded())
