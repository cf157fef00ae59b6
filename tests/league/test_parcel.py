"""A game as rows: what is sent, and what is read back only if its chain is whole."""

from __future__ import annotations

from dataclasses import replace

import pytest

from callout.errors import CalloutError
from callout.league.parcel import Parcel, Person, initials, parcel_of, people_of, read_parcel
from callout.league.result import PlayerLine, result_of
from callout.table.setup.roster import Player
from callout.table.setup.setup import Listed
from tests.table.play import SETUP, Table


def game(*calls: str) -> tuple[Table, Parcel]:
    table = Table()
    table.say("start clock", *calls)
    return table, parcel_of(table.journal)


def test_it_is_read_back_as_it_was_recorded() -> None:
    table, parcel = game("home two number five", "guest foul eight")
    setup, entries = read_parcel(parcel)
    assert setup == SETUP
    assert entries == table.journal.entries()
    assert parcel.mark == table.journal.mark
    assert (parcel.newest, len(parcel.after(1))) == (3, 2)
    assert parcel.hash_at(0) == parcel.start
    assert parcel.hash_at(9) is None


def test_before_the_first_entry_it_has_the_mark_of_its_header() -> None:
    table = Table()
    parcel = parcel_of(table.journal)
    assert (parcel.newest, parcel.mark) == (0, table.journal.mark)
    assert read_parcel(parcel) == (SETUP, ())


@pytest.mark.parametrize("column", range(9))
def test_a_changed_row_is_not_read(column: int) -> None:
    _, parcel = game("home two number five")
    row = list(parcel.rows[1])
    row[column] = row[column] + type(row[column])(1) if column in (0, 4, 5) else row[column][:-1]
    with pytest.raises(CalloutError, match=r"entry \d is not as it was|does not follow"):
        read_parcel(replace(parcel, rows=(parcel.rows[0], tuple(row))))


def test_another_header_is_not_read() -> None:
    _, parcel = game()
    with pytest.raises(CalloutError, match="the header is not as it was recorded"):
        read_parcel(replace(parcel, header=parcel.header.replace("Kites", "Hawks")))


def test_names_stand_beside_the_book_and_never_in_it() -> None:
    named = replace(SETUP, home=Listed("Kites", (Player("5", "Ada Moss"), Player("7"))))
    table = Table(named)
    table.say("start clock", "home two number five")
    parcel = parcel_of(table.journal)
    assert parcel.people[:2] == (
        Person("home", "5", "A. M.", "Ada Moss"), Person("home", "7", "", ""),
    )  # fmt: skip
    assert "Moss" not in repr(replace(parcel, people=()))
    assert people_of(replace(named, home=Listed("A"), guest=Listed("B"))) == ()


@pytest.mark.parametrize(
    ("name", "expected"),
    [("Ada Moss", "A. M."), ("ada", "A."), ("", ""), ("(Bo) Reed", "R."), ("Émile Ö", "É. Ö."),
     ("a " * 50, "A. A. A. A. A. A. A.")],
)  # fmt: skip
def test_initials(name: str, expected: str) -> None:
    assert initials(name) == expected


def test_a_result_counts_what_the_book_counts() -> None:
    table, parcel = game("home two number five", "guest three number fourteen", "undo that")
    made = result_of(*read_parcel(parcel))
    assert (made.home, made.guest, made.over, made.period, made.entries) == (2, 0, False, 1, 4)
    assert PlayerLine("home", "5", 2, 0, 1, 0, 0, 0) in made.lines
    assert made.problems == ()
    assert result_of(SETUP, ()).entries == 0
    assert table.game.entry == 4
