"""Text files that people write, line by line."""

from __future__ import annotations

import re
from pathlib import Path

from callout.errors import InputError


def read_lines(path: Path) -> list[str]:
    """The lines of a text file.

    Raises:
        InputError: it cannot be read, or is not text.
    """
    try:
        return path.read_text(encoding="utf-8-sig").splitlines()
    except UnicodeDecodeError:
        raise InputError(path, "expected a text file in UTF-8, got other bytes") from None
    except OSError as error:
        what = (error.strerror or str(error)).lower()
        raise InputError(path, f"expected a file that can be read: {what}") from None


def strip_comment(line: str) -> str:
    """The line without its comment and the space around it."""
    return re.sub(r"(^|\s)#.*$", "", line).strip()
