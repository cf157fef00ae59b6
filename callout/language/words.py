"""words.yaml of a language: the words of papers and of questions at the terminal.

What stands in another file of the language already is taken from there, so that each word stands
once: calls and checklist from replies.yaml, and what is said of a list of players from page.yaml.
"""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache
from pathlib import Path
from typing import Final

from callout.language.replies import RepliesFile
from callout.language.shipped import ENGLISH, language_folder, languages
from callout.language.slots import Strict
from callout.language.source import Source
from callout.words import Words

FILE: Final = "words.yaml"


class WordsFile(Strict):
    """words.yaml. In a text, what is filled in has a name in braces."""

    yes: tuple[str, ...]
    """The answers that mean yes, in lower case."""
    paper: Mapping[str, str]
    """What stands on the sheet, the box score and the book as text."""
    terminal: Mapping[str, str]
    """What commands ask and tell."""
    roles: Mapping[str, str] = {}
    """The officials' roles, as the profiles have them in English."""


@cache
def words_of(language: str) -> Words:
    """The words of a language that comes with the program; of any other the English ones.

    A stranger's game may name any language, and its sheet can be printed all the same.

    Raises:
        InputError: a file of the language is missing or wrong; `path:line: …`.
    """
    code = language if language in languages() else ENGLISH
    folder = language_folder(code)
    file = read_words(folder)
    texts = {**file.paper, **file.terminal}
    if code == ENGLISH:
        return Words(code, texts, file.roles, yes=file.yes)
    terms = Source(folder / "replies.yaml").as_model(RepliesFile).terms
    pages = Source(folder / "page.yaml").data["setup"]
    return Words(code, texts, file.roles, terms["calls"], terms["thing"], pages, file.yes)


def read_words(folder: Path) -> WordsFile:
    """The file of the language in a folder.

    Raises:
        InputError: it is missing or wrong; `path:line: …`.
    """
    return Source(folder / FILE).as_model(WordsFile)
