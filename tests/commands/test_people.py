"""`callout people`, `callout new` and a setup given again: names for the sheet, early or late."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import replace
from pathlib import Path

import pytest
import typer

from callout.commands.close import close
from callout.commands.forget import forget
from callout.commands.new import new
from callout.commands.opened import _compare
from callout.commands.people import people
from callout.commands.sheet import read
from callout.errors import CalloutError
from callout.game.profile.file import load_profile, profile_names
from callout.paper.sheet.form import sheet
from callout.table.book.journal import Journal
from callout.table.setup.roster import Player
from callout.table.setup.setup import Listed, Setup, read_setup
from tests.commands.test_close import answers as in_turn
from tests.english import WORDS
from tests.table.play import Table

HOME = Listed("Harbour Kites", (Player("4", "Ada Moss"), Player("5")), coach="5")
SETUP = Setup("fiba-2024", HOME, Listed("Quarry Foxes", (Player("3"),)))
OFFICIALS = load_profile("fiba-2024").sheet.officials

Asked = dict[str, str]


@pytest.fixture
def game(tmp_path: Path) -> Path:
    """A game that is over."""
    path = tmp_path / "x.game"
    with Journal.create(path, SETUP) as journal:
        Table(SETUP, journal).say("start clock", "home two number four", "end game", "yes")
    return path


def answers(given: Asked, asked: Asked | None = None) -> Callable[[str, str], str]:
    """Answers these questions, and leaves the others; notes what each offered."""

    def ask(what: str, usual: str) -> str:
        if asked is not None:
            asked[what] = usual
        return given.get(what, usual)

    return ask


def on_sheet(game: Path) -> dict[str, str]:
    """Who stands on the sheet, by role, with the coaches."""
    recorded = read(game)
    drawn = sheet(recorded, recorded.game.profile.sheet.form, WORDS)
    staff = {team["side"]: team["coach"]["name"] for team in drawn["teams"]}
    return staff | {each["role"]: each["name"] for each in drawn["officials"]}


def test_late_names_stand_on_the_sheet_and_the_book_is_as_it_was(game: Path) -> None:
    with Journal.read(game) as journal:
        mark = journal.mark
    asked: Asked = {}
    given = {"Crew chief": "Cy Dale", "Coach of Quarry Foxes": "Gale Wren, # M.D."}
    assert people(game, answers(given, asked)) == 0
    # The home coach is a player, so no name is asked for; FIBA's officials are those of its sheet.
    assert [*asked] == ["Assistant coach of Harbour Kites", "Coach of Quarry Foxes",
                        "Assistant coach of Quarry Foxes", *OFFICIALS]  # fmt: skip
    shown = on_sheet(game)
    assert (shown["Crew chief"], shown["guest"], shown["Timer"]) == (
        "Cy Dale",
        "Gale Wren M.D.",
        "",
    )
    with Journal.read(game) as journal:
        assert journal.mark == mark
        assert journal.setup.home.players[0].name == "Ada Moss"


def test_a_name_that_is_known_is_offered_and_can_be_taken_out(game: Path) -> None:
    people(game, answers({"Crew chief": "Cy Dale", "Timer": "Flo Ames"}))
    asked: Asked = {}
    people(game, answers({"Timer": "-"}, asked))
    assert (asked["Crew chief"], asked["Timer"], asked["Umpire 1"]) == ("Cy Dale", "Flo Ames", "")
    assert read(game).setup.people == (("", "Crew chief", "Cy Dale"),)


@pytest.mark.parametrize("by", [typer.Abort(), KeyboardInterrupt()])
def test_who_stops_keeps_what_was_answered_and_what_stood_after_it(
    by: BaseException, game: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """By Ctrl-C, Ctrl-D or a closed window: nothing that was typed is typed twice."""
    people(game, answers({"Crew chief": "Cy Dale", "Timer": "Flo Ames"}))
    asked: Asked = {}
    given = answers({"Crew chief": "Hal Finch"}, asked)

    def ask(what: str, usual: str) -> str:
        if what == "Umpire 1":
            raise by
        return given(what, usual)

    capsys.readouterr()
    assert people(game, ask) == 1
    assert [*asked][-1] == "Crew chief"
    assert read(game).setup.people == (("", "Crew chief", "Hal Finch"), ("", "Timer", "Flo Ames"))
    told = capsys.readouterr().out
    assert told.endswith(f"\n{game}: 2 names of coaches and officials; what you answered is kept\n")


def test_a_name_that_cannot_stand_as_it_was_typed_is_shown(
    game: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    people(game, answers({"Crew chief": "Cy Dale, jun.", "Umpire 1": "Ä" * 50, "Timer": "Bo"}))
    told = capsys.readouterr().out.splitlines()
    assert [line for line in told if line.startswith("Taken")] == [
        "Taken: Cy Dale jun.", f"Taken: {'Ä' * 40}",
    ]  # fmt: skip


def test_a_closed_game_takes_them_too_and_forgets_them(
    game: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert close(game, ask=in_turn("yes", "no")) == 0
    people(game, answers({"Crew chief": "Cy Dale"}))
    assert on_sheet(game)["Crew chief"] == "Cy Dale"
    assert forget(game) == 0
    assert "2 names struck" in capsys.readouterr().out
    assert b"Cy Dale" not in game.read_bytes()
    assert on_sheet(game)["Crew chief"] == ""


def test_a_file_that_is_no_game_is_refused(tmp_path: Path) -> None:
    with pytest.raises(CalloutError, match="there is no such file; expected a game's file"):
        people(tmp_path / "none.game", answers({}))
    assert list(tmp_path.iterdir()) == []


# --- a setup that is given again ------------------------------------------------------------------


def given_again(game: Path, text: str) -> Path:
    """Resume the game with a setup of these further lines."""
    file = game.with_suffix(".setup")
    teams = "home: Harbour Kites | 4 5\nguest: Quarry Foxes | 3\ncoach home: 5\n"
    file.write_text(f"profile: fiba-2024\n{teams}{text}", encoding="utf-8")
    with Journal.open(game) as journal:
        _compare(journal, file, "")
    return file


def test_a_setup_given_again_brings_the_names(
    game: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    people(game, answers({"Timer": "Flo Ames", "Umpire 1": "Di Tern"}))
    capsys.readouterr()
    lines = "officials: Crew chief Cy Dale, Umpire 1 Hal Finch\ncoach guest: Gale Wren\n"
    file = given_again(game, lines)
    told = capsys.readouterr().err
    assert told == (f"{file}: names taken into the game: Umpire 1 Hal Finch, Crew chief Cy Dale, "
                    "coach Gale Wren\n")  # fmt: skip
    shown = on_sheet(game)
    assert [shown[role] for role in ("Crew chief", "Umpire 1", "Timer", "guest")] == [
        "Cy Dale", "Hal Finch", "Flo Ames", "Gale Wren",
    ]  # fmt: skip
    with Journal.read(game) as journal:
        assert file in journal.copies()
    given_again(game, lines)
    assert capsys.readouterr().err == ""


def test_a_place_that_comes_late_is_told_and_stays_out(
    game: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    given_again(game, "place: Harbour Hall\n")
    assert "its place, competition, captains or language differ" in capsys.readouterr().err
    assert read(game).setup.place == ""


# --- a new setup file -----------------------------------------------------------------------------


def teams(*more: str) -> Iterator[str]:
    """The answers to what comes first, and then these."""
    return iter(("fiba-2024", "Kites 4 5", "Foxes", "3 Ida Rush", "", "yes", *more))


def test_a_new_setup_has_what_the_sheet_wants(tmp_path: Path) -> None:
    left = teams(
        *("Harbour Hall", "Cup", "9", "5", ""),  # No number 9 is on the list; no guest captain.
        *("Gale Wren", "", "4 Wren", "Hal Finch", ""),
        *("Cy Dale", "", "Di, Tern", *[""] * 4),
    )
    path = tmp_path / "x.setup"
    assert new(path, lambda what, usual: next(left)) == 0
    assert next(left, None) is None
    setup = read_setup(path)
    assert (setup.place, setup.competition, setup.home.captain) == ("Harbour Hall", "Cup", "5")
    assert setup.guest.captain is None
    assert set(setup.people) == {
        ("home", "coach", "Gale Wren"), ("guest", "coach", "Hal Finch"),
        ("", "Crew chief", "Cy Dale"), ("", "Umpire 2", "Di Tern"),
    }  # fmt: skip


@pytest.mark.parametrize("profile", profile_names())
def test_only_grown_up_people_of_the_league_s_sheet_are_asked_for(
    profile: str, tmp_path: Path
) -> None:
    """A captain, who may be a child, is a number."""
    asked: Asked = {}
    game = tmp_path / "x.game"
    Journal.create(game, replace(SETUP, profile=profile)).close()
    people(game, answers({}, asked))
    officials = load_profile(profile).sheet.officials
    assert {*asked} - {*officials} == {
        "Assistant coach of Harbour Kites", "Coach of Quarry Foxes",
        "Assistant coach of Quarry Foxes",
    }  # fmt: skip
