"""The lines of a new setup file, checked as a file by hand would be. Pure."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence, Set
from pathlib import Path
from typing import Final

from callout.language.grammar import Grammar
from callout.language.shipped import ENGLISH
from callout.table.setup.header import Item, header_item
from callout.table.setup.own_words import check_own_lines
from callout.table.setup.setup import Setup, make_setup
from callout.table.setup.text_lines import strip_comment

HEAD: Final = "# More lines that may stand here: callout live --help"
"""The first line of a file that the program wrote."""


def language_rows(language: str) -> list[str]:
    """The line of a setup file that says in which language it is called; English needs none."""
    return [f"language: {language}"] if language != ENGLISH else []


def items_of(path: Path, rows: Sequence[str]) -> list[Item]:
    """The header lines among these rows; `path` is for errors.

    Raises:
        InputError: a line is nearly one, or what it gives cannot be said.
    """
    items = (header_item(path, strip_comment(row), nth) for nth, row in enumerate(rows, start=1))
    return [item for item in items if item]


def checked(
    path: Path, rows: Sequence[str], grammar: Grammar, known: Set[str] | None = None
) -> Setup:
    """The setup that a file of these rows would give; `known` are the words that the ear knows.

    Raises:
        InputError: a game could not be played with it; `path:line: …`.
    """
    items = items_of(path, rows)
    setup = make_setup(items, path)
    check_own_lines(items, path, grammar, known)
    return setup


def named_after(teams: Iterable[str]) -> str:
    """A name for the setup file of a game between these teams."""
    words = (re.sub(r"[^a-z0-9]+", "-", team.lower()).strip("-") for team in teams)
    return f"{'-'.join(filter(None, words)) or 'game'}.setup"
