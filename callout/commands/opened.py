"""The journal of a game that is kept at the table: opened, or made of a setup file."""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TypeAlias

from callout.commands.forget import forget
from callout.commands.names_due import wants_struck
from callout.commands.spoken import kept_in, spoken_in
from callout.edges.models.words import model_words
from callout.errors import CalloutError, InputError
from callout.game.terms import Team
from callout.language.check import open_language
from callout.plain import plain
from callout.reading import exists
from callout.table.book.journal import Journal
from callout.table.book.leftover import log_of, size_of
from callout.table.setup.header import header_lines
from callout.table.setup.own_words import check_own_words, own_words
from callout.table.setup.setup import Setup, read_setup

FindModel: TypeAlias = Callable[[Path], Path]
"""Finds the recognizer for the language in a folder."""


def is_kept(game: Path) -> bool:
    """Whether the game's file exists, or at least its log."""
    return exists(game) or size_of(log_of(game)) > 0


def open_game(
    game: Path, setup: Path | None, language: str, recognizer: FindModel | None
) -> Journal:
    """The journal of a game, new or taken up again; what differs from the setup file is printed.

    `setup`: the setup file of a new game; of one that is taken up its people's names are taken.
    `language`: what `--language` says, or nothing. `recognizer` finds the ear's model, if there is
    an ear. Where the league's time for the players' names is over, a person is asked whether they
    are to be struck.

    Raises:
        CalloutError: the game, its setup, the language or the recognizer is wrong.
    """
    if is_kept(game):
        return _resumed(game, setup, language)
    if setup is None:
        raise CalloutError(f"{game}: a new game needs its teams: --setup FILE")
    header = kept_in(read_setup(setup), language)
    folder = spoken_in(header, language)
    model = recognizer(folder) if recognizer else None
    # Reading a model's list of words takes most of a second, so only if they are needed.
    known = model_words(model) if model and own_words(header) else None
    check_own_words(setup, open_language(folder), known)
    journal = Journal.create(game, header)
    lists = [each.value.strip() for each in header_lines(setup) if each.key.startswith("roster ")]
    for path in (setup, *(setup.parent / name for name in lists)):
        journal.copied(path)  # These files hold the names, too.
    return journal


@contextmanager
def undone_if_it_fails(journal: Journal, new: bool = False) -> Iterator[None]:
    """If the start fails, release the lock and remove a new game's file."""
    try:
        yield
    except BaseException:
        journal.close()
        if new:
            journal.path.unlink(missing_ok=True)
        raise


def _resumed(game: Path, setup: Path | None, language: str) -> Journal:
    """The journal of a game that is there; it is opened anew if its names are struck before."""
    journal = Journal.open(game)
    if journal.doubt:
        print(journal.doubt, file=sys.stderr)
    with undone_if_it_fails(journal):
        struck = wants_struck(journal)
    if struck:
        journal.close()
        forget(game)
        journal = Journal.open(game)
    with undone_if_it_fails(journal):
        _compare(journal, setup, language)
    return journal


def _compare(journal: Journal, file: Path | None, language: str) -> None:
    """Check that a setup is that of the game taken up, and take its people's names into the game.

    Raises:
        CalloutError: it has other teams or another league.
    """
    if file is None:
        return
    game, kept = journal.path, journal.setup
    try:
        given = kept_in(read_setup(file), language)
    except InputError as error:
        # A resumed game needs no setup, so a damaged one must not stop it.
        print(f"{error}; the game goes on with its own lists", file=sys.stderr)
        return
    theirs, ours = (
        f"{each.home.name} - {each.guest.name}, {each.profile}" for each in (kept, given)
    )
    if theirs != ours:
        what = f"holds the game {theirs}, but {file} is of {ours}"
        raise CalloutError(f"{game}: {what}; give a new game a new name, or leave --setup out")
    if any(given.team(team).side() != kept.team(team).side() for team in Team):
        print(f"{file}: its lists differ from those of {game}, which stay", file=sys.stderr)
    if _beside(given) != _beside(kept):
        what = f"its place, competition, captains or language differ from those of {game}"
        print(f"{file}: {what}, which stay", file=sys.stderr)
    _take_people(journal, file, given)


def _beside(setup: Setup) -> tuple[str | None, ...]:
    """What is part of the book besides the league, the teams and their lists."""
    captains = (setup.team(team).captain for team in Team)
    return setup.place, setup.competition, setup.language, *captains


def _take_people(journal: Journal, file: Path, given: Setup) -> None:
    """Take coaches' and officials' names that a setup has and the game has not, or not so."""
    kept = {(whose, role): name for whose, role, name in journal.setup.people}
    now = kept | {(whose, role): name for whose, role, name in given.people}
    if now != kept:
        journal.copied(file)  # It holds names, too.
        journal.name_people(tuple((*who, name) for who, name in now.items()))
        new = [f"{who[1]} {name}" for who, name in now.items() if kept.get(who) != name]
        print(plain(f"{file}: names taken into the game: {', '.join(new)}"), file=sys.stderr)
