"""The header of a journal: the game's setup as JSON, without people's names."""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path

from callout.table.book.names import Name, with_names
from callout.table.book.rows import read_json, read_text, write_json
from callout.table.setup.pairs import setup_pairs
from callout.table.setup.setup import Item, Setup, make_setup


def header_text(setup: Setup) -> str:
    """The header's text for a setup."""
    return write_json(setup_pairs(with_names(setup)))


def read_header(text: object, path: Path, names: Iterable[Name] = ()) -> Setup:
    """The setup of a header's text and of the names stored beside it.

    Raises:
        InputError, ValueError: the text is not a header.
    """
    known = [(read_text(team), read_text(number), read_text(name)) for team, number, name in names]
    return with_names(setup_of(read_json(text), path), known)


def setup_of(pairs: object, path: Path) -> Setup:
    """The setup of a header's keys and values.

    Raises:
        InputError, ValueError: they are not those of a header.
    """
    if not isinstance(pairs, dict) or not all(isinstance(each, str) for each in pairs.values()):
        raise ValueError("expected a header's keys, each with text")
    # A recorded header contains its lists. One that names a file would make the reader open it.
    if files := [key for key in pairs if key.startswith("roster")]:
        raise ValueError(f"expected no key {files[0]!r} in a header")
    return make_setup([Item(*pair) for pair in pairs.items()], path)
