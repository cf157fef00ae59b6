"""Reads a league's list of games from a file: CSV, an XLSX workbook, or iCalendar."""

from __future__ import annotations

from pathlib import Path
from typing import Final

from callout.edges.spreadsheet import workbook_rows
from callout.errors import InputError
from callout.league.fixtures import MOST, Fixture, checked, from_calendar, from_csv, from_rows
from callout.reading import read_bytes
from callout.table.setup.player_table import Mistake

MOST_BYTES: Final = 4 * 1024 * 1024
"""Bytes of a file; a season of 1,000 fixtures takes 300,000 as a calendar."""

READERS: Final = {".csv": from_csv, ".tsv": from_csv, ".txt": from_csv, ".ics": from_calendar}


def read_fixtures(path: Path) -> tuple[Fixture, ...]:
    """The fixtures of a file; its name's ending says what it is.

    Raises:
        InputError: it cannot be read or has a mistake; `path:line: …`.
    """
    ending = path.suffix.lower()
    if ending not in (*READERS, ".xlsx"):
        raise InputError(path, f"expected a file that ends in {', '.join(READERS)} or .xlsx")
    data = read_bytes(path, MOST_BYTES)
    read = READERS.get(ending, _from_workbook)
    return checked(path, read(path, data))


def _from_workbook(path: Path, data: bytes) -> list[Fixture]:
    rows = []
    for row in workbook_rows(data, MOST):
        if isinstance(row, Mistake):
            raise InputError(path, row.what, row.row)
        rows.append(list(row.cells))
    return from_rows(path, rows)
