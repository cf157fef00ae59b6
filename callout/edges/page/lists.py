"""A list of players in a file that somebody hands in on a page."""

from __future__ import annotations

from dataclasses import replace
from typing import Final

from callout.edges.spreadsheet import is_workbook, workbook_rows
from callout.table.setup.list_file import ReadList, decoded, read_list
from callout.table.setup.player_table import Mistake, csv_rows

LONGEST_FILE: Final = 1_000_000
"""Units: bytes; a list of players in a workbook has some ten thousand."""


def read_upload(data: bytes) -> ReadList:
    """The players of a CSV or XLSX file, or what is wrong with it."""
    if is_workbook(data):
        return read_list(workbook_rows(data))
    text = decoded(data)
    if isinstance(text, Mistake):
        return ReadList(mistakes=(text,))
    read = read_list(csv_rows(text[0]))
    return replace(read, notes=(*text[1], *read.notes))
