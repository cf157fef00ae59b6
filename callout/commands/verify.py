"""`callout verify`: checks that a game's file is as recorded, and that its book adds up."""

from __future__ import annotations

import os
import sys
from collections.abc import Iterator, Sequence
from pathlib import Path

from callout.commands.names_due import names_due
from callout.commands.twice import Twice
from callout.counted import counted
from callout.errors import CalloutError, JournalError
from callout.game.events import CorrectionSigned, GameEnded, PeriodEnded, ScoreApproved
from callout.paper.sheet.words import approver
from callout.plain import plain
from callout.reading import exists
from callout.table.book.audit import differences, missing, say_missing
from callout.table.book.journal import Journal
from callout.table.book.leftover import log_of, size_of
from callout.table.book.read import Kept, read_game
from callout.table.setup.game_path import check_game_path, no_game
from callout.table.view import view


def verify_all(games: Sequence[Path], at: int | None = None) -> int:
    """Check each game; of several, say at the end which are not in order. 1 if any is not, else 0.

    A file that is named more than once is checked once.

    Raises:
        CalloutError: `at` is asked of several games, or the only one is no game's file.
    """
    once: dict[str, Path] = {}
    for game in games:
        once.setdefault(os.path.realpath(game), game)
    games = list(once.values())
    if len(games) == 1:
        return verify(games[0], at)
    if at is not None:
        raise CalloutError(f"--at: expected one game, got {len(games)}")
    twice, wrong = Twice(), []
    for game in games:
        try:
            status = verify(game, twice=twice)
        except CalloutError as error:
            print(f"callout: {error}", file=sys.stderr)
            status = 1
        print()
        if status:
            wrong.append(str(game))
    told = f"; not in order: {', '.join(wrong)}" if wrong else ""
    print(plain(f"{counted(len(games), 'file')}, {len(games) - len(wrong)} in order{told}"))
    return int(bool(wrong))


def verify(game: Path, at: int | None = None, twice: Twice | None = None) -> int:
    """Check the hashes, replay the entries, add up the book; 1 if anything is wrong, else 0.

    `at`: also print the mark that the game had after this number of entries. `twice`: the games
    that were checked before, if it is one of many.

    Raises:
        JournalError: there is no such file, or it has fewer entries.
    """
    check_game_path(game)
    if not exists(game) and not size_of(log_of(game)):
        raise no_game(game)
    try:
        journal = Journal.read(game)
    except JournalError as error:
        print(error, file=sys.stderr)
        return 1
    with journal:
        try:
            kept = read_game(journal)
        except JournalError as error:
            print(error, file=sys.stderr)
            return 1
        status = _report(game, journal, kept, at)
        if twice is not None:
            twice.tell(game, journal.mark_after(0), journal.mark)
    names_due(game, one_of_many=twice is not None)
    return status


def _report(game: Path, journal: Journal, kept: Kept, at: int | None) -> int:
    seen = view(kept.game, kept.left_tenths)
    marks = [f"  {_entries(count)}, mark {journal.mark_after(count)}: {when}"
             for count, when in _moments(kept, at)]  # fmt: skip
    wrong = [*_gone(kept), *differences(kept.game, seen)]
    doubts = [journal.doubt] if journal.doubt else []
    for line in (*doubts, *(f"{game}: {each}" for each in wrong)):
        print(line, file=sys.stderr)
    score = seen["score"]
    print(f"{game}: {_entries(len(kept.entries))}, each as it was recorded; mark {journal.mark}")
    print("\n".join([*marks, "Entries cut off its end do not show here: compare with the newest "
                     "printed sheet, by --at and its number of entries."]))  # fmt: skip
    print(f"Replayed: period {seen['period']}, home {score['home']}, guest {score['guest']}.")
    print("The book does NOT add up." if wrong else "The book adds up.")
    return int(bool(wrong or doubts))


def _entries(count: int) -> str:
    return counted(count, "entry", "entries")


def _gone(kept: Kept) -> Iterator[str]:
    """Entries that are missing: between others, or after the newest if a reply names one."""
    numbers = [entry.id for entry in kept.entries]
    answered = max((said.entry for said in kept.said if said.entry), default=0)
    for gap in missing(numbers, answered):
        yield f"{say_missing(gap)} missing"


def _moments(kept: Kept, at: int | None) -> Iterator[tuple[int, str]]:
    """The numbers of entries after which the mark is printed, and which moment each was."""
    for count, entry in enumerate(kept.entries, start=1):
        for event in entry.events:
            if isinstance(event, PeriodEnded):
                yield count, f"end of period {event.period}"
            elif isinstance(event, GameEnded):
                yield count, "end of the game"
            elif isinstance(event, ScoreApproved):
                score = f"home {event.home}, guest {event.guest}"
                yield count, f"approved by the officials{approver(event)}, {score}"
            elif isinstance(event, CorrectionSigned):
                signed = plain(f"signed {event.by}: {event.reason}")
                yield count, f"corrected after the approval, {signed}"
    if at is not None:
        yield at, f"--at {at}"
