"""Lists as people paste them. Source: common practice, no source: clubs' lists and e-mails."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from callout.game.values import SHIRTS
from callout.table.setup.pasted_list import (
    LONGEST_NAME,
    MOST_PLAYERS,
    clean_name,
    name_and_numbers,
    read_pasted,
)
from callout.table.setup.roster import Player, parse_roster, say_roster


def pairs(*lines: str) -> list[tuple[str, str]]:
    """Number and name of each player in a list of which nothing is left out."""
    pasted = read_pasted(lines)
    assert pasted.left_out == ()
    return [(player.number, player.name) for player in pasted.players]


TWO = [("4", "Ada Moss"), ("5", "Bo Reed")]


@pytest.mark.parametrize(
    "lines",
    [
        ("4 Ada Moss", "5 Bo Reed"),
        ("4 Ada Moss, 5 Bo Reed",),
        ("4 Ada Moss; 5 Bo Reed,",),
        ("4\tAda Moss", "", "5\tBo Reed"),
        ("4. Ada Moss", "5) Bo Reed"),
        ("#4 Ada Moss", "# 5: Bo Reed"),
        ("No. 4 Ada Moss", "no 5 Bo Reed"),
        ("Ada Moss 4", "Bo Reed #5"),
        ("Ada Moss, 4", "Bo Reed (5)"),
        ("No.,Player", "4,Ada Moss", "5,Bo Reed"),
        ("Player;Pos;No.", "Ada Moss;C;4", "Bo Reed;G;5"),
        ("No\tName", "4\tAda Moss", "5\tBo Reed"),
    ],
)
def test_a_player_s_number_and_name_are_found(lines: tuple[str, ...]) -> None:
    assert pairs(*lines) == TWO


@pytest.mark.parametrize("line", ["4 5 7 00", "4, 5, 7, 00", "4,5,7,00", "4; 5; 7; 00", "4/5/7/00"])
def test_numbers_alone_are_enough(line: str) -> None:
    assert pairs(line) == [(number, "") for number in ("4", "5", "7", "00")]


@pytest.mark.parametrize("line", ["4 Ada, 10 11, 12", "4 Ada; 10; 11 12", "10 11, 12, 4 Ada"])
def test_numbers_with_spaces_between_stay_players_beside_one_with_a_name(line: str) -> None:
    assert sorted(pairs(line)) == [("10", ""), ("11", ""), ("12", ""), ("4", "Ada")]


def test_a_surname_with_a_comma_stays_one_player() -> None:
    assert pairs("4 Moss, Ada", "5 Reed, Bo") == [("4", "Moss Ada"), ("5", "Reed Bo")]


def test_what_is_no_player_is_left_out_and_named() -> None:
    pasted = read_pasted(["Harbour Kites", "4 Ada", "Coach Lane", "4 Bo", "100 Cy", "07"])
    assert pasted.players == (Player("4", "Ada"),)
    assert pasted.left_out == ("Harbour Kites", "Coach Lane", "4 Bo", "100 Cy", "07")


def test_a_table_with_a_mistake_says_so() -> None:
    pasted = read_pasted(["No.,Player", "4,Ada", "x,Bo"])
    assert pasted.players == ()
    assert pasted.left_out == ("list:3: expected a shirt number (0, 00, 1 to 99), got 'x'",)


@pytest.mark.parametrize("head", ["", "No.,Player\n"])
def test_a_list_that_no_team_has_is_cut(head: str) -> None:
    lines = (head + "\n".join(f"{n},{'x' * 60}" for n in range(60))).splitlines()
    pasted = read_pasted(lines)
    assert len(pasted.players) == MOST_PLAYERS
    assert {len(player.name) for player in pasted.players} == {LONGEST_NAME}
    assert len(pasted.left_out) == 60 - MOST_PLAYERS
    assert len(say_roster(pasted.players)) < 2_000


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("Harbour Kites 4 5 7", ("Harbour Kites", "4 5 7")),
        ("Kites | 4", ("Kites", "4")),
        ("Kites 4, 5, 7", ("Kites", "4, 5, 7")),
        ("Foxes 2", ("Foxes 2", "")),
        ("1860 Kites 4 5", ("1860 Kites", "4 5")),
        ("Kites |", ("Kites", "")),
        ("Kites", ("Kites", "")),
        ("", ("", "")),
    ],
)
def test_numbers_behind_a_team_s_name_are_no_part_of_it(
    text: str, expected: tuple[str, str]
) -> None:
    assert name_and_numbers(text) == expected


def test_a_name_holds_nothing_that_a_setup_file_reads_otherwise() -> None:
    assert clean_name(" Ada\t#1 | Moss,  Jr.\x1b\u202e ") == "Ada 1 Moss Jr."


@given(
    st.dictionaries(
        st.sampled_from(SHIRTS),
        st.text(st.characters(categories=["L"]), min_size=1, max_size=8),
        max_size=15,
    )
)
def test_what_is_read_can_be_written_and_read_again(players: dict[str, str]) -> None:
    lines = [f"{number} {name}" for number, name in players.items()]
    read = read_pasted(lines).players
    assert [(p.number, p.name) for p in read] == list(players.items())
    assert parse_roster(say_roster(read)) == read
