"""`callout forget`: people's names struck from a game for good."""

from __future__ import annotations

from pathlib import Path

from callout.reading import exists
from callout.table.game_path import check_game_path
from callout.table.journal import Journal
from callout.table.names import names_of


def forget(game: Path) -> int:
    """Strike all names, and list the copies that may still hold them.

    Raises:
        JournalError: the game cannot be opened or written, or a name is still in it.
    """
    check_game_path(game)
    with Journal.open(game) as journal:
        count = len(names_of(journal.setup))
        journal.forget()
        copies = journal.copies()
    old = game.absolute().parent.glob(f"{game.name}-version-*")
    print(f"{game}: {count} names struck; the numbers and the book are as they were")
    left = sorted({path for path in (*copies, *old) if exists(path)})
    for path in left:
        print(f"{path}: is a copy, and may still hold them; delete it, or forget it too")
    gone = [path for path in copies if not exists(path)]
    for path in gone:
        print(f"{path}: was a copy, and is not there now; look on the sticks you used")
    return 0
