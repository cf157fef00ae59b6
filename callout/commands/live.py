"""`callout live`: runs a game at the table, a new one or one that is resumed."""

from __future__ import annotations

import shlex
import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from functools import cache, partial
from pathlib import Path
from typing import Final

from callout.commands.forget import forget
from callout.commands.names_due import wants_struck
from callout.commands.spoken import ENGLISH, language_at
from callout.edges.ear.client import Hearing
from callout.edges.ear.messages import Mode
from callout.edges.ear.own_voice.kept import voice_file
from callout.edges.live.displays import PLAIN, Shown, open_displays
from callout.edges.live.ear import with_learned
from callout.edges.live.table import LiveTable
from callout.edges.live.voice import Outlets
from callout.edges.models.catalogue import RECOGNIZER, find_model
from callout.edges.models.words import model_words
from callout.edges.signals import end_no_more
from callout.edges.voice.player import EARS
from callout.errors import CalloutError, InputError, ModelError
from callout.game.state import Game, Phase
from callout.game.terms import Team
from callout.language.check import open_language
from callout.plain import plain
from callout.reading import exists
from callout.table.book.journal import Journal
from callout.table.book.leftover import log_of, size_of
from callout.table.setup.game_path import check_game_path
from callout.table.setup.header import header_lines
from callout.table.setup.own_words import check_own_words, own_words
from callout.table.setup.setup import Setup, read_setup

TYPED: Final = "typed"
"""`--keys typed`: the terminal takes lines of words instead of single keys."""

OFF: Final = "off"
"""In the place of a mode of the ear: none is started."""

HINTS: Final = {
    True: "Type a call and Enter. '?' tells what may come next; Ctrl-C ends, and all is kept.",
    False: "Key '?' tells what may come next, ':' lets you type a call; Ctrl-C ends, and all is "
    "kept.",
}
"""What is told at the start, by whether the keys write lines."""


def live(
    game: Path,
    *,
    outlets: Outlets,
    setup: Path | None = None,
    ear: str = "open",
    microphone: str | None = None,
    shown: Shown = PLAIN,
    keys: str = "",
    copy_to: Path | None = None,
    language: str = ENGLISH,
    model: Path | None = None,
    voice_of: str = "",
    at_table: Callable[..., LiveTable] = LiveTable,
) -> int:
    """Run a game until it is stopped; returns the exit status.

    `language` is one that comes with the program, or a folder; `model` the folder of a recognizer
    other than the English one, `voice_of` the name of a learned voice, `at_table` makes the table.

    Raises:
        CalloutError: the game, its setup, the model or a device is wrong.
    """
    if ear not in (*Mode, OFF):
        raise CalloutError(f"--ear: expected hold, open, tap or off, got {ear!r}")
    check_ears(outlets)
    folder, heard = language_at(language), ear != OFF
    if heard and model is None and folder != language_at(ENGLISH):
        what = "the ear needs a recognizer of that language: --model FOLDER, or --ear off"
        raise CalloutError(f"--language {language}: {what}")
    start_ear = with_learned(_learned(voice_of)) if voice_of else Hearing
    check_game_path(game)
    new = not _is_kept(game)
    # Found only if it is needed, and once: finding it computes the hashes of all its files.
    recognizer = cache(partial(_recognizer, model))
    with _journal(game, setup, recognizer if heard else None, folder) as journal:
        own = Path(keys) if keys not in ("", TYPED) else None
        with _undone_if_it_fails(journal, new):
            displays = open_displays(shown, journal.setup, journal.path, folder)
            table = at_table(journal, outlets, displays, own, copy_to, folder, ear=start_ear)
        with _until_stopped(journal.path, table, language):
            _hint(shown, keys)
            if heard:
                lacking = frozenset[str]() if new else _lacking(journal.setup, recognizer())
                table.listen(recognizer(), microphone, Mode(ear), lacking)
            table.run(typed=keys == TYPED)
    return 0


@contextmanager
def _until_stopped(path: Path, table: LiveTable, language: str) -> Iterator[None]:
    """Close the table in the end; if it was stopped, tell how to go on."""
    stopped = False
    try:
        yield
    except KeyboardInterrupt:
        stopped = True
    finally:
        end_no_more()
        table.close()
    if stopped:  # Now a large screen hides nothing any more.
        _tell_next(path, table.session.game, language)


def _hint(shown: Shown, keys: str) -> None:
    """Tells who sits at a terminal how to begin and how to end."""
    if sys.stdin.isatty() and not shown.screen:
        print(HINTS[keys == TYPED])


def _tell_next(path: Path, game: Game, language: str) -> None:
    """Tells what can be done once the program has ended, as commands that can be copied."""
    file = shlex.quote(str(path))
    # Without its language the game would go on in English, and understand no call.
    again = f"{file} --language {shlex.quote(language)}" if language != ENGLISH else file
    text = f"The game is kept. To go on: callout live {again}"
    if game.phase is Phase.BEFORE:
        text += f"; through the checklist before it: callout before {again}"
    if game.phase is Phase.OVER:
        text = f"The game is over and kept. Close its book: callout close {file}"
    if game.approval is not None:
        text = f"The book is closed. The sheet to be signed: callout sheet {file} --pdf; a "
        text += "correction: callout close --help"
    with suppress(OSError):  # The terminal's window may be closed.
        print(plain(text), file=sys.stderr)


def check_ears(outlets: Outlets) -> None:
    """Refuse a word for the ears that the voice does not know.

    Raises:
        CalloutError: it is one.
    """
    if outlets.ears not in EARS:
        raise CalloutError(f"--ears: expected {', '.join(EARS)}, got {outlets.ears!r}")


def _recognizer(model: Path | None) -> Path:
    """The folder of the recognizer.

    Raises:
        ModelError: it is missing or damaged; it says how the game can be kept all the same.
    """
    try:
        return find_model(RECOGNIZER, model)
    except ModelError as error:
        raise ModelError(f"{error}; or call by keys: --ear off") from None


def _learned(name: str) -> Path:
    """The file of a learned voice.

    Raises:
        CalloutError: there is none of that name.
    """
    path = voice_file(name)
    if not exists(path):
        raise CalloutError(f"no voice of {name} was learned: callout check --ear --voice-of {name}")
    return path


def _journal(
    game: Path, setup: Path | None, recognizer: Callable[[], Path] | None, language: Path
) -> Journal:
    """The game's journal, created for a new game; `recognizer` finds the ear's, if it is used."""
    if _is_kept(game):
        journal = Journal.open(game)
        if journal.doubt:
            print(journal.doubt, file=sys.stderr)
        with _undone_if_it_fails(journal):
            struck = wants_struck(journal)
        if struck:
            journal.close()
            forget(game)
            journal = Journal.open(game)
        with _undone_if_it_fails(journal):
            _compare(journal, setup)
        return journal
    if setup is None:
        raise CalloutError(f"{game}: a new game needs its teams: --setup FILE")
    header = read_setup(setup)
    model = recognizer() if recognizer else None
    # Reading a model's list of words takes most of a second, so only if they are needed.
    known = model_words(model) if model and own_words(header) else None
    check_own_words(setup, open_language(language), known)
    journal = Journal.create(game, header)
    lists = [each.value.strip() for each in header_lines(setup) if each.key.startswith("roster ")]
    for path in (setup, *(setup.parent / name for name in lists)):
        journal.copied(path)  # These files hold the names, too.
    return journal


def _is_kept(game: Path) -> bool:
    """Whether the game's file exists, or at least its log."""
    return exists(game) or size_of(log_of(game)) > 0


@contextmanager
def _undone_if_it_fails(journal: Journal, new: bool = False) -> Iterator[None]:
    """If the start fails, release the lock and remove a new game's file."""
    try:
        yield
    except BaseException:
        journal.close()
        if new:
            journal.path.unlink(missing_ok=True)
        raise


def _compare(journal: Journal, file: Path | None) -> None:
    """Check that a setup belongs to the game that is resumed, and take people's names from it.

    Raises:
        CalloutError: it has other teams or another league.
    """
    if file is None:
        return
    game, kept = journal.path, journal.setup
    try:
        given = read_setup(file)
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
        what = f"its place, competition or captains differ from those of {game}, which stay"
        print(f"{file}: {what}", file=sys.stderr)
    _take_people(journal, file, given)


def _beside(setup: Setup) -> tuple[str | None, ...]:
    """What stands on the sheet and is part of the book."""
    return setup.place, setup.competition, setup.home.captain, setup.guest.captain


def _take_people(journal: Journal, file: Path, given: Setup) -> None:
    """Take coaches' and officials' names that a setup has and the game has not, or not so."""
    kept = {(whose, role): name for whose, role, name in journal.setup.people}
    now = kept | {(whose, role): name for whose, role, name in given.people}
    if now != kept:
        journal.copied(file)  # It holds names, too.
        journal.name_people(tuple((*who, name) for who, name in now.items()))
        new = [f"{who[1]} {name}" for who, name in now.items() if kept.get(who) != name]
        print(plain(f"{file}: names taken into the game: {', '.join(new)}"), file=sys.stderr)


def _lacking(setup: Setup, recognizer: Path) -> frozenset[str]:
    """The game's own words that this recognizer does not have.

    A game may have been made for another recognizer, or for none.

    Raises:
        ModelError: the model is damaged.
    """
    own = own_words(setup)
    lacking = own - model_words(recognizer) if own else own
    if lacking:
        print("ear: it does not know", ", ".join(sorted(lacking)), file=sys.stderr)
    return lacking
