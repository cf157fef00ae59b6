"""Headers; the expected readings follow the header lines that the design of scripts lists."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from callout.errors import InputError
from callout.game.state import Owner, Side
from callout.game.terms import Team
from callout.table.setup.header import KEYS
from callout.table.setup.pairs import setup_pairs
from callout.table.setup.roster import Player
from callout.table.setup.setup import (
    _READERS,
    Book,
    Item,
    Listed,
    Setup,
    make_setup,
    read_setup,
)

HEADER = """\
profile: nfhs-2026
source: worked example, from memory
situation: second half
home: Harbour Kites | 4 5 7 10 11 12 23
guest: Quarry Foxes | 3 5 8   # the rest come late
starters home: 4 5 7 10 11
colour home: dark blue
nickname guest: foxes
clock: follow
book: second
wake: Table
"""
PEOPLE = """\
captain home: 11
coach home: Ada Moss
assistant guest: Bo Reed
officials: Referee Cy Dale, umpire Di Tern, Scorer Flo Ames
place: Harbour Hall
competition: Saturday league
"""


def write(folder: Path, text: str) -> Path:
    path = folder / "game.setup"
    path.write_text(text, encoding="utf-8")
    return path


def test_every_key_of_a_header(tmp_path: Path) -> None:
    setup = read_setup(write(tmp_path, HEADER))
    assert setup.home.side() == Side(
        "Harbour Kites", ("4", "5", "7", "10", "11", "12", "23"), ("4", "5", "7", "10", "11")
    )
    assert setup.guest.side() == Side("Quarry Foxes", ("3", "5", "8"))
    assert (setup.home.words, setup.guest.words) == (("dark blue",), ("foxes",))
    assert (setup.owner, setup.book) == (Owner.FOLLOW, Book.SECOND)
    assert (setup.source, setup.situation) == ("worked example, from memory", "second half")
    assert setup.wake == ("table",)
    assert setup.rules().name == "nfhs-2026"


def test_people_beside_the_players_and_the_place(tmp_path: Path) -> None:
    setup = read_setup(write(tmp_path, HEADER + PEOPLE))
    assert (setup.home.captain, setup.home.coach, setup.guest.captain) == ("11", None, None)
    assert setup.people == (
        ("", "Referee", "Cy Dale"),
        ("", "Umpire", "Di Tern"),
        ("", "Scorer", "Flo Ames"),
        ("home", "coach", "Ada Moss"),
        ("guest", "assistant", "Bo Reed"),
    )
    assert (setup.place, setup.competition) == ("Harbour Hall", "Saturday league")


def test_an_umpire_with_a_number_is_told_from_one_without(tmp_path: Path) -> None:
    """FIBA Appendix B: crew chief, umpire 1 and umpire 2."""
    header = HEADER.replace("nfhs-2026", "fiba-2024")
    setup = read_setup(write(tmp_path, f"{header}officials: Umpire 2 Cy Dale, Umpire 1 Di Tern\n"))
    assert setup.people == (("", "Umpire 2", "Cy Dale"), ("", "Umpire 1", "Di Tern"))


def test_only_league_and_teams_must_be_given(tmp_path: Path) -> None:
    setup = read_setup(write(tmp_path, "profile: nfhs-2026\nhome: A\nguest: B |\n"))
    assert setup == Setup("nfhs-2026", Listed("A"), Listed("B"))


def test_a_list_may_come_from_a_csv_file_beside_the_header(tmp_path: Path) -> None:
    (tmp_path / "kites.csv").write_text("number,name\n4,Ada Moss\n5,\n", encoding="utf-8")
    header = "roster home: kites.csv\nprofile: nfhs-2026\nhome: A\nguest: B\nstarters home: 4\n"
    setup = read_setup(write(tmp_path, header))
    assert setup.home.players == (Player("4", "Ada Moss", True), Player("5"))


@pytest.mark.parametrize(
    ("old", "new", "message"),
    [
        ("clock: follow", "division: x", ":9: expected a key (profile, language, "),
        ("clock: follow", "clocks: ours", ":9: expected 'clock: ours', got 'clocks: ours'"),
        ("clock: follow", "Clock = ours", ":9: expected 'clock: ours', got 'Clock = ours'"),
        ("colour home: dark", "Color home:dark", ":7: expected 'colour home: dark blue', got 'C"),
        ("guest: Q", "GUEST: Q", ":5: expected 'guest: Quarry Foxes | 3 5 8', got 'GUEST: Quar"),
        ("clock: follow", "clock: gym", ":9: clock: expected one of ours, follow, none, got 'gym'"),
        ("book: second", "book: third", ":10: book: expected one of official, second, got 'third'"),
        ("book: second", "book second", ":10: expected 'key: value', got 'book second'"),
        ("book: second", "profile: nfhs-2026", ":10: expected 'profile' once, got it again"),
        ("profile: nfhs-2026", "", ": expected a line 'profile: …', got none"),
        ("clock: follow", "language: fr", ":9: language: expected en, es, got 'fr'"),
        ("clock: follow", "language: ../en", ":9: language: expected en, es, got '../en'"),
        ("profile: nfhs-2026", "profile: x", ":1: profile: expected one of the profiles that"),
        ("home: Harbour Kites | 4", "home: | 4", ":4: home: expected 'NAME | NUMBERS', got '| 4 5"),
        ("| 4 5", "| 4 4 5", ":4: home: expected each number once, got '4' twice"),
        ("12 23", "12 123", ":4: home: expected a shirt number (0, 00, 1 to 99), got '123'"),
        ("10 11\ncol", "10 15\ncol", ":6: starters home: expected a number on the list, got '15'"),
        (
            "10 11\ncol",
            "10 11\ncoach home: 15\ncol",
            ":7: coach home: expected a name, or the number of a player on the list who is also "
            "the coach, got '15'",
        ),
        (
            "10 11\ncol",
            "10 11\ncoach home:\ncol",
            ":7: coach home: expected a name, got nothing",
        ),
        (
            "10 11\ncol",
            "10 11\ncaptain home: 15\ncol",
            ":7: captain home: expected a number on the list, got '15'",
        ),
        (
            "10 11\ncol",
            "10 11\nofficials: Umpire Bo Reed, Judge Cy Dale\ncol",
            ":7: officials: expected one of Referee, Umpire, Scorer, Timer, and then a name, got "
            "'Judge Cy Dale'",
        ),
        (
            "10 11\ncol",
            "10 11\nofficials: Umpire Bo Reed, Umpire Cy Dale\ncol",
            ":7: officials: expected one Umpire, got a second one, 'Umpire Cy Dale'",
        ),
        ("10 11\ncol", "10 11 12\ncol", ":6: starters home: expected at most 5 starters, got 6"),
        ("clock: follow", "roster home: no.csv", ":9: roster home: expected one list of players"),
        ("nickname guest: foxes", "nickname guest:", ":8: nickname guest: expected a word, got"),
    ],
)
def test_a_wrong_header_is_one_clear_line(tmp_path: Path, old: str, new: str, message: str) -> None:
    assert HEADER.count(old) == 1
    path = write(tmp_path, HEADER.replace(old, new))
    with pytest.raises(InputError) as caught:
        read_setup(path)
    assert str(caught.value).startswith(f"{path}{message}")
    assert "\n" not in str(caught.value)


@pytest.mark.parametrize(
    ("line", "right"),
    [
        ("home: Kites 4 5 7", "home: Kites | 4 5 7"),
        ("home: Harbour Kites 4 5", "home: Harbour Kites | 4 5"),
        ("home: Kites 4 Ada Moss, 5 Bo Reed", "home: Kites | 4 Ada Moss, 5 Bo Reed"),
        ("home: Kites 4, 5, 7", "home: Kites | 4, 5, 7"),
        ("home: Under 12 Kites 4 5", "home: Under 12 Kites | 4 5"),
    ],
)
def test_a_forgotten_bar_is_an_error_that_shows_the_right_line(
    tmp_path: Path, line: str, right: str
) -> None:
    path = write(tmp_path, f"profile: nfhs-2026\n{line}\nguest: B\n")
    with pytest.raises(InputError) as caught:
        read_setup(path)
    what = f"expected a bar before the numbers, {right!r}, got {line!r}"
    assert str(caught.value) == f"{path}:2: {what}"


@pytest.mark.parametrize("name", ["Harbour U12", "7 Hills", "Under 12 Kites", "Kites |", "A 2 |"])
def test_a_number_that_is_a_part_of_a_name_stays_there(tmp_path: Path, name: str) -> None:
    path = write(tmp_path, f"profile: nfhs-2026\nhome: {name}\nguest: B\n")
    assert read_setup(path).home == Listed(name.removesuffix("|").strip())


def test_a_second_team_s_number_may_be_meant(tmp_path: Path) -> None:
    path = write(tmp_path, "profile: nfhs-2026\nhome: Kites 2\nguest: B\n")
    with pytest.raises(InputError, match=r"'home: Kites \| 2' \(or after them, 'home: Kites 2 \|'"):
        read_setup(path)


@pytest.mark.parametrize(
    ("value", "near"),
    [
        ("youth", "'youth-6-minute' or 'youth-7-minute'"),
        ("fiba2024", "'fiba-2022' or 'fiba-2024'"),
        ("NFHS", "'nfhs-2022' or 'nfhs-2026'"),
    ],
)
def test_the_two_nearest_profiles_are_named(tmp_path: Path, value: str, near: str) -> None:
    path = write(tmp_path, f"profile: {value}\nhome: A\nguest: B\n")
    with pytest.raises(InputError) as caught:
        read_setup(path)
    what = f"expected one of the profiles that callout rules lists, such as {near}, got {value!r}"
    assert str(caught.value) == f"{path}:1: profile: {what}"


def test_a_game_is_called_in_english_unless_its_setup_says_another_language(tmp_path: Path) -> None:
    assert read_setup(write(tmp_path, HEADER)).language == "en"
    spanish = read_setup(write(tmp_path, f"{HEADER}language: es\n"))
    assert spanish.language == "es"
    assert setup_pairs(spanish)["language"] == "es"


def test_every_key_has_its_reader() -> None:
    assert tuple(_READERS) == KEYS


def test_a_file_that_is_not_there_or_not_text(tmp_path: Path) -> None:
    with pytest.raises(InputError, match="no such file"):
        read_setup(tmp_path / "none.setup")
    (tmp_path / "x.setup").write_bytes(b"profile: \xff")
    with pytest.raises(InputError, match="expected a text file in UTF-8"):
        read_setup(tmp_path / "x.setup")


def test_numbers_the_league_does_not_allow_are_a_warning_with_its_rule() -> None:
    # NFHS 3-4: digits 0 to 5 only, so 8 and 46 cannot be worn.
    setup = Setup(
        "nfhs-2026", Listed("A", (Player("8"), Player("45"))), Listed("B", (Player("46"),))
    )
    warned = [(notice.slots["team"], notice.slots["number"]) for notice in setup.warnings()]
    assert warned == [(Team.HOME, "8"), (Team.GUEST, "46")]
    assert all(notice.rule.startswith("NFHS 3-4") for notice in setup.warnings())


TEXTS = st.text("abcdefgh XYZ'", max_size=20).map(str.strip)
PLAYERS = st.lists(st.integers(0, 99), unique=True, max_size=12).flatmap(
    lambda numbers: st.tuples(
        *(st.builds(Player, st.just(str(n)), TEXTS, st.just(i < 3)) for i, n in enumerate(numbers))
    )
)
LISTED = st.builds(
    Listed,
    TEXTS.filter(bool),
    PLAYERS,
    st.none(),
    st.lists(st.sampled_from(["blue", "dark green", "kites"]), unique=True).map(tuple),
)
PEOPLE_OF = st.lists(st.booleans(), min_size=6, max_size=6).map(
    lambda known: tuple(
        person
        for person, there in zip(
            (("", "Referee", "A"), ("", "Scorer", "B C"), ("home", "coach", "D'E"),
             ("guest", "coach", "F"), ("home", "assistant", "G"), ("guest", "assistant", "H")),
            known,
            strict=True,
        )
        if there
    )
)  # fmt: skip
SETUPS = st.builds(
    Setup,
    st.sampled_from(["nfhs-2026", "youth-6-minute"]),
    LISTED,
    LISTED,
    st.sampled_from(Owner),
    st.sampled_from(Book),
    st.sampled_from([(), ("table",), ("hey", "table")]),
    TEXTS,
    TEXTS,
    language=st.sampled_from(["en", "es", "of another program"]),
    place=TEXTS,
    competition=TEXTS,
    people=PEOPLE_OF,
)


@given(SETUPS)
def test_a_written_header_is_read_as_the_same_setup(setup: Setup) -> None:
    pairs = [Item(key, value) for key, value in setup_pairs(setup).items()]
    assert make_setup(pairs, Path("game")) == setup
