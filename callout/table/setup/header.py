"""The header lines of a setup file or a script, as people write them: `key: value`.

A line that is nearly right is refused with the right line in the message. These checks apply only
to what people write; the header of a recorded game is read without them.
"""

from __future__ import annotations

import re
import unicodedata
from pathlib import Path
from typing import Final, NamedTuple

from callout.errors import InputError
from callout.language.shipped import languages
from callout.plain import JOINERS
from callout.table.setup.text_lines import most_similar, read_lines, strip_comment

KEYS: Final = (
    "profile", "language", "source", "situation", "place", "competition", "officials", "clock",
    "book", "wake", "home", "guest", "roster home", "roster guest", "starters home",
    "starters guest", "captain home", "captain guest", "coach home", "coach guest",
    "assistant home", "assistant guest", "colour home", "colour guest", "nickname home",
    "nickname guest", "league", "fixture",
)  # fmt: skip
"""Every key of a header, in the order in which they are taken."""
TEAMS: Final = ("home", "guest")
OWN: Final = ("colour home", "nickname home", "colour guest", "nickname guest", "wake")
"""The keys whose values are words that may be said in a call."""
MOST_WORDS: Final = 20
"""The most words in one of these lines, since each is one more to be listened for in every call."""

_LINE: Final = re.compile(r"([a-z]+(?: [a-z]+)?):(?:\s+(.*))?$")
_NEARLY: Final = re.compile(r"([^\W\d_]+(?:[ _-]+[^\W\d_]+)?)\s*[:=]\s*(.*)$")
"""A line that may be meant as a header line: with capitals, an equals sign or other spaces."""
_IN_WORDS: Final = "'’.&-!" + JOINERS
"""What a word may contain besides letters, combining marks and digits."""
_NUMBER: Final = re.compile(r"\d{1,3},?")


class Item(NamedTuple):
    """One line of a header."""

    key: str
    value: str
    line: int | None = None


def header_lines(path: Path) -> list[Item]:
    """The header lines of a file that contains nothing else but comments.

    Raises:
        InputError: the file cannot be read or contains something else; `path:line: …`.
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
    """The text as a header line; None if it is not one, nor meant as one.

    Raises:
        InputError: it is nearly one; the message gives the right line.
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
    if item.key == "language" and item.value not in languages():
        # A folder of somebody's own is no fact of the game: elsewhere there is none of that name.
        known = ", ".join(languages())
        raise InputError(path, f"language: expected {known}, got {item.value!r}", number)
    return item


def is_setup(path: Path) -> bool:
    """Whether a file is a setup file: header lines only, with a profile among them."""
    try:
        return any(item.key == "profile" for item in header_lines(path))
    except InputError:
        return False


def _meant(text: str) -> str:
    """The header line that was probably meant; empty if there is none, or if it is a call."""
    match = _NEARLY.match(text)
    if match is None:
        return ""
    near = most_similar(" ".join(match[1].lower().split()), KEYS)
    return f"{near}: {match[2]}".strip() if near else ""


def _check_bar(path: Path, item: Item) -> None:
    """Refuse shirt numbers without a bar before them: they would become part of the name."""
    words = item.value.split()
    numbers = [at for at, word in enumerate(words) if at and _NUMBER.fullmatch(word)]
    begin = len(words)
    while begin - 1 in numbers:
        begin -= 1
    if "," in item.value and numbers:  # Names stand between the numbers.
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
    """Refuse a value that cannot be said, or has too many words."""
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
