"""`callout verify`: whether a game's file is whole, and its book adds up."""

from __future__ import annotations

import sys
from pathlib import Path

from callout.errors import JournalError
from callout.reading import exists
from callout.table.audit import differences, missing
from callout.table.game_path import check_game_path
from callout.table.journal import Journal
from callout.table.kept import read_game
from callout.table.view import view


def verify(game: Path) -> int:
    """Check the hashes, replay, and add up; 1 if anything is not as it should be, else 0.

    Raises:
        JournalError: there is no such file.
    """
    check_game_path(game)
    if not exists(game):
        raise JournalError(f"{game}: expected a game's journal, got no file")
    try:
        with Journal.open(game) as journal:
            kept, mark = read_game(journal), journal.mark
    except JournalError as error:
        print(error, file=sys.stderr)
        return 1
    seen = view(kept.game, kept.left_tenths)
    lost = [f"entry {number} is missing" for number in missing(kept.entries)]
    wrong = [*lost, *differences(kept.game, seen)]
    for line in wrong:
        print(f"{game}: {line}", file=sys.stderr)
    score = seen["score"]
    print(f"{game}: {len(kept.entries)} entries, each as it was recorded; mark {mark}")
    print(f"Replayed: period {seen['period']}, home {score['home']}, guest {score['guest']}.")
    print("The book does NOT add up." if wrong else "The book adds up.")
    return int(bool(wrong))
