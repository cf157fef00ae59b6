"""The language of a game: one that comes with the program, or a person's own folder."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

from callout.errors import CalloutError
from callout.language.shipped import ENGLISH as ENGLISH
from callout.language.shipped import is_shipped, language_folder, languages
from callout.plain import quoted
from callout.reading import is_folder
from callout.table.setup.setup import Setup


def language_at(language: str) -> Path:
    """The folder of a language, by its code or its path.

    Raises:
        CalloutError: there is none.
    """
    own, ours = Path(language), language_folder(language)
    if not is_folder(own) and not is_folder(ours):
        known = ", ".join(languages())
        raise CalloutError(f"--language: expected {known}, or a folder, got {language!r}")
    return own if is_folder(own) else ours


def check_code(language: str) -> None:
    """Check that a language comes with the program, so that a game can keep it.

    Raises:
        CalloutError: it does not.
    """
    if language not in languages():
        what = f"expected {', '.join(languages())}, got {language!r}"
        raise CalloutError(f"--language: {what}; callout live takes a folder, too")


def spoken_in(setup: Setup, language: str = "") -> Path:
    """The folder of a game's language: that of `--language`, else the one that the game keeps.

    Raises:
        CalloutError: there is none.
    """
    if language:
        return language_at(language)
    # Somebody else's game may name anything, a path too: only what is ours is opened.
    if setup.language not in languages():
        what = f"expected {', '.join(languages())}, or --language FOLDER, got {setup.language!r}"
        raise CalloutError(f"the game's language: {what}")
    return language_folder(setup.language)


def kept_in(setup: Setup, language: str) -> Setup:
    """The setup of a new game that is called in the language of `--language`.

    A folder of somebody's own is not kept: on another machine there is none of that name.

    Raises:
        CalloutError: there is none.
    """
    folder = spoken_in(setup, language)
    return replace(setup, language=folder.name) if is_shipped(folder) else setup


def named_again(setup: Setup, language: str) -> str:
    """The option that a command for this game needs to go on in the language that was given.

    Empty where the game keeps that language.
    """
    if spoken_in(setup, language) == language_folder(setup.language):
        return ""
    return f" --language {quoted(language)}"


def is_heard(language: str) -> bool:
    """Whether the fetched recognizer hears it: `callout live` needs no `--ear off`."""
    return language == ENGLISH
