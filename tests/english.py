"""English, with its checks."""

from __future__ import annotations

from callout.language.check import load_language
from callout.language.grammar import Grammar, language_folder


def english_grammar() -> Grammar:
    """The grammar that all but a few tests use; it is read and checked once a process."""
    return load_language(language_folder())
