"""words.yaml of a language: the words of papers.

What stands in replies.yaml already, the names of calls and the checklist, is taken from there, so
that each word stands once.
"""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache
from pathlib import Path

from callout.language.replies import RepliesFile
from callout.language.shipped import ENGLISH, language_folder, languages
from callout.language.slots import Strict
from callout.language.source import Source
from callout.words import Words

FILE = "words.yaml"


class WordsFile(Strict):
    """words.yaml. In a text, what is filled in has a name in braces."""

    paper: Mapping[str, str]
    """What stands on the sheet, the box score and the book as text."""
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
    if code == ENGLISH:
        return Words(code, file.paper, file.roles)
    terms = Source(folder / "replies.yaml").as_model(RepliesFile).terms
    return Words(code, file.paper, file.roles, terms["calls"], terms["thing"])


def read_words(folder: Path) -> WordsFile:
    """The file of the language in a folder.

    Raises:
        InputError: it is missing or wrong; `path:line: …`.
    """
    return Source(folder / FILE).as_model(WordsFile)
