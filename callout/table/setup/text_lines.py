"""Reading text files that people write, line by line."""

from __future__ import annotations

import re
from collections.abc import Iterable
from difflib import get_close_matches
from pathlib import Path
from typing import Final

from callout.errors import InputError
from callout.plain import unseen
from callout.reading import read_text

LEAST_SIMILARITY: Final = 0.75
"""The similarity, from 0 to 1, from which a misspelt word is recognised."""


def read_lines(path: Path) -> list[str]:
    """The lines of a text file.

    Raises:
        InputError: it cannot be read, is not text, or contains an invisible or control character;
            `path:line: …`.
    """
    lines = read_text(path).removesuffix("\n").split("\n")
    for number, line in enumerate(lines, start=1):
        check_seen(path, line, number)
    return lines


def check_seen(path: Path, line: str, number: int) -> None:
    """Check that a line shows all it contains: no escape sequence, no character that hides another.

    Raises:
        InputError: a character does not; the message names the first, with its column.
    """
    for at in unseen(line.replace("\t", " ")):
        what = f"expected text, got the character U+{ord(line[at]):04X} in column {at + 1}"
        raise InputError(path, what, number)


def most_similar(word: str, known: Iterable[str]) -> str | None:
    """The known word that a misspelt one was probably meant to be; None if none is similar."""
    return next(iter(get_close_matches(word, list(known), 1, LEAST_SIMILARITY)), None)


def strip_comment(line: str) -> str:
    """The line without its comment and the space around it."""
    return re.sub(r"(^|\s)#.*$", "", line).strip()
