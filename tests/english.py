"""English, loaded and checked once a process."""

from __future__ import annotations

from functools import cache

from callout.language.check import load_language
from callout.language.grammar import Grammar, language_folder


@cache
def english_grammar() -> Grammar:
    """The grammar that all but a few tests use."""
    return load_language(language_folder())
