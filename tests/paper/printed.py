"""The text of a PDF as a reader sees it: rows of words, read back by pdfminer."""

from __future__ import annotations

import io
from collections.abc import Iterator
from typing import Any

from pdfminer.high_level import extract_pages
from pdfminer.layout import LTChar, LTPage

SAME_ROW = 2.0
"""Points by which the baselines of one row may differ: its words may be of several sizes."""
GAP = 0.18
"""The distance between two letters from which they belong to two words, as a part of their size."""


def rows(pdf: bytes, left: float = 0, right: float = 1) -> list[list[str]]:
    """The words of each row, from the top; words far apart on one height are one row.

    `left` and `right` bound a part of the page's width.
    """
    made = []
    for page in extract_pages(io.BytesIO(pdf)):
        made += _rows(page, left * page.width, right * page.width)
    return made


def _rows(page: LTPage, left: float, right: float) -> list[list[str]]:
    found: dict[float, list[LTChar]] = {}
    for letter in letters(page):
        # What is turned by a right angle is in no row.
        if letter.matrix[1] == 0 and left <= letter.x0 < right:
            height = next((y for y in found if abs(y - letter.matrix[5]) <= SAME_ROW), None)
            found.setdefault(letter.matrix[5] if height is None else height, []).append(letter)
    heights = sorted(found, reverse=True)
    return [list(_words(sorted(found[y], key=lambda each: each.x0))) for y in heights]


def letters(thing: Any) -> Iterator[LTChar]:
    if isinstance(thing, LTChar):
        yield thing
    elif hasattr(thing, "__iter__"):
        for each in thing:
            yield from letters(each)


def _words(letters: list[LTChar]) -> Iterator[str]:
    word, end = "", None
    for letter in letters:
        text = letter.get_text().replace("\N{MINUS SIGN}", "-")
        apart = end is not None and letter.x0 - end > GAP * letter.size
        if word and (apart or not text.strip()):
            yield word
            word = ""
        word += text.strip()
        end = letter.x1
    if word:
        yield word
