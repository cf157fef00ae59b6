"""The English grammar, opened without its checks, as commands open it; and the English words."""

from __future__ import annotations

from callout.language.check import open_language
from callout.language.grammar import Grammar, language_folder
from callout.language.words import words_of

WORDS = words_of("en")
"""What papers say, and what commands ask."""


def english_grammar() -> Grammar:
    """The grammar that all but a few tests use; it is read once a process.

    It is checked once in all, by `tests/language/test_shipped.py`.
    """
    return open_language(language_folder())
