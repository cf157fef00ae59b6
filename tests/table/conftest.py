"""What the tests of the table share."""

from __future__ import annotations

import pytest

from callout.language.check import load_language
from callout.language.grammar import Grammar
from callout.table.script import english

from .book import Book, Table


@pytest.fixture
def book() -> Book:
    """A game before its first call, kept without words."""
    return Book()


@pytest.fixture(scope="session")
def grammar() -> Grammar:
    """English, read once for all tests."""
    return load_language(english())


@pytest.fixture
def table(grammar: Grammar) -> Table:
    """A table before the first call of its game."""
    return Table(grammar)
