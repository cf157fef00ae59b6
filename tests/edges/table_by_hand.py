"""A live table whose queue, clock, voice and ear's process are fed by hand."""

from __future__ import annotations

import time
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from functools import partial
from pathlib import Path
from typing import Any, Self

from callout.edges.ear.client import Hearing
from callout.edges.ear.hypotheses import Word
from callout.edges.ear.messages import (
    COMMANDS,
    EVENTS,
    Command,
    Event,
    HeardCall,
    Mode,
    Told,
    Utterance,
)
from callout.edges.live.inbox import TypedLine
from callout.edges.live.table import LiveTable
from callout.edges.live.voice import Outlets
from callout.edges.voice.voice import open_voice
from callout.game.calls import Call
from callout.table.book.journal import Journal
from callout.table.clock import MachineTime
from callout.table.setup.setup import Setup
from callout.table.speech.delivery import Delivery
from tests.edges.scripted import Children, ScriptedChild, Seconds
from tests.patience import HANG_S

PRINT = Outlets(voice="print", ears="left")

EarChildren = Children[Command, Told]


class SlowVoice:
    """A voice that begins and ends when the test says so."""

    tells = True

    def __init__(self, told: Callable[[str, str], None]) -> None:
        self._told = told
        self.asked: list[str] = []
        """What is still to be said, the text that sounds now first."""
        self.sounding = False
        self.log: list[tuple[str, str]] = []
        """Each text that was started, finished or stopped."""

    def speak(self, text: str, tone_name: str = "") -> None:
        """Say it after what is being said; a tone alone takes no time."""
        if text:
            self.asked.append(text)

    def hush(self) -> None:
        """Stop at once."""
        if self.sounding:
            self._tell("stopped")
        self.asked.clear()

    def begin(self) -> str:
        """What is first now sounds."""
        assert not self.sounding
        self.sounding = True
        self._tell("started")
        return self.asked[0]

    def end(self) -> None:
        """It has been said."""
        self._tell("finished")
        self.asked.pop(0)

    def _tell(self, what: str) -> None:
        self.sounding = what == "started"
        self.log.append((what, self.asked[0]))
        self._told(what, self.asked[0])

    def deliver(self, delivery: Delivery) -> None:
        """It is always as slow."""

    def prepare(self, texts: Iterable[str]) -> None:
        """Nothing is made ready."""

    def close(self) -> None:
        """Nothing more is said."""


@dataclass
class ByHand:
    """A game at a table, and all that it is fed by."""

    table: LiveTable
    journal: Journal
    children: EarChildren
    seconds: Seconds
    _steady_ns: list[int]
    voice: SlowVoice | None = None

    @classmethod
    def new(
        cls,
        folder: Path,
        setup: Setup,
        mode: Mode | None = None,
        *,
        outlets: Outlets = PRINT,
        slow: bool = False,
        lacking: frozenset[str] = frozenset(),
    ) -> Self:
        """A new game; `slow`: its voice is a `SlowVoice`, else it prints."""
        steady_ns, seconds = [0], Seconds()
        children = EarChildren(COMMANDS, EVENTS)
        journal = Journal.create(folder / "game", setup)
        voices: list[SlowVoice] = []

        def opened(*_: Any, told: Callable[[str, str], None], **__: Any) -> SlowVoice:
            voices.append(SlowVoice(told))
            return voices[-1]

        table = LiveTable(
            journal,
            outlets,
            time=MachineTime(date_ns=lambda: 10**18, steady=lambda: steady_ns[0]),
            ear=partial(Hearing, by=children.by(seconds, folder / "ear.log")),
            opener=opened if slow else open_voice,
        )
        made = cls(table, journal, children, seconds, steady_ns, voices[0] if voices else None)
        if mode is not None:
            table.listen(Path("model"), None, mode, lacking)
        return made

    def go_on(self) -> None:
        """Take all that has come."""
        while self.table.turn(0):
            pass

    def wait(self, seconds: float) -> None:
        """So much time passes at the table."""
        self._steady_ns[0] += round(seconds * 10**9)
        self.go_on()

    def type(self, *lines: str) -> None:
        """Type lines; an empty one is the key to talk."""
        for line in lines:
            self.table.put(TypedLine(line))
            self.go_on()

    def tell(self, event: Event) -> None:
        """The ear tells something."""
        self.table.put(event)
        self.go_on()

    def say(self, text: str) -> None:
        """The ear has heard those words for certain."""
        self.tell(utterance(text))

    def next_child(self) -> ScriptedChild[Command, Told]:
        """The next process of the ear."""
        return self.children.next()

    def take(self, count: int) -> None:
        """Wait for what the ear's own thread puts on the queue, and take it."""
        for _ in range(count):
            assert self._comes(), "nothing came"
        self.go_on()

    def _comes(self) -> bool:
        # A turn waits no longer than until the table itself has something to do.
        end = time.monotonic() + HANG_S
        while time.monotonic() < end:
            if self.table.turn():
                return True
        return False

    @property
    def booked(self) -> list[Call]:
        """The calls of the game so far."""
        return [entry.call for entry in self.journal.entries()]

    def close(self) -> None:
        """End the game."""
        self.table.close()
        self.journal.close()


def utterance(text: str, age_s: float = 0.4, margin: float = 20.0) -> Utterance:
    """What the ear tells of words that it heard, for certain if no margin is given."""
    words = tuple(Word(word, 0.3 * at, 0.3 * at + 0.3) for at, word in enumerate(text.split()))
    end_s = words[-1].end_s if words else 0.0
    calls = (HeardCall(words, 20.0, margin),) if words else ()
    return Utterance(0.0, end_s, text, calls, age_s)
