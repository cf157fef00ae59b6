"""Text files that people write, line by line."""

from __future__ import annotations

import re
from pathlib import Path

from callout.errors import InputError
from callout.plain import unseen
from callout.reading import read_text


def read_lines(path: Path) -> list[str]:
    """The lines of a text file.

    Raises:
        InputError: it cannot be read, is not text, or holds a character that may not be shown as
            it is; `path:line: …`.
    """
    lines = read_text(path).removesuffix("\n").split("\n")
    for number, line in enumerate(lines, start=1):
        check_seen(path, line, number)
    return lines


def check_seen(path: Path, line: str, number: int) -> None:
    """See that all of a line is seen as it is: no escape, no turned writing, nothing hidden.

    Raises:
        InputError: the first character that is not, with its column.
    """
    for at in unseen(line.replace("\t", " ")):
        what = f"expected text, got the character U+{ord(line[at]):04X} in column {at + 1}"
        raise InputError(path, what, number)


def strip_comment(line: str) -> str:
    """The line without its comment and the space around it."""
    return re.sub(r"(^|\s)#.*$", "", line).strip()
