"""Typed text into the words that would be spoken: people type digits, commas and full stops."""

from __future__ import annotations

import re
from collections.abc import Iterable
from typing import Final
from unicodedata import combining, normalize

from callout.language.slots import Words

NUMBER: Final = re.compile(
    r"\b(?:(?P<minutes>\d{1,2}):(?P<seconds>[0-5]\d)|(?P<whole>\d{1,2})\.(?P<tenths>\d)"
    r"|(?P<shirt>00)|0(?P<oh>\d)|(?P<count>[12]?\d{1,2}))\b(?!:\d|\.\d)"
)
"""A clock time, seconds with tenths, the shirt 00, seconds below ten, or a number up to 299."""

MARKS: Final = re.compile(r"[][(),.;!?¿¡#-]")
"""Punctuation, which nobody speaks."""


def typed_words(text: str, words: Words) -> str:
    """The text with numbers in words and without punctuation."""
    said = NUMBER.sub(lambda number: _known(number, words), text)
    return " ".join(MARKS.sub(" ", said).split())


def without_accents(word: str) -> str:
    """The word without its accents, as many people type it."""
    return "".join(sign for sign in normalize("NFD", word) if not combining(sign))


def by_plain(words: Iterable[str]) -> dict[str, str]:
    """Each word that has accents, by what is typed without them, where that is no other word."""
    known = set(words)
    plainly: dict[str, list[str]] = {}
    for word in sorted(known):
        plainly.setdefault(without_accents(word), []).append(word)
    return {typed: found[0] for typed, found in plainly.items()
            if len(found) == 1 and typed not in known}  # fmt: skip


def _known(number: re.Match[str], words: Words) -> str:
    try:
        return _said(number, words)
    except LookupError:
        # A language need not have words for every number.
        return number[0]


def _said(number: re.Match[str], words: Words) -> str:
    clock = words.file.clock
    match number.lastgroup:
        case "count":
            return words.count(int(number["count"]))
        case "shirt":
            return words.shirt("00")
        case _ if clock is None:
            return number[0]
        case "oh":
            return f"{clock.oh} {words.count(int(number['oh']))}"
        case "seconds":
            return words.clock(600 * int(number["minutes"]) + 10 * int(number["seconds"]))
        case _:
            return words.clock(10 * int(number["whole"]) + int(number["tenths"]))
