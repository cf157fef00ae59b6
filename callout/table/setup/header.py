"""The header lines of a setup file or a script as people write them, each `key: value`.

What is nearly right is answered by the right line. Only what people write is held to this: a game
that was recorded before keeps its header, whatever it holds.
"""

from __future__ import annotations

import re
import unicodedata
from difflib import get_close_matches
from pathlib import Path
from typing import Final, NamedTuple

from callout.errors import InputError
from callout.plain import JOINERS
from callout.table.setup.text_lines import read_lines, strip_comment

KEYS: Final = (
    "profile", "source", "situation", "clock", "book", "wake", "home", "guest", "roster home",
    "roster guest", "starters home", "starters guest", "coach home", "coach guest", "colour home",
    "colour guest", "nickname home", "nickname guest",
)  # fmt: skip
"""Every key of a header, in the order in which they are taken."""
TEAMS: Final = ("home", "guest")
OWN: Final = ("colour home", "nickname home", "colour guest", "nickname guest", "wake")
"""The keys that give words by which something is called."""
MOST_WORDS: Final = 20
"""Words of one of these lines: all of them are listened for, in every call."""

_LINE: Final = re.compile(r"([a-z]+(?: [a-z]+)?):(?:\s+(.*))?$")
_NEARLY: Final = re.compile(r"([^\W\d_]+(?:[ _-]+[^\W\d_]+)?)\s*[:=]\s*(.*)$")
"""Capitals, no space after the colon, an equals sign."""
_IN_WORDS: Final = "'’.&-!" + JOINERS
"""What may stand in a word beside letters, their marks, and digits."""
_NUMBER: Final = re.compile(r"\d{1,3},?")
_ALIKE: Final = 0.75
"""How like a key what was written must be for that key to be meant, of 1."""


class Item(NamedTuple):
    """One line of a header."""

    key: str
    value: str
    line: int | None = None


def header_lines(path: Path) -> list[Item]:
    """The header lines of a file that holds nothing else but comments.

    Raises:
        InputError: the file cannot be read or holds something else; `path:line: …`.
    """
    items: list[Item] = []
    for number, line in enumerate(read_lines(path), start=1):
        text = strip_comment(line)
        item = header_item(path, text, number)
        if text and not item:
            raise InputError(path, f"expected 'key: value', got {text!r}", number)
        if item:
            items.append(item)
    return items


def header_item(path: Path, text: str, number: int) -> Item | None:
    """The header line that a text is; None where it is none, nor meant for one.

    Raises:
        InputError: it is nearly one; the right line is named.
    """
    match = _LINE.match(text)
    if match is None or match[1] not in KEYS:
        right = _meant(text)
        if right:
            raise InputError(path, f"expected {right!r}, got {text!r}", number)
        return Item(match[1], match[2] or "", number) if match else None
    item = Item(match[1], " ".join((match[2] or "").split()), number)
    if item.key in TEAMS:
        _check_bar(path, item)
    if item.key in OWN:
        _check_words(path, item)
    return item


def is_setup(path: Path) -> bool:
    """Whether a file is one of teams: nothing but header lines, a profile among them."""
    try:
        return any(item.key == "profile" for item in header_lines(path))
    except InputError:
        return False


def _meant(text: str) -> str:
    """The header line that was meant; empty where it cannot be told, or where it is a call."""
    match = _NEARLY.match(text)
    if match is None:
        return ""
    near = get_close_matches(" ".join(match[1].lower().split()), KEYS, 1, _ALIKE)
    return f"{near[0]}: {match[2]}".strip() if near else ""


def _check_bar(path: Path, item: Item) -> None:
    """See that no shirt numbers are taken for a part of the team's name."""
    words = item.value.split()
    numbers = [at for at, word in enumerate(words) if at and _NUMBER.fullmatch(word)]
    begin = len(words)
    while begin - 1 in numbers:
        begin -= 1
    if "," in item.value and numbers:  # names stand between the numbers
        begin = numbers[0]
    if "|" in item.value or begin == len(words):
        return
    rest = words[begin:]
    right = f"{item.key}: {' '.join(words[:begin])} | {' '.join(rest)}"
    what = f"expected a bar before the numbers, {right!r}"
    if len(rest) == 1:
        what += f" (or after them, '{item.key}: {item.value} |', if they are the team's name)"
    raise InputError(path, f"{what}, got '{item.key}: {item.value}'", item.line)


def _check_words(path: Path, item: Item) -> None:
    """See that it can be said."""
    words = item.value.replace(",", " ").split()
    if len(words) > MOST_WORDS:
        what = f"{item.key}: expected at most {MOST_WORDS} words, got {len(words)}"
        raise InputError(path, what, item.line)
    for word in words:
        if not _is_word(word):
            raise InputError(path, f"{item.key}: expected a word, got {word!r}", item.line)


def _is_word(word: str) -> bool:
    kinds = [unicodedata.category(sign)[0] for sign in word if sign not in _IN_WORDS]
    return set(kinds) <= set("LMN") and bool(set(kinds) & set("LN"))
