"""A game's file as everything on paper needs it."""

from __future__ import annotations

from pathlib import Path

from callout.paper.export import Recorded
from callout.table.book.journal import Journal
from callout.table.book.read import read_game


def read_recorded(path: Path) -> tuple[Recorded, str]:
    """The game of a file, as it stands, and what is doubtful about the file; empty for nothing.

    Raises:
        JournalError: the game cannot be read.
    """
    with Journal.read(path) as journal:
        kept = read_game(journal)
        one = kept.game.approval
        recorded = Recorded(
            path.stem,
            journal.setup,
            kept.game,
            kept.entries,
            kept.left_tenths,
            journal.mark,
            journal.mark_after(one.entry) if one else "",
            journal.mark_after(0),
        )
        return recorded, journal.doubt
