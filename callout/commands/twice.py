"""Tells a person who names many games which of them are one game."""

from __future__ import annotations

import sys
from pathlib import Path

from callout.plain import plain


class Twice:
    """The games that one command has read so far.

    A copy would count twice in whatever is summed up from the command's output.
    """

    def __init__(self) -> None:
        self._first: dict[str, tuple[Path, str]] = {}

    def tell(self, path: Path, origin: str, mark: str) -> None:
        """Say so if an earlier file holds this game; `origin` is its mark before any entry."""
        if origin not in self._first:
            self._first[origin] = (path, mark)
            return
        first, booked = self._first[origin]
        how = "the same book as" if booked == mark else "the same game, at another time, as"
        print(plain(f"{path}: {how} {first}"), file=sys.stderr)
