"""A game read from its journal, to be shown and not continued."""

from __future__ import annotations

from dataclasses import dataclass

from callout.game.fold import Entry, fold, new_game
from callout.game.state import Game
from callout.table.book.journal import Journal
from callout.table.speech.reply import Said


@dataclass(frozen=True, slots=True)
class Kept:
    """The game of a journal, with its entries and what was said."""

    start: Game
    entries: tuple[Entry, ...]
    said: tuple[Said, ...]
    game: Game
    last_ms: int
    """When the last thing was recorded or said, in milliseconds since 1970."""

    @property
    def left_tenths(self) -> int:
        """What the clock showed at `last_ms`, in tenths of a second."""
        return self.game.clock.left_at(self.last_ms)


def read_game(journal: Journal) -> Kept:
    """The game as it stood when the last thing was recorded or said.

    Raises:
        JournalError: a row cannot be read.
    """
    setup, entries, said = journal.setup, journal.entries(), journal.replies()
    start = new_game(setup.rules(), setup.home.side(), setup.guest.side(), setup.owner)
    return Kept(start, entries, said, fold(start, entries), journal.last_ms())
