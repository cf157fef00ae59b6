"""A team's list as people paste or type it: numbers alone, a player on a line, or a table. Pure."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Final

from callout.errors import InputError
from callout.game.values import SHIRTS
from callout.plain import unseen
from callout.table.setup.roster import Player, is_table, parse_table

PASTED: Final = Path("list")
"""What an error calls a list that came from no file."""

MOST_PLAYERS: Final = 40
LONGEST_NAME: Final = 40
"""A list of this size fits the one line that a setup file has for it."""

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


def read_pasted(lines: Sequence[str]) -> Pasted:
    """The players of a list, line by line; what cannot be read is left out and named."""
    rows = [line.strip() for line in lines if line.strip()]
    if rows and is_table(rows[0]):
        try:
            listed = parse_table(PASTED, "\n".join(rows))
            players = [Player(p.number, clean_name(p.name)) for p in listed]
            return Pasted(tuple(players[:MOST_PLAYERS]), _names(players[MOST_PLAYERS:]))
        except InputError as error:
            return Pasted((), (str(error),))
    found: dict[str, Player] = {}
    left_out: list[str] = []
    for part in (each for row in rows for each in _parts(row)):
        player = _player(part)
        full = len(found) == MOST_PLAYERS
        if player is None or player.number in found or full:
            left_out.append(part)
        else:
            found[player.number] = player
    return Pasted(tuple(found.values()), tuple(left_out))


def name_and_numbers(text: str) -> tuple[str, str]:
    """A team's name, and numbers that were written behind it: `Harbour Kites 4 5 7`.

    A single number without a bar belongs to the name, as in `Foxes 2`.
    """
    match = _NUMBERS_BEHIND.fullmatch(text.strip())
    if match is None or ("|" not in text and len(_BETWEEN.split(match[2].strip())) < 2):
        return clean_name(text), ""
    return clean_name(match[1]), match[2].strip()


def clean_name(text: str) -> str:
    """A name as a setup file can hold it."""
    hidden = set(unseen(text.replace("\t", " ")))
    shown = "".join(sign for at, sign in enumerate(text) if at not in hidden)
    return " ".join(_NOT_IN_NAMES.sub(" ", shown).split())[:LONGEST_NAME].rstrip()


def _names(players: Sequence[Player]) -> tuple[str, ...]:
    return tuple(f"{player.number} {player.name}".strip() for player in players)


def _parts(row: str) -> list[str]:
    """The players of one line: numbers alone, several with their names, or one."""
    words = [word for word in _BETWEEN.split(row) if word]
    if all(word.isdecimal() for word in words):
        return words
    if len(re.findall(r"\d+", row)) == 1:
        return [row]
    return [part.strip() for part in _PARTS.split(row) if part.strip()]


def _player(part: str) -> Player | None:
    """One player, the number before the name or behind it; None if there is no shirt number."""
    if match := _FIRST.fullmatch(part):
        number, name = match[1], match[2]
    elif match := _LAST.fullmatch(part):
        name, number = match[1], match[2]
    else:
        return None
    return Player(number, clean_name(name)) if number in SHIRTS else None
