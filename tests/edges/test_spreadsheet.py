"""Workbooks, as openpyxl writes them and as an attacker would; the file names are ECMA-376's."""

from __future__ import annotations

import datetime
import io
import zipfile
from typing import Any

import openpyxl
import pytest

from callout.edges.page.lists import read_upload
from callout.edges.spreadsheet import MOST_ROWS, MOST_UNPACKED, is_workbook, workbook_rows
from callout.table.setup.list_file import ReadList
from callout.table.setup.player_table import Mistake, Row
from callout.table.setup.roster import Player

HEAD = ["No.", "Player", "Starter"]


def workbook(*rows: list[Any]) -> bytes:
    """A workbook whose first sheet has these rows."""
    book, out = openpyxl.Workbook(), io.BytesIO()
    for row in rows:
        book.active.append(row)
    book.create_sheet("Other").append(["No.", "99"])
    book.save(out)
    return out.getvalue()


def changed(data: bytes, part: str, content: bytes) -> bytes:
    """A workbook in which one part is another."""
    out = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(data)) as old, zipfile.ZipFile(out, "w") as new:
        for each in old.namelist():
            new.writestr(each, content if each == part else old.read(each))
    return out.getvalue()


def test_numbers_and_names_are_read() -> None:
    data = workbook(HEAD, [4, "Ada Moss", "x"], ["00", "Bo Reed"], [12.0, None], [None, None])
    assert is_workbook(data)
    assert read_upload(data) == ReadList(
        (Player("4", "Ada Moss", True), Player("00", "Bo Reed"), Player("12"))
    )


def test_a_workbook_without_heads_is_read_as_a_list() -> None:
    assert read_upload(workbook([4, "Ada"], [5, "Bo"])).players == (
        Player("4", "Ada"),
        Player("5", "Bo"),
    )


def test_formulas_dates_and_wrong_numbers_have_row_and_column() -> None:
    data = workbook(
        HEAD, [4, "Ada"], ["=A2+1", "Bo"], [datetime.date(2026, 5, 4), "Cy"], [4.5, "Di"],
        [5, '=HYPERLINK("http://evil.example")'], [4, "Ed"], [100, "Fay"],
    )  # fmt: skip
    read = read_upload(data)
    assert read.players == ()
    assert [(row, column) for row, column, _ in read.mistakes] == [
        (3, "A"), (4, "A"), (5, "A"), (6, "B"), (7, "A"), (8, "A"),
    ]  # fmt: skip
    assert read.mistakes[0].what == "expected a shirt number, got the formula '=A2+1'"


def test_an_array_formula_is_a_formula() -> None:
    book, out = openpyxl.Workbook(), io.BytesIO()
    book.active.append(HEAD)
    book.active["A2"] = openpyxl.worksheet.formula.ArrayFormula("A2:A3", "=B2:B3")
    book.save(out)
    assert "got the formula" in read_upload(out.getvalue()).mistakes[0].what


@pytest.mark.parametrize(
    "data",
    [b"PK\x03\x04", b"PK\x03\x04" + b"\0" * 500, workbook(HEAD)[:2_000],
     changed(workbook(HEAD), "xl/workbook.xml", b"<no"),
     changed(workbook(HEAD), "xl/worksheets/sheet1.xml", b"<no"),
     changed(workbook(HEAD), "[Content_Types].xml", b"")],
)  # fmt: skip
def test_a_damaged_workbook_is_a_mistake(data: bytes) -> None:
    read = read_upload(data)
    assert read.players == ()
    assert [(row, "expected a workbook" in what) for row, _, what in read.mistakes] == [(1, True)]


def test_another_archive_is_no_workbook() -> None:
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w") as archive:
        archive.writestr("list.txt", "4 Ada")
    assert "expected a workbook" in read_upload(out.getvalue()).mistakes[0].what


def test_a_small_file_that_unpacks_to_much_is_refused_before_it_is_unpacked() -> None:
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr("xl/worksheets/sheet1.xml", b" " * (MOST_UNPACKED + 1))
    assert len(out.getvalue()) < 100_000
    (told,) = workbook_rows(out.getvalue())
    assert isinstance(told, Mistake)
    assert "20,000,001 bytes" in told.what


def test_entities_that_grow_without_end_are_refused() -> None:
    """Source: CVE-2013-0340; expat limits the growth since 2.4.0."""
    entities = "".join(f'<!ENTITY e{n} "{f"&e{n - 1};" * 50}">' for n in range(1, 8))
    bomb = f'<!DOCTYPE x [<!ENTITY e0 "4444444444">{entities}]><worksheet>&e7;</worksheet>'
    read = read_upload(changed(workbook(HEAD), "xl/worksheets/sheet1.xml", bomb.encode()))
    assert read.players == ()
    assert "cannot be read" in read.mistakes[0].what


def test_more_rows_than_any_team_are_refused() -> None:
    data = workbook(HEAD, *([number % 90, "Ada"] for number in range(MOST_ROWS + 5)))
    rows = list(workbook_rows(data))
    assert isinstance(rows[MOST_ROWS - 1], Row)
    assert rows[MOST_ROWS:] == [Mistake(MOST_ROWS + 1, "", "expected at most 500 rows, got more")]
