"""A league's list of games, from files as clubs have them."""

from __future__ import annotations

import io
import zipfile
from datetime import date, datetime
from pathlib import Path

import openpyxl
import pytest

from callout.edges.league.fixtures_file import read_fixtures
from callout.errors import InputError
from callout.league.fixtures import Fixture, on_day, setup_lines
from callout.table.setup.setup import read_setup

EXPECTED = (
    Fixture("101", "Harbour Kites", "Quarry Foxes", datetime(2026, 11, 28, 18, 30), "Old gym"),
    Fixture("102", "Mill Herons", "Harbour Kites", datetime(2026, 11, 29, 9, 0), "New gym"),
)


def write(folder: Path, name: str, text: str | bytes) -> Path:
    path = folder / name
    path.write_bytes(text if isinstance(text, bytes) else text.encode())
    return path


@pytest.mark.parametrize(
    ("name", "text"),
    [
        ("a.csv", "Game,Date,Time,Home,Away,Gym\n101,2026-11-28,18:30,Harbour Kites,Quarry Foxes,"
                  "Old gym\n102,2026-11-29,09:00,Mill Herons,Harbour Kites,New gym\n"),
        ("b.csv", "\ufeffNo.;Home team;Guest team;Starts;Venue\r\n101;Harbour Kites;Quarry Foxes;"
                  "28.11.2026 18.30;Old gym\r\n102;Mill Herons;Harbour Kites;29.11.2026 9:00;"
                  "New gym\r\n;;;;\r\n"),
        ("c.tsv", "key\thome\tvisitors\tdate\ttime\tplace\tnotes\n101\tHarbour Kites\tQuarry Foxes"
                  "\t11/28/2026\t6:30 PM\tOld gym\t-\n102\tMill Herons\tHarbour Kites\t11/29/2026"
                  "\t9:00 am\tNew gym\t-\n"),
    ],
)  # fmt: skip
def test_csv_as_clubs_write_it(tmp_path: Path, name: str, text: str) -> None:
    assert read_fixtures(write(tmp_path, name, text)) == EXPECTED


def spreadsheet(rows: list[list[object]]) -> bytes:
    """A workbook of one sheet."""
    book, out = openpyxl.Workbook(), io.BytesIO()
    for row in rows:
        book.active.append(row)
    book.save(out)
    return out.getvalue()


def test_a_spreadsheet_with_dates_and_whole_numbers(tmp_path: Path) -> None:
    rows: list[list[object]] = [
        ["Game", "Date", "Home", "Guest", "Gym"],
        [101, datetime(2026, 11, 28, 18, 30), "Harbour Kites", "Quarry Foxes", "Old gym"],
        [102, datetime(2026, 11, 29, 9, 0), "Mill Herons", "Harbour Kites", "New gym"],
    ]
    assert read_fixtures(write(tmp_path, "a.xlsx", spreadsheet(rows))) == EXPECTED


CALENDAR = """BEGIN:VCALENDAR
VERSION:2.0
PRODID:-//Harbour League//EN
BEGIN:VEVENT
UID:101
DTSTART;TZID=Europe/Berlin:20261128T183000
SUMMARY:Harbour Kites vs. Quarry Foxes
LOCATION:Old gym
END:VEVENT
BEGIN:VEVENT
UID:102
DTSTART:20261129T090000
SUMMARY:Mill Herons - Harbour
  Kites
LOCATION:New gym
END:VEVENT
BEGIN:VEVENT
UID:103
DTSTART;VALUE=DATE:20261130
SUMMARY:Referees' dinner
END:VEVENT
BEGIN:VEVENT
UID:104
STATUS:CANCELLED
DTSTART:20261130T180000
SUMMARY:Mill Herons vs Quarry Foxes
END:VEVENT
END:VCALENDAR
"""


def test_a_calendar(tmp_path: Path) -> None:
    """Source: RFC 5545, sections 3.1 (folded lines), 3.6.1 (events), 3.3.5 (date and time)."""
    path = write(tmp_path, "a.ics", CALENDAR.replace("\n", "\r\n"))
    assert read_fixtures(path) == EXPECTED


def test_what_has_no_key_gets_one_from_its_start_and_teams(tmp_path: Path) -> None:
    path = write(tmp_path, "a.csv", "home,guest,date,time\nA,B,2026-11-28,18:30\nB,A,,\n")
    assert [each.key for each in read_fixtures(path)] == ["2026-11-28 18:30 A - B", "B - A"]


def test_a_key_is_read_back_from_the_setup_file(tmp_path: Path) -> None:
    """What stands after a # is a remark there."""
    path = write(tmp_path, "a.csv", "game,home,guest\nGame #12,A,B\n#7,A,C\n")
    for fixture, key in zip(read_fixtures(path), ("Game 12", "7"), strict=True):
        lines = setup_lines(fixture, "nfhs-2026")
        setup = read_setup(write(tmp_path, "x.setup", "\n".join(lines)))
        assert setup.fixture == fixture.key == key


def test_todays_games_in_order() -> None:
    late, early = EXPECTED[0], Fixture("9", "C", "D", datetime(2026, 11, 28, 9, 0))
    undated = Fixture("10", "E", "F")
    assert on_day((late, EXPECTED[1], early, undated), date(2026, 11, 28)) == [early, late]


def test_a_fixture_makes_a_setup_file(tmp_path: Path) -> None:
    fixture = Fixture("101", "Kites", "Foxes", home_numbers="4 5 00")
    lines = setup_lines(fixture, "nfhs-2026", "postgresql://gym-7@league.example/hoops")
    setup = read_setup(write(tmp_path, "x.setup", "\n".join(lines)))
    assert [player.number for player in setup.home.players] == ["4", "5", "00"]
    assert (setup.guest.name, setup.fixture, setup.league[:13]) == ("Foxes", "101", "postgresql://")


@pytest.mark.parametrize(
    ("name", "text", "expected"),
    [
        ("a.csv", "home,date\nA,2026-11-28\n", ":1: expected a column 'guest', got 'home', 'date'"),
        ("a.csv", "home,guest\nA,A\n", ":2: expected two teams, got 'A' twice"),
        ("a.csv", "home,guest\nA,\n", ":2: expected the guest team's name, got ''"),
        ("a.csv", "home,guest\nA | 4,B\n", ":2: expected the home team's name"),
        ("a.csv", "home,guest,date\nA,B,soon\n", ":2: expected a date such as 2026-11-28"),
        ("a.csv", "home,guest,date,time\nA,B,2026-11-28,late\n", ":2: expected a time such as"),
        ("a.csv", "home,guest,home numbers\nA,B,4 x\n", ":2: expected"),
        ("a.csv", "game,home,guest\n1,A,B\n1,B,A\n", ": expected each key once, got '1' again"),
        ("a.csv", "home,guest\n", ": expected fixtures, got none"),
        ("a.csv", "", ": expected fixtures, got none"),
        ("a.csv", b"\xff\xfe", ":1: expected a text file in UTF-8"),
        ("a.xlsx", b"no zip", ":1: expected a workbook"),
        ("a.ics", "BEGIN:VEVENT\n", ": expected"),
        ("a.ics", CALENDAR.replace("Europe/Berlin", f"Europe/{'x' * 300}"),
         ": expected a calendar"),
        ("a.doc", "", ": expected a file that ends in .csv"),
    ],
)  # fmt: skip
def test_what_is_wrong_is_one_clear_line(
    tmp_path: Path, name: str, text: str | bytes, expected: str
) -> None:
    path = write(tmp_path, name, text)
    with pytest.raises(InputError) as caught:
        read_fixtures(path)
    assert str(caught.value).startswith(f"{path}{expected}")


def test_a_spreadsheet_that_becomes_huge_is_refused(tmp_path: Path) -> None:
    packed = io.BytesIO()
    with zipfile.ZipFile(packed, "w", zipfile.ZIP_DEFLATED) as made:
        made.writestr("xl/workbook.xml", bytes(41 * 1024 * 1024))
    with pytest.raises(InputError, match="got a workbook of"):
        read_fixtures(write(tmp_path, "a.xlsx", packed.getvalue()))


def test_a_missing_file_and_a_folder_are_told(tmp_path: Path) -> None:
    for path in (tmp_path / "none.csv", tmp_path / "none.ics"):
        with pytest.raises(InputError, match="expected a file"):
            read_fixtures(path)
