"""`callout live`: a game run at the table, made or taken up again."""

from __future__ import annotations

import sys
from contextlib import suppress
from pathlib import Path
from typing import Final

from callout.edges.live_table import LiveTable
from callout.edges.live_voice import Outlets
from callout.edges.models import RECOGNIZER, find_model
from callout.edges.player import EARS
from callout.edges.signals import end_no_more
from callout.edges.vocabulary import model_words
from callout.errors import CalloutError
from callout.language.grammar import language_folder, load_grammar
from callout.plain import plain
from callout.reading import exists, is_folder
from callout.table.game_path import check_game_path
from callout.table.journal import Journal
from callout.table.own_words import check_own_words, own_words
from callout.table.setup import Setup, read_setup

TYPED: Final = "typed"
"""In the place of a file of keys: the terminal takes calls in words, as before a keyboard."""

ENGLISH: Final = "en"
"""The language of the recognizer that is fetched."""


def live(
    game: Path,
    *,
    outlets: Outlets,
    setup: Path | None = None,
    ear: str = "open",
    microphone: str | None = None,
    screen: bool = False,
    keys: str = "",
    copy_to: Path | None = None,
    language: str = ENGLISH,
    model: Path | None = None,
) -> int:
    """Run a game until it is told to stop; the exit status.

    `language` is the name of one that comes with the program, or the folder of another; `model` a
    recognizer's folder in place of the English one.

    Raises:
        CalloutError: the game, its setup, the model or a device is wrong.
    """
    if ear not in ("open", "hold", "tap", "off"):
        raise CalloutError(f"--ear: expected hold, open, tap or off, got {ear!r}")
    if outlets.ears not in EARS:
        raise CalloutError(f"--ears: expected {', '.join(EARS)}, got {outlets.ears!r}")
    folder, heard = _folder(language), ear != "off"
    if heard and model is None and folder != _folder(ENGLISH):
        what = "the ear needs a recognizer of that language: --model FOLDER, or --ear off"
        raise CalloutError(f"--language {language}: {what}")
    check_game_path(game)
    new = not exists(game)
    with _journal(game, setup, model, heard, folder) as journal:
        own = Path(keys) if keys not in ("", TYPED) else None
        table = LiveTable(journal, outlets, screen, own, copy_to, folder)
        try:
            if heard:
                recognizer = find_model(RECOGNIZER, model)
                lacking = frozenset[str]() if new else _lacking(journal.setup, recognizer)
                table.listen(recognizer, microphone, ear, lacking)
            table.run(typed=keys == TYPED)
        except KeyboardInterrupt:
            with suppress(OSError):  # The terminal's window may be closed.
                print("The game is kept. To go on: callout live", plain(str(game)), file=sys.stderr)
        finally:
            end_no_more()
            table.close()
    return 0


def _folder(language: str) -> Path:
    own = Path(language)
    return own if is_folder(own) else language_folder(language)


def _journal(
    game: Path, setup: Path | None, model: Path | None, heard: bool, language: Path
) -> Journal:
    """The game's journal, made if it is new."""
    if exists(game):
        return Journal.open(game)
    if setup is None:
        raise CalloutError(f"{game}: a new game needs its teams: --setup FILE")
    header = read_setup(setup)
    recognizer = find_model(RECOGNIZER, model) if heard else None
    # Reading all of a model's words takes most of a second.
    known = model_words(recognizer) if recognizer and own_words(header) else None
    check_own_words(setup, load_grammar(language), known)
    return Journal.create(game, header)


def _lacking(setup: Setup, recognizer: Path) -> frozenset[str]:
    """What the ear cannot hear of a game that was made for another ear, or for none.

    Raises:
        ModelError: the model is damaged.
    """
    own = own_words(setup)
    lacking = own - model_words(recognizer) if own else own
    if lacking:
        print("ear: it does not know", ", ".join(sorted(lacking)), file=sys.stderr)
    return lacking
