"""What the tests of the table share."""

from __future__ import annotations

import pytest

from tests.table.play import Book, Table


@pytest.fixture
def book() -> Book:
    """A game before its first call, kept without words."""
    return Book()


@pytest.fixture
def table() -> Table:
    """A table before the first call of its game."""
    return Table()
