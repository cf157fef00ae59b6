"""What the tests of the table share: a game kept by hand, without words, journal or voice."""

from __future__ import annotations

import pytest

from callout.game.calls import Call
from callout.game.decide import Refusal, decide
from callout.game.fold import Entry, advance, new_game
from callout.game.profile_file import load_profile
from callout.game.state import Game, Owner, Side
from callout.table.clock import at

HOME = ("4", "5", "10", "11", "15", "50")
GUEST = ("3", "5", "13", "14", "30", "33")


class Book:
    """A game and its entries; time goes on only by `wait`."""

    def __init__(self, owner: Owner = Owner.OURS, profile: str = "nfhs-2026") -> None:
        rules = load_profile(profile)
        self.start = new_game(rules, Side("Kites", HOME), Side("Foxes", GUEST), owner)
        self.game: Game = self.start
        self.entries: list[Entry] = []
        self.now_ms = 1_000_000

    def wait(self, seconds: float) -> None:
        """Let time pass."""
        self.now_ms += round(1000 * seconds)

    def take(self, call: Call, source: str = "voice") -> Entry:
        """Book a call, which must be possible."""
        moment = at(self.game, self.now_ms)
        events = decide(self.game, call, moment)
        assert not isinstance(events, Refusal), events
        entry = Entry(self.game.entry + 1, call, source, moment, events)
        self.game = advance(self.start, self.entries, self.game, entry)
        self.entries.append(entry)
        return entry


@pytest.fixture
def book() -> Book:
    """A game before its first call."""
    return Book()
