"""A team's list as people paste or type it: numbers alone, a player on a line, or a table. Pure."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Final

from callout.game.values import SHIRTS
from callout.plain import without_unseen
from callout.table.setup.player_table import csv_rows, is_table, read_table
from callout.table.setup.roster import Player, numbers_alone

MOST_PLAYERS: Final = 40
LONGEST_NAME: Final = 40
"""A list of this size fits the one line that a setup file has for it."""

TABLE_ROW: Final = "list:"
"""What is left out of a table begins so, and says why itself."""

SAME_NAME: Final = "expected another name than the home team's"

_BETWEEN: Final = re.compile(r"[\s,;/]+")
_PARTS: Final = re.compile(r"[,;](?=\s*(?:no\.?|nr\.?|#)?\s*\d)", re.IGNORECASE)
"""A comma before a number: the next player begins."""
_FIRST: Final = re.compile(r"(?:no\.?|nr\.?|#)?\s*(\d{1,2})(?![\w])[.):]?\s*(.*)", re.IGNORECASE)
_LAST: Final = re.compile(r"(\D*?)[\s,;:#(]+(\d{1,2})\)?")
_NOT_IN_NAMES: Final = re.compile(r"[|#,;\t]+")
"""Signs that mean something else in a setup file."""
_NUMBERS_BEHIND: Final = re.compile(
    r"(.*?[^\W\d].*?)\s*(?:\|\s*|\s(?=\d{1,2}(?:[\s,;]|$)))([\d\s,;]+)"
)


@dataclass(frozen=True, slots=True)
class Pasted:
    """What a list holds."""

    players: tuple[Player, ...] = ()
    left_out: tuple[str, ...] = ()
    """What was taken for no player, or for one that the list has already."""
    rows: tuple[int, ...] = ()
    """The line of each part that is left out, counted from 1."""


def read_pasted(lines: Sequence[str]) -> Pasted:
    """The players of a list, line by line; what cannot be read is left out and named."""
    rows = [(nth, line.strip()) for nth, line in enumerate(lines, start=1) if line.strip()]
    if rows and is_table(re.split("[,;\t]", rows[0][1])):
        return _of_table([line for _, line in rows], [nth for nth, _ in rows])
    found: dict[str, Player] = {}
    left_out: list[tuple[int, str]] = []
    for nth, part in ((nth, part) for nth, row in rows for part in _parts(row)):
        player = _player(part)
        full = len(found) == MOST_PLAYERS
        if player is None or player.number in found or full:
            left_out.append((nth, part))
        else:
            found[player.number] = player
    return _pasted(found.values(), left_out)


def _of_table(lines: Sequence[str], rows: Sequence[int]) -> Pasted:
    table = read_table(csv_rows("\n".join(lines)))
    if table.mistakes:
        wrong = [(rows[m.row - 1], f"{TABLE_ROW}{m.row}: {m.what}") for m in table.mistakes]
        return _pasted([], wrong)
    players = [Player(p.number, clean_name(p.name)) for p in table.players]
    more = zip(table.rows[MOST_PLAYERS:], players[MOST_PLAYERS:], strict=True)
    left_out = [(rows[row - 1], f"{p.number} {p.name}".strip()) for row, p in more]
    return _pasted(players[:MOST_PLAYERS], left_out)


def _pasted(players: Iterable[Player], left_out: Sequence[tuple[int, str]]) -> Pasted:
    parts, rows = tuple(part for _, part in left_out), tuple(row for row, _ in left_out)
    return Pasted(tuple(players), parts, rows)


def name_and_numbers(text: str) -> tuple[str, str]:
    """A team's name, and numbers that were written behind it: `Harbour Kites 4 5 7`.

    A single number without a bar belongs to the name, as in `Foxes 2`.
    """
    match = _NUMBERS_BEHIND.fullmatch(text.strip())
    if match is None or ("|" not in text and len(_BETWEEN.split(match[2].strip())) < 2):
        return clean_name(text), ""
    return clean_name(match[1]), match[2].strip()


def same_name(one: str, other: str) -> bool:
    """Whether two teams have one name: then no sheet and no league tells them apart."""
    first, second = clean_name(one).casefold(), clean_name(other).casefold()
    return bool(first) and first == second


def clean_name(text: str) -> str:
    """A name as a setup file can hold it."""
    shown = without_unseen(text.replace("\t", " "))
    return " ".join(_NOT_IN_NAMES.sub(" ", shown).split())[:LONGEST_NAME].rstrip()


def _parts(row: str) -> list[str]:
    """The players of one line: numbers alone, several with their names, or one."""
    words = [word for word in _BETWEEN.split(row) if word]
    if all(word.isdecimal() for word in words):
        return words
    if len(re.findall(r"\d+", row)) == 1:
        return [row]
    parts = [part.strip() for part in _PARTS.split(row) if part.strip()]
    return [player for part in parts for player in numbers_alone(part) or (part,)]


def _player(part: str) -> Player | None:
    """One player, the number before the name or behind it; None if there is no shirt number."""
    if match := _FIRST.fullmatch(part):
        number, name = match[1], match[2]
    elif match := _LAST.fullmatch(part):
        name, number = match[1], match[2]
    else:
        return None
    return Player(number, clean_name(name)) if number in SHIRTS else None
