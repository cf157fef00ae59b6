"""Lists of players as tables: a CSV file, or the cells of a spreadsheet. Pure but for the file.

Every mistake has a place, the row and the column as a spreadsheet names them. A list with a mistake
gives no players at all.
"""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Final, NamedTuple

from callout.errors import InputError
from callout.game.values import SHIRTS
from callout.plain import unseen
from callout.reading import read_text
from callout.table.setup.roster import NO_SHIRT, TWICE, Player
from callout.table.setup.text_lines import most_similar

COLUMNS: Final = ("number", "name", "starter")
"""The columns that are read; only the first is required."""

_HEADS: Final = {
    "number": "number", "no": "number", "no.": "number", "nr": "number", "nr.": "number",
    "#": "number", "name": "name", "player": "name", "starter": "starter",
}  # fmt: skip
"""Names that a column may have, in capitals or not."""
_HEAD: Final = re.compile(r"[\w.# -]{0,20}")

_YES: Final = frozenset({"yes", "y", "x", "1", "true"})

_FORMULA: Final = re.compile(r"=.|[+@-].*[(!]", re.DOTALL)
"""What a spreadsheet would compute. Source: OWASP, CSV injection."""


class Mistake(NamedTuple):
    """What is wrong with a list, and where."""

    row: int
    column: str
    """The letter of a spreadsheet's column; empty where it is the whole row."""
    what: str


class Row(NamedTuple):
    """The cells of one row."""

    number: int
    cells: Sequence[str]


@dataclass(frozen=True, slots=True)
class Table:
    """What was read of a table."""

    players: tuple[Player, ...] = ()
    """None if there is a mistake."""
    rows: tuple[int, ...] = ()
    """The row of each player."""
    mistakes: tuple[Mistake, ...] = ()


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
    table = read_table(csv_rows(text))
    for mistake in table.mistakes:
        raise InputError(path, mistake.what, mistake.row)
    return table.players


def csv_rows(text: str) -> Iterator[Row | Mistake]:
    """The rows of a CSV text, whichever sign stands between its cells."""
    first = text.partition("\n")[0]
    rows = csv.reader(io.StringIO(text), delimiter=max(",;\t", key=first.count))
    while True:
        try:
            cells = next(rows, None)
        except csv.Error as error:
            yield Mistake(rows.line_num, "", str(error))
            return
        if cells is None:
            return
        yield Row(rows.line_num, cells)


def read_table(rows: Iterable[Row | Mistake]) -> Table:
    """The players of a table whose first row names the columns, or all that is wrong with it."""
    listed = iter(rows)
    head = next(listed, Row(1, []))
    columns = head if isinstance(head, Mistake) else _columns(head)
    if isinstance(columns, Mistake):
        return Table(mistakes=(columns,))
    players: dict[str, Player] = {}
    numbers: list[int] = []
    mistakes: list[Mistake] = []
    for row in listed:
        if isinstance(row, Mistake):
            mistakes.append(row)
            continue
        cells = {
            name: row.cells[nth].strip() for name, nth in columns.items() if nth < len(row.cells)
        }
        if not any(cells.values()):
            continue
        wrong = list(_wrong(row.number, columns, cells, players))
        mistakes += wrong
        if not wrong:
            name = " ".join(cells.get("name", "").split())
            starter = cells.get("starter", "").lower() in _YES
            players[cells["number"]] = Player(cells["number"], name, starter)
            numbers.append(row.number)
    if mistakes:
        return Table(mistakes=tuple(mistakes))
    return Table(tuple(players.values()), tuple(numbers))


def is_table(cells: Iterable[str]) -> bool:
    """Whether these cells are the header row of such a table."""
    return any(_HEADS.get(cell.strip().lower()) == "number" for cell in cells)


def column_letter(nth: int) -> str:
    """The name of a column, counted from 0: A to Z, then AA."""
    before, last = divmod(nth, 26)
    return (column_letter(before - 1) if before else "") + chr(ord("A") + last)


def _wrong(
    row: int, columns: Mapping[str, int], cells: Mapping[str, str], known: Mapping[str, Player]
) -> Iterator[Mistake]:
    """What is wrong with one player, the name first."""
    name, number = cells.get("name", ""), cells.get("number", "")
    if name:
        at = column_letter(columns["name"])
        if "\n" in name:
            yield Mistake(row, at, "expected a name on one line, got a line end in it")
        elif is_formula(name):
            yield Mistake(row, at, f"expected a name, got the formula {name!r}")
        else:
            yield from (Mistake(row, at, what) for what in hidden(name))
    at = column_letter(columns["number"])
    if is_formula(number):
        yield Mistake(row, at, f"expected a shirt number, got the formula {number!r}")
    elif number not in SHIRTS:
        yield Mistake(row, at, NO_SHIRT.format(number))
    elif number in known:
        yield Mistake(row, at, TWICE.format(number))


def is_formula(cell: str) -> bool:
    """Whether a spreadsheet would compute what stands in a cell."""
    return _FORMULA.match(cell) is not None


def hidden(name: str) -> Iterator[str]:
    """What to say of the first character of a name that shows nothing, or hides another."""
    for at in unseen(name.replace("\t", " ")):
        yield f"expected text, got the character U+{ord(name[at]):04X} as sign {at + 1} of it"
        return


def _columns(head: Row) -> dict[str, int] | Mistake:
    """The positions of the columns number, name and starter."""
    given = [cell.strip().lower() for cell in head.cells]
    at: dict[str, int] = {}
    for nth, name in enumerate(given):
        column, place = _HEADS.get(name), column_letter(nth)
        if column is None and (near := most_similar(name, _HEADS)):
            return Mistake(
                head.number, place, f"expected {near!r} for a column, got {_told([name])}"
            )
        if column in at:
            return Mistake(
                head.number, place, f"expected one column for the {column}, got {name!r} too"
            )
        if column is not None:
            at[column] = nth
    if "number" not in at:
        what = f"expected the columns {', '.join(COLUMNS)} in the first line"
        return Mistake(head.number, "", f"{what}, got {_told(given)}")
    return at


def _told(heads: list[str]) -> str:
    """Column heads as an error shows them; a file that is not a list at all is not quoted."""
    shown = all(_HEAD.fullmatch(head) for head in heads)
    return repr(", ".join(heads)) if shown else "something else"
