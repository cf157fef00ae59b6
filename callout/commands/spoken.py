"""The language of a game: one that comes with the program, or a person's own folder."""

from __future__ import annotations

from pathlib import Path

from callout.edges.voice.voice import ENGLISH as ENGLISH
from callout.errors import CalloutError
from callout.language.grammar import language_folder
from callout.reading import is_folder


def language_at(language: str) -> Path:
    """The folder of a language, by its code or its path.

    Raises:
        CalloutError: there is none.
    """
    own, ours = Path(language), language_folder(language)
    if not is_folder(own) and not is_folder(ours):
        known = ", ".join(sorted(each.name for each in ours.parent.iterdir() if is_folder(each)))
        raise CalloutError(f"--language: expected {known}, or a folder, got {language!r}")
    return own if is_folder(own) else ours
