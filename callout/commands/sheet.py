"""`callout sheet`: prints the book of a game."""

from __future__ import annotations

import sys
from pathlib import Path

from callout.errors import CalloutError
from callout.paper.text import book_text
from callout.table.book.journal import Journal
from callout.table.book.read import read_game
from callout.table.setup.game_path import check_game_path


def sheet(game: Path, text: bool) -> int:
    """Print the book as plain text.

    Raises:
        CalloutError: `text` is false; there is no other form yet.
        JournalError: the game cannot be read, or another program has it open.
    """
    if not text:
        raise CalloutError(f"{game}: expected --text, the only form of a sheet so far")
    check_game_path(game)
    with Journal.read(game) as journal:
        if journal.doubt:
            print(journal.doubt, file=sys.stderr)
        kept = read_game(journal)
        print(book_text(kept.game, journal.setup, kept.left_tenths, journal.mark), end="")
    return 0
