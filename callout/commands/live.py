"""`callout live`: runs a game at the table, a new one or one that is resumed."""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from functools import cache, partial
from pathlib import Path
from typing import Final

from callout.commands.opened import is_kept, open_game, undone_if_it_fails
from callout.commands.spoken import named_again, spoken_in
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
from callout.errors import CalloutError, ModelError
from callout.game.state import Game, Phase
from callout.language.shipped import language_folder
from callout.plain import plain, quoted
from callout.reading import exists
from callout.table.book.journal import Journal
from callout.table.setup.game_path import check_game_path
from callout.table.setup.own_words import own_words
from callout.table.setup.setup import Setup

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
    language: str = "",
    model: Path | None = None,
    voice_of: str = "",
    at_table: Callable[..., LiveTable] = LiveTable,
) -> int:
    """Run a game until it is stopped; returns the exit status.

    `language` is one that comes with the program, or a folder; if empty, the one that the game
    keeps. `model` is the folder of a recognizer other than the English one, `voice_of` the name of
    a learned voice, `at_table` makes the table.

    Raises:
        CalloutError: the game, its setup, the model or a device is wrong.
    """
    if ear not in (*Mode, OFF):
        raise CalloutError(f"--ear: expected hold, open, tap or off, got {ear!r}")
    check_ears(outlets)
    start_ear = with_learned(_learned(voice_of)) if voice_of else Hearing
    check_game_path(game)
    new = not is_kept(game)
    # Found only if it is needed, and once: finding it computes the hashes of all its files.
    recognizer = cache(partial(_recognizer, model)) if ear != OFF else None
    with open_game(game, setup, language, recognizer) as journal:
        own = Path(keys) if keys not in ("", TYPED) else None
        with undone_if_it_fails(journal, new):
            folder = spoken_in(journal.setup, language)
            heard = recognizer(folder) if recognizer else None
            displays = open_displays(shown, journal.setup, journal.path, folder)
            table = at_table(journal, outlets, displays, own, copy_to, folder, ear=start_ear)
        with _until_stopped(journal, table, language):
            _hint(shown, keys)
            if heard is not None:
                lacking = frozenset[str]() if new else _lacking(journal.setup, heard)
                table.listen(heard, microphone, Mode(ear), lacking)
            table.run(typed=keys == TYPED)
    return 0


@contextmanager
def _until_stopped(journal: Journal, table: LiveTable, language: str) -> Iterator[None]:
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
        _tell_next(journal, table.session.game, language)


def _hint(shown: Shown, keys: str) -> None:
    """Tells who sits at a terminal how to begin and how to end."""
    if sys.stdin.isatty() and not shown.screen:
        print(HINTS[keys == TYPED])


def _tell_next(journal: Journal, game: Game, language: str) -> None:
    """Tells what can be done once the program has ended, as commands that can be copied."""
    file = quoted(journal.path)
    # Without it the game would go on in the language that it keeps, and understand no call.
    again = f"{file}{named_again(journal.setup, language)}"
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


def _recognizer(model: Path | None, language: Path) -> Path:
    """The folder of the recognizer of a language, which is given as its folder.

    Raises:
        ModelError: it is missing or damaged; it says how the game can be kept all the same.
    """
    if model is None and language != language_folder():
        what = "the ear needs a recognizer of that language: --model FOLDER, or --ear off"
        raise ModelError(f"the game's language is {language.name!r}: {what}")
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
