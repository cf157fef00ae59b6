"""Lists of players; the expected readings are the header examples of the manual page."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from callout.errors import InputError
from callout.table.setup.player_table import read_roster
from callout.table.setup.roster import Player, RosterError, parse_roster, say_roster

NUMBERS = st.one_of(st.just("00"), st.integers(0, 99).map(str))
NAMES = st.sampled_from(["", "Ada Moss", "Bo Reed", "Cleo van Dam"])


@given(st.dictionaries(NUMBERS, NAMES, max_size=15))
def test_a_said_list_is_read_as_the_same_players(names: dict[str, str]) -> None:
    players = tuple(Player(number, name) for number, name in names.items())
    assert parse_roster(say_roster(players)) == players


@pytest.mark.parametrize("text", ["4 5 7,", "4, 5 7", "4 5, 7,"])
def test_no_player_is_named_by_numbers(text: str) -> None:
    # Common practice, no source: a name has letters, so "5 7" are two players.
    assert parse_roster(text) == (Player("4"), Player("5"), Player("7"))


def test_zero_and_double_zero_are_two_players() -> None:
    # FIBA 4.3.2: 0, 00 and 1 to 99 are all numbers of their own.
    assert [player.number for player in parse_roster("0 00 7")] == ["0", "00", "7"]


@pytest.mark.parametrize("text", ["100", "05", "-1", "x", "4 4", "4 5.5", "000", "4 Ada, 4 Bo"])
def test_what_is_no_list_is_refused(text: str) -> None:
    with pytest.raises(RosterError, match=r"expected .*, got "):
        parse_roster(text)


def test_a_csv_list_gives_numbers_names_and_starters(tmp_path: Path) -> None:
    path = tmp_path / "kites.csv"
    path.write_text("Number,Name,Starter\n4,Ada Moss,x\n00,,\n12,Bo Reed,yes\n", encoding="utf-8")
    assert read_roster(path) == (
        Player("4", "Ada Moss", True),
        Player("00"),
        Player("12", "Bo Reed", True),
    )


def test_a_csv_list_as_a_spreadsheet_writes_it(tmp_path: Path) -> None:
    # Spreadsheets put a byte order mark first, and semicolons where the comma is decimal.
    path = tmp_path / "kites.csv"
    path.write_bytes("\ufeffnumber;name\r\n4;Ada Moss\r\n5;\r\n".encode())
    assert read_roster(path) == (Player("4", "Ada Moss"), Player("5"))


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("number,nmae\n4,Ada\n", ":1: expected 'name' for a column, got 'nmae'"),
        (
            "name\nAda\n",
            ":1: expected the columns number, name, starter in the first line, got 'name'",
        ),
        ("No.,#\n4,4\n", ":1: expected one column for the number, got '#' too"),
        ('number,name\n4,"Ada\nMoss"\n', ":3: expected a name on one line"),
        ("number\n4\n104\n", r":3: expected a shirt number \(0, 00, 1 to 99\), got '104'"),
        ("number\n4\n5\n4\n", ":4: expected each number once, got '4' twice"),
        ("", ":1: expected the columns number, name, starter in the first line, got ''"),
    ],
)
def test_a_wrong_csv_list_names_its_line(tmp_path: Path, text: str, message: str) -> None:
    path = tmp_path / "kites.csv"
    path.write_text(text, encoding="utf-8")
    with pytest.raises(InputError, match=message):
        read_roster(path)


def test_a_csv_list_that_is_not_there_or_not_text(tmp_path: Path) -> None:
    with pytest.raises(InputError, match="no such file"):
        read_roster(tmp_path / "none.csv")
    (tmp_path / "sound.csv").write_bytes(b"number\n\xff\xfe4\n")
    with pytest.raises(InputError, match=r"sound\.csv:2: expected a text file in UTF-8"):
        read_roster(tmp_path / "sound.csv")


@pytest.mark.parametrize("number", ["number", "No", "no.", "Nr", "NR.", "#"])
@pytest.mark.parametrize("name", ["Name", "PLAYER"])
@pytest.mark.parametrize("comma", [",", ";", "\t"])
def test_a_club_s_own_list_is_read(tmp_path: Path, number: str, name: str, comma: str) -> None:
    path = tmp_path / "kites.csv"
    heads = comma.join(["Pos", number, name, "Born"])
    rows = [comma.join(row) for row in (("G", "4", "Ada Moss", "2012"), ("", "", "", ""))]
    path.write_text("\n".join([heads, *rows]), encoding="utf-8")
    assert read_roster(path) == (Player("4", "Ada Moss"),)


def test_a_file_that_is_no_list_is_not_quoted(tmp_path: Path) -> None:
    """A line such as those of a file of passwords."""
    path = tmp_path / "passwd"
    path.write_text("root:x:0:0:secret:/root:/bin/sh\n", encoding="utf-8")
    with pytest.raises(InputError) as caught:
        read_roster(path)
    assert str(caught.value).endswith("in the first line, got something else")
