"""Lists from files and text boxes: either all of a list, or what is wrong by row and column.

Source: common practice, no source: what clubs, spreadsheets and telephones give. FIBA 2024 art. 4.3
for the numbers: 0, 00 and 1 to 99.
"""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from callout.game.values import SHIRTS
from callout.table.setup.list_file import (
    ReadList,
    decoded,
    read_lines_of_players,
    read_list,
)
from callout.table.setup.pasted_list import LONGEST_NAME, MOST_PLAYERS
from callout.table.setup.player_table import Mistake, Row, column_letter, csv_rows
from callout.table.setup.roster import Player, say_roster


def of(text: str) -> ReadList:
    """What a CSV file with that text gives."""
    return read_list(csv_rows(text))


def places(read: ReadList) -> list[tuple[int, str]]:
    """Where a list has mistakes; such a list gives no player."""
    assert read.players == ()
    return [(row, column) for row, column, _ in read.mistakes]


def test_every_mistake_of_a_table_is_told_with_row_and_column() -> None:
    read = of('Pos;Name;No.\nG;Ada;4\nC;Bo;104\nC;"Cy\nDi";5\nC;=HYPERLINK("x");4\nG;Ed;=A1+1\n')
    assert places(read) == [(3, "C"), (5, "B"), (6, "B"), (6, "C"), (7, "C")]
    assert [what for _, _, what in read.mistakes] == [
        "expected a shirt number (0, 00, 1 to 99), got '104'",
        "expected a name on one line, got a line end in it",
        "expected a name, got the formula '=HYPERLINK(\"x\")'",
        "expected each number once, got '4' twice",
        "expected a shirt number, got the formula '=A1+1'",
    ]


@pytest.mark.parametrize(
    ("lines", "row", "what"),
    [
        ("4 Ada\n5 Bo\n4 Cy", 3, "expected each number once, got '4' twice"),
        ("4 Ada\n100 Bo", 2, "expected a shirt number (0, 00, 1 to 99), got '100'"),
        ("4 Ada\n07 Bo", 2, "expected a shirt number (0, 00, 1 to 99), got '07'"),
        ("4 Ada\n5 \u202eoB", 2, "expected text, got the character U+202E as sign 3 of it"),
        ("4 Ada\n\n5 👩\u200d👧", 3, "expected text, got the character U+200D as sign 4 of it"),
        ("4 Ada\n5\t=1+1", 2, "expected a number or a name, got the formula '=1+1'"),
        ("Harbour Kites", 1, "expected numbers, got none"),
        ("No.;Player\n4;Ada\nx;Bo", 3, "expected a shirt number (0, 00, 1 to 99), got 'x'"),
        ("4 Ada\n🦊 5 Bo", 2, "expected a number and a name, such as '4 Ada Moss', got '🦊 5 Bo'"),
    ],
)
def test_a_typed_list_with_a_mistake_gives_nothing(lines: str, row: int, what: str) -> None:
    read = read_lines_of_players(lines)
    assert read.players == ()
    assert (read.mistakes[0].row, read.mistakes[0].what) == (row, what)


def test_a_list_has_forty_players_at_most() -> None:
    lines = [f"{number} Name" for number in range(1, MOST_PLAYERS + 3)]
    assert len(read_lines_of_players("\n".join(lines[:MOST_PLAYERS])).players) == MOST_PLAYERS
    read = read_lines_of_players("\n".join(lines))
    assert places(read) == [(MOST_PLAYERS + 1, "")]
    table = of("No.,Name\n" + "\n".join(line.replace(" ", ",") for line in lines))
    assert places(table) == [(MOST_PLAYERS + 2, "")]
    assert "at most 40 players" in table.mistakes[0].what


def test_what_is_to_be_looked_at_is_a_note_and_the_list_is_taken() -> None:
    read = read_lines_of_players("4 Ada\nCoach Lane\n5 Bo 🦊")
    assert [player.name for player in read.players] == ["Ada", "Bo 🦊"]
    assert read.notes == (
        Mistake(2, "", "left out, as it has no number: 'Coach Lane'"),
        Mistake(3, "", "the score sheet may not be able to show '🦊'"),
    )


def test_a_name_that_is_changed_is_told() -> None:
    read = of(f'No.,Name\n4,"Moss, Ada"\n5,{"x" * 50}\n')
    assert [player.name for player in read.players] == ["Moss Ada", "x" * LONGEST_NAME]
    assert [note.what for note in read.notes] == [
        "taken as 'Moss Ada'",
        f"cut to 40 signs: {'x' * LONGEST_NAME!r}",
    ]


def test_a_name_without_a_letter_is_a_slip_of_the_columns() -> None:
    assert places(of("No.,Name\n4,Ada\n5,2012\n")) == [(3, "")]


@pytest.mark.parametrize("name", ["שרה לוי", "محمد علي", "李小龍", "O’Neil-Smith", "Zoë", "-Ann"])
def test_names_of_every_script_are_names(name: str) -> None:
    assert of(f"No.,Name\n4,{name}\n") == ReadList((Player("4", name),))
    assert read_lines_of_players(f"4 {name}").players == (Player("4", name),)


def test_a_table_without_a_header_row_is_read_as_a_list() -> None:
    assert of("4;Ada Moss\n5;Bo Reed\n").players == (
        Player("4", "Ada Moss"),
        Player("5", "Bo Reed"),
    )


def test_empty_lines_before_a_table_are_no_mistake() -> None:
    assert of("\n;;\nNo.;Name\n4;Ada\n").players == (Player("4", "Ada"),)


def test_nothing_is_no_list_in_a_file_and_an_empty_one_in_a_text_box() -> None:
    for text in ("", "No.,Name\n", "No.,Name\n,\n"):
        assert places(of(text)) == [(1, "")]
    assert read_lines_of_players(" \n ") == ReadList()


def test_a_cell_that_the_csv_reader_refuses_is_a_mistake() -> None:
    # csv.field_size_limit() is 131,072 characters.
    for head in ("No.,Name\n", ""):
        assert places(of(f'{head}4,"{"x" * 140_000}"\n')) != []


# --- letters --------------------------------------------------------------------------------------


def test_windows_1252_with_semicolons_is_read_and_told() -> None:
    # The bytes that spreadsheets on Windows write in Western Europe: 0xEB is ë, 0xFC is ü.
    told = decoded(b"Nr.;Name\r\n4;Ada\r\n5;Zo\xeb M\xfcller\r\n")
    assert not isinstance(told, Mistake)
    text, notes = told
    assert of(text).players == (Player("4", "Ada"), Player("5", "Zoë Müller"))
    assert [(note.row, "Windows-1252" in note.what) for note in notes] == [(3, True)]


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16"])
def test_unicode_needs_no_note(encoding: str) -> None:
    assert decoded("Nr.;Name\n5;Zoë\n".encode(encoding)) == ("Nr.;Name\n5;Zoë\n", ())


@pytest.mark.parametrize(
    ("data", "row", "part"),
    [
        (b"No.\n4\n\x81\n", 3, "got the byte 0x81"),
        (b"No.\n4\n\0\n", 3, "expected a CSV or XLSX file"),
        (b"\xd0\xcf\x11\xe0\xa1\xb1", 1, "an old workbook (.xls)"),
        (b"%PDF-1.7", 1, "a PDF"),
        (b"\x89PNG\r\n", 1, "a picture"),
    ],
)
def test_a_file_of_another_kind_is_named(data: bytes, row: int, part: str) -> None:
    told = decoded(data)
    assert isinstance(told, Mistake)
    assert told.row == row
    assert part in told.what


# --- all that is taken can be written -------------------------------------------------------------

CELLS = st.sampled_from(
    ["No.", "Name", "Starter", "4", "5", "00", "104", "Ada Moss", "Reed, Bo", "=A1", "x", "",
     "🦊", "\u202e", "שרה", "12 Monkeys", "No. 5", "7. Cy", "a|b", "#", "4\t5", "\n"]
)  # fmt: skip


@given(st.lists(st.lists(CELLS, max_size=4), max_size=6))
def test_a_list_is_whole_or_nothing_and_its_lines_give_it_again(rows: list[list[str]]) -> None:
    read = read_list(Row(nth, cells) for nth, cells in enumerate(rows, start=1))
    assert not (read.players and read.mistakes)
    numbers = [player.number for player in read.players]
    assert len(set(numbers)) == len(numbers)
    assert set(numbers) <= set(SHIRTS)
    lines = [say_roster([Player(p.number, p.name)]).rstrip(",") for p in read.players]
    again = read_lines_of_players("\n".join(lines)).players
    assert again == tuple(Player(p.number, p.name) for p in read.players)


def test_columns_are_named_as_spreadsheets_name_them() -> None:
    assert [column_letter(nth) for nth in (0, 25, 26, 51, 52)] == ["A", "Z", "AA", "AZ", "BA"]
