"""Lists of players, from a header line or a CSV file."""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path
from typing import Final

from callout.errors import InputError
from callout.game.values import SHIRTS
from callout.reading import read_text
from callout.table.setup.text_lines import check_seen, most_similar

COLUMNS: Final = ("number", "name", "starter")
"""The columns that are read from a CSV file; only the first is required."""

_HEADS: Final = {
    "number": "number", "no": "number", "no.": "number", "nr": "number", "nr.": "number",
    "#": "number", "name": "name", "player": "name", "starter": "starter",
}  # fmt: skip
"""Names that a column may have, in capitals or not."""
_HEAD: Final = re.compile(r"[\w.# -]{0,20}")

_YES: Final = frozenset({"yes", "y", "x", "1", "true"})


@dataclass(frozen=True, slots=True)
class Player:
    """One line of a team's list."""

    number: str
    name: str = ""
    starter: bool = False


class RosterError(Exception):
    """A list or header value that cannot be used; the reader of the file adds path and line."""


def parse_roster(text: str) -> tuple[Player, ...]:
    """The players of a header line: `4 5 7`, or with names `4 Ada Moss, 5 Bo Reed, 7`.

    Raises:
        RosterError: something is not a shirt number, or a number is given twice.
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
    # The comma at the end distinguishes "4 Ada Moss," from a list of bare numbers.
    return ", ".join(f"{player.number} {player.name}".strip() for player in listed) + ","


def read_roster(path: Path) -> tuple[Player, ...]:
    """The players of a CSV file with a header row: number, and optionally name and starter.

    Other columns are ignored, so that a club's own list can be used.

    Raises:
        InputError: the file cannot be read or has a mistake; `path:line: …`.
    """
    return parse_table(path, read_text(path))


def parse_table(path: Path, text: str) -> tuple[Player, ...]:
    """The players of a table with a header row, as `read_roster` reads it; `path` is for errors.

    Raises:
        InputError: it has a mistake; `path:line: …`.
    """
    first = text.partition("\n")[0]
    rows = csv.reader(io.StringIO(text), delimiter=max(",;\t", key=first.count))
    players: list[Player] = []
    try:
        at = _columns(path, next(rows, []))
        for row in rows:
            cells = {name: row[nth].strip() for name, nth in at.items() if nth < len(row)}
            if any(cells.values()):
                players.append(_player(path, cells, rows.line_num))
                _checked(players)
    except (RosterError, csv.Error) as error:
        raise InputError(path, str(error), rows.line_num) from None
    return tuple(players)


def is_table(head: str) -> bool:
    """Whether a line is the header row of such a table."""
    cells = [cell.strip().lower() for cell in re.split("[,;\t]", head)]
    return any(_HEADS.get(cell) == "number" for cell in cells)


def _columns(path: Path, heads: list[str]) -> dict[str, int]:
    """The positions of the columns number, name and starter."""
    given = [head.strip().lower() for head in heads]
    at: dict[str, int] = {}
    for nth, head in enumerate(given):
        column = _HEADS.get(head)
        if column is None and (near := most_similar(head, _HEADS)):
            raise InputError(path, f"expected {near!r} for a column, got {_told([head])}", 1)
        if column in at:
            raise InputError(path, f"expected one column for the {column}, got {head!r} too", 1)
        if column is not None:
            at[column] = nth
    if "number" not in at:
        what = f"expected the columns {', '.join(COLUMNS)} in the first line"
        raise InputError(path, f"{what}, got {_told(given)}", 1)
    return at


def _told(heads: list[str]) -> str:
    """Column heads as an error shows them; a file that is not a list at all is not quoted."""
    shown = all(_HEAD.fullmatch(head) for head in heads)
    return repr(", ".join(heads)) if shown else "something else"


def _player(path: Path, cells: dict[str, str], line: int) -> Player:
    name = cells.get("name", "")
    if "\n" in name:
        raise InputError(path, "expected a name on one line, got a line end in it", line)
    check_seen(path, name, line)
    starter = cells.get("starter", "").lower() in _YES
    return Player(cells.get("number", ""), " ".join(name.split()), starter)


def check_number(number: str) -> str:
    """The number itself, if it is a possible shirt number.

    Raises:
        RosterError: it is not.
    """
    if number not in SHIRTS:
        raise RosterError(f"expected a shirt number (0, 00, 1 to 99), got {number!r}")
    return number


def _checked(players: Iterable[Player]) -> tuple[Player, ...]:
    seen: dict[str, Player] = {}
    for player in players:
        if check_number(player.number) in seen:
            raise RosterError(f"expected each number once, got {player.number!r} twice")
        seen[player.number] = player
    return tuple(seen.values())
