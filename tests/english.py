"""English, read and checked once for all the tests of a process: it never changes."""

from __future__ import annotations

from functools import cache

from callout.language.check import load_language
from callout.language.grammar import Grammar, language_folder


@cache
def english_grammar() -> Grammar:
    """The language that all but a few tests are in."""
    return load_language(language_folder())
