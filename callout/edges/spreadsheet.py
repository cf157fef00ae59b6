"""The cells of an XLSX workbook, within limits: a file of a few kilobytes may hold gigabytes.

A formula is given as it is written, never as the value that some program last computed: whoever
reads the cells can refuse it.
"""

from __future__ import annotations

import io
import zipfile
from collections.abc import Iterator
from typing import Final

from callout.table.setup.player_table import Mistake, Row

MOST_UNPACKED: Final = 20_000_000
"""Units: bytes; a list of players has some ten thousand."""
MOST_PARTS: Final = 500
"""Files in the archive; a list of players has some ten."""
MOST_ROWS: Final = 500
MOST_COLUMNS: Final = 50
"""A list of players has at most 40 rows and five columns; more is another file."""

BEGINS: Final = b"PK\x03\x04"
"""The first bytes of a ZIP archive, which a workbook is. Source: ECMA-376, part 2."""


def is_workbook(data: bytes) -> bool:
    """Whether this may be a workbook."""
    return data.startswith(BEGINS)


def workbook_rows(data: bytes, most_rows: int = MOST_ROWS) -> Iterator[Row | Mistake]:
    """The rows of the first sheet, or why they cannot be had."""
    if wrong := _too_large(data):
        yield Mistake(1, "", wrong)
        return
    # Imported late: a game needs no workbook.
    import openpyxl

    try:
        book = openpyxl.load_workbook(io.BytesIO(data), read_only=True, data_only=False)
        sheet = book.worksheets[0]
        rows = sheet.iter_rows(max_row=most_rows + 1, max_col=MOST_COLUMNS)
        for nth, cells in enumerate(rows, start=1):
            if nth > most_rows:
                yield Mistake(nth, "", f"expected at most {most_rows} rows, got more")
                return
            yield Row(nth, [_text(cell.value) for cell in cells])
    # The library names no errors of its own for damaged files: it raises whatever it meets.
    except Exception as error:
        what = (
            f"expected a workbook (.xlsx), got a file that cannot be read ({type(error).__name__})"
        )
        yield Mistake(1, "", what)


def _too_large(data: bytes) -> str:
    try:
        with zipfile.ZipFile(io.BytesIO(data)) as archive:
            parts = archive.infolist()
    except (zipfile.BadZipFile, OSError, ValueError, NotImplementedError):
        return "expected a workbook (.xlsx), got a damaged file"
    # A part gives no more bytes than it says: zipfile stops there.
    unpacked = sum(part.file_size for part in parts)
    if len(parts) > MOST_PARTS or unpacked > MOST_UNPACKED:
        return f"expected a list of players, got a workbook of {unpacked:,} bytes"
    return ""


def _text(value: object) -> str:
    """A cell as text: a whole number without a decimal point."""
    if value is None:
        return ""
    if isinstance(value, float) and value.is_integer():
        return str(int(value))
    # Array formulas are objects of the library.
    text = getattr(value, "text", value)
    return str(text) if text is value else f"={text}".replace("==", "=", 1)
