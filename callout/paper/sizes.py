"""The sizes of paper that sheets, box scores and cards are made for."""

from __future__ import annotations

from typing import Final

from callout.errors import CalloutError

SIZES: Final = {"a4": "a4", "letter": "us-letter"}
"""Each size as a person names it, and typst's name for it."""


def paper_size(name: str) -> str:
    """Typst's name for a size of paper.

    Raises:
        CalloutError: there is no such size here.
    """
    if name not in SIZES:
        raise CalloutError(f"expected one of the papers {', '.join(SIZES)}, got {name!r}")
    return SIZES[name]
