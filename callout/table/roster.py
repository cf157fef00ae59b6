"""Lists of players: in a header line, or in a CSV file."""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path
from typing import Final

from callout.errors import InputError

COLUMNS: Final = ("number", "name", "starter")
"""The columns of a CSV list; only the first must be there."""

_NUMBER: Final = re.compile(r"0|00|[1-9][0-9]?")
_YES: Final = frozenset({"yes", "y", "x", "1", "true"})


@dataclass(frozen=True, slots=True)
class Player:
    """One line of a team's list."""

    number: str
    name: str = ""
    starter: bool = False


class RosterError(Exception):
    """A list that cannot be; the reader of the file adds the place."""


def parse_roster(text: str) -> tuple[Player, ...]:
    """The players of a header line: `4 5 7`, or with names `4 Ada Moss, 5 Bo Reed, 7`.

    Raises:
        RosterError: not a shirt number, or one given twice.
    """
    if "," in text:
        parts = [part.split(None, 1) for part in text.split(",") if part.strip()]
        return _checked(Player(part[0], part[1].strip() if part[1:] else "") for part in parts)
    return _checked(Player(number) for number in text.split())


def say_roster(players: Iterable[Player]) -> str:
    """The header line that `parse_roster` reads as these players."""
    listed = list(players)
    if not any(player.name for player in listed):
        return " ".join(player.number for player in listed)
    # The comma at the end keeps a single name apart from a list of bare numbers.
    return ", ".join(f"{player.number} {player.name}".strip() for player in listed) + ","


def read_roster(path: Path) -> tuple[Player, ...]:
    """The players of a CSV file with a header row: number, and if wanted name and starter.

    Raises:
        InputError: the file cannot be read or holds what it may not; `path:line: …`.
    """
    try:
        text = path.read_text(encoding="utf-8-sig")
    except (OSError, UnicodeDecodeError) as error:
        raise InputError(path, f"expected a CSV file of players: {_why(error)}") from None
    rows = csv.DictReader(io.StringIO(text), delimiter=";" if ";" in text[:200] else ",")
    columns = [column.strip().lower() for column in rows.fieldnames or ()]
    rows.fieldnames = columns
    unknown = [column for column in columns if column not in COLUMNS]
    if unknown or "number" not in columns:
        got = repr(unknown[0] if unknown else ", ".join(columns))
        raise InputError(path, f"expected the columns {', '.join(COLUMNS)}, got {got}", 1)
    players: list[Player] = []
    for row in rows:
        player = Player(_cell(row, "number"), _cell(row, "name"), _starts(row))
        try:
            _checked([*players, player])
        except RosterError as error:
            raise InputError(path, str(error), rows.line_num) from None
        players.append(player)
    return tuple(players)


def check_number(number: str) -> str:
    """The number itself, if it can stand on a shirt.

    Raises:
        RosterError: it cannot.
    """
    if not _NUMBER.fullmatch(number):
        raise RosterError(f"expected a shirt number (0, 00, 1 to 99), got {number!r}")
    return number


def _checked(players: Iterable[Player]) -> tuple[Player, ...]:
    seen: dict[str, Player] = {}
    for player in players:
        if check_number(player.number) in seen:
            raise RosterError(f"expected each number once, got {player.number!r} twice")
        seen[player.number] = player
    return tuple(seen.values())


def _cell(row: dict[str, str], column: str) -> str:
    return (row.get(column) or "").strip()


def _starts(row: dict[str, str]) -> bool:
    return _cell(row, "starter").lower() in _YES


def _why(error: Exception) -> str:
    return (error.strerror or str(error)).lower() if isinstance(error, OSError) else "not UTF-8"
