"""`callout forget`: strikes people's names from a game for good."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from pathlib import Path
from typing import Final

from callout.errors import JournalError, why
from callout.game import calls
from callout.game.fold import Entry
from callout.language.words import words_of
from callout.plain import plain
from callout.table.book.journal import Journal
from callout.table.book.leftover import log_of, real
from callout.table.book.names import names_of
from callout.table.setup.game_path import check_game_path
from callout.words import Words

_NAMELESS: Final = ("-replies.wav", "-sent.json")
"""Files beside a game that never hold a name: replies name numbers only."""


def forget(game: Path) -> int:
    """Strike all names, and list the files that may still hold them.

    Raises:
        JournalError: the game cannot be opened or written, or still holds a name afterwards.
    """
    check_game_path(game)
    with Journal.open(game) as journal:
        count, known = len(names_of(journal.setup)), journal.copies()
        words = words_of(journal.setup.language)
        try:
            journal.forget()
            print(words("names_struck", game=game, names=words.count("names", count)))
            _tell_signers(words, game, journal.entries())
        finally:
            _list(words, game, known)
    return 0


def _tell_signers(words: Words, game: Path, entries: Iterable[Entry]) -> None:
    """Name who approved or signed: they are a part of the book and cannot be struck."""
    named = (
        each.call.by for each in entries if isinstance(each.call, calls.Approve | calls.Signed)
    )
    if signers := "; ".join(dict.fromkeys(plain(by) for by in named if by)):
        print(words("signers_stay", game=plain(str(game)), signers=signers))


def _list(words: Words, game: Path, known: Iterable[Path]) -> None:
    """Print the files that may hold the names, those that are gone, and what is unknown."""
    places = sorted({*known, *_beside(game), *(each for path in known for each in _parts(path))})
    there = [plain(str(path)) for path in places if _there(path)]
    for path in there:
        print(words("may_hold", path=path))
    for path in (plain(str(each)) for each in known if not _there(each)):
        print(words("may_have_held", path=path))
    print(words("not_known_here"))


def _beside(game: Path) -> Iterator[Path]:
    """Files in the game's folder whose name begins with the game's."""
    for path in {game.absolute(), real(game)}:
        try:
            found = sorted(path.parent.iterdir())
        except OSError as error:
            raise JournalError(f"{path.parent}: cannot be read: {why(error)}") from None
        for each in found:
            rest = each.name.removeprefix(path.name)
            named = each.name != rest and rest[:1] in ("-", ".") and rest not in _NAMELESS
            if named and each != log_of(game):
                yield each


def _parts(path: Path) -> Iterator[Path]:
    """A partly written copy, left by a program that was killed."""
    part = path.with_name(f"{path.name}.part")
    if _there(part):
        yield part


def _there(path: Path) -> bool:
    try:
        return path.exists()
    except OSError:
        return False
