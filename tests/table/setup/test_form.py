"""A setup as a form asks for it. Source: what a person would write by hand, which reads alike."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from callout.game.state import Owner
from callout.game.terms import Team
from callout.language.check import load_language
from callout.language.grammar import Grammar
from callout.table.language import english
from callout.table.setup.form import DUTIES, Checked, Form, TeamForm, check_form
from callout.table.setup.own_words import check_own_words
from callout.table.setup.setup import Book, read_setup

HOME = TeamForm("Harbour Kites", "4 Ada Moss\n5 Bo Reed\n12", ("4", "12"), "5", "blue", "kites")
FORM = Form("fiba-2024", HOME, TeamForm("Quarry Foxes", "8 11 15 50"))


@pytest.fixture(scope="module")
def grammar() -> Grammar:
    return load_language(english())


def wrong(grammar: Grammar, form: Form, known: frozenset[str] | None = None) -> list[str]:
    """The fields of the mistakes; a form with one gives no line."""
    checked = check_form(form, grammar, known)
    assert bool(checked.rows) != bool(checked.mistakes)
    return [each.field for each in checked.mistakes]


@pytest.mark.parametrize("name", ["Harbour Kites", " harbour  KITES "])
def test_two_teams_of_one_name_are_refused(grammar: Grammar, name: str) -> None:
    """Common practice, no source: sheets and results tell teams by their names."""
    assert wrong(grammar, replace(FORM, guest=TeamForm(name, "8 11"))) == ["guest name"]


def written(tmp_path: Path, checked: Checked) -> Path:
    path = tmp_path / "new.setup"
    path.write_text("\n".join(checked.rows), encoding="utf-8")
    return path


def test_a_form_gives_the_lines_that_a_person_would_write(grammar: Grammar) -> None:
    checked = check_form(replace(FORM, duty="book", wake="table"), grammar)
    assert checked.rows[1:] == (
        "profile: fiba-2024",
        "clock: follow",
        "wake: table",
        "home: Harbour Kites | 4 Ada Moss, 5 Bo Reed, 12,",
        "starters home: 4 12",
        "coach home: 5",
        "colour home: blue",
        "nickname home: kites",
        "guest: Quarry Foxes | 8 11 15 50",
    )


@pytest.mark.parametrize(
    ("profile", "duty"),
    [("nfhs-2026", "both"), *(("fiba-3x3", duty) for duty in DUTIES)],
)
def test_the_lines_are_a_setup_file(
    grammar: Grammar, tmp_path: Path, profile: str, duty: str
) -> None:
    path = written(tmp_path, check_form(replace(FORM, profile=profile, duty=duty), grammar))
    setup = read_setup(path)
    check_own_words(path, grammar, None)
    assert (setup.profile, setup.team(Team.HOME).coach) == (profile, "5")
    assert setup.home.side().starters == ("4", "12")
    owners = {"both": Owner.OURS, "book": Owner.FOLLOW, "no clock": Owner.NONE, "clock": Owner.OURS}
    assert setup.owner is owners[duty]
    assert (setup.book is Book.SECOND) == (duty == "clock")


@pytest.mark.parametrize(
    ("change", "field"),
    [
        ({"profile": "nba-1950"}, "profile"),
        ({"profile": ""}, "profile"),
        ({"duty": "referee"}, "duty"),
        ({"wake": "home"}, "wake"),
        ({"wake": "!?"}, "wake"),
        ({"home": replace(HOME, name=" | ")}, "home name"),
        ({"home": replace(HOME, players="4\n4", starters=(), coach="")}, "home players"),
        ({"home": replace(HOME, starters=("9",))}, "home starters"),
        ({"home": replace(HOME, players="1 2 3 4 5 6", starters=tuple("123456"))}, "home starters"),
        ({"home": replace(HOME, coach="9")}, "home coach"),
        ({"home": replace(HOME, colour="score")}, "home colour"),
        ({"home": replace(HOME, nickname="foxes")}, "home nickname"),
        ({"guest": TeamForm("Foxes", colour="blue")}, "guest colour"),
        ({"home": replace(HOME, captain="9")}, "home captain"),
        ({"home": replace(HOME, staff="Cy Tern")}, "home coach"),
        ({"officials": "Ann Lee"}, "officials"),
        ({"competition": "Cup, round # 1"}, "competition"),
        ({"home": replace(HOME, coach="", staff="Cy #1")}, "home coach"),
        ({"officials": "Umpire 1 Ann Lee, Umpire 1 Bo Reed"}, "officials"),
    ],
)
def test_a_mistake_is_told_at_its_field(grammar: Grammar, change: Any, field: str) -> None:
    assert wrong(grammar, replace(FORM, **change)) == [field]


def test_who_and_where_stand_in_the_file(grammar: Grammar, tmp_path: Path) -> None:
    """Source of the roles: FIBA 2024 art. 45 and Appendix B, the fields of the score sheet."""
    home = replace(HOME, captain="4", coach="", staff="Cy Tern", assistant="Di  Lind")
    form = replace(FORM, home=home, place="North Gym, Hall 2", competition="Cup: round 1",
                   officials="Crew chief Ann Lee, Umpire 1 Bo Reed")  # fmt: skip
    setup = read_setup(written(tmp_path, check_form(form, grammar)))
    assert (setup.place, setup.home.captain) == ("North Gym, Hall 2", "4")
    assert setup.competition == "Cup: round 1"
    assert set(setup.people) == {
        ("home", "coach", "Cy Tern"), ("home", "assistant", "Di Lind"),
        ("", "Crew chief", "Ann Lee"), ("", "Umpire 1", "Bo Reed"),
    }  # fmt: skip


def test_mistakes_of_several_fields_are_told_together(grammar: Grammar) -> None:
    form = Form("", TeamForm("", "4 4"), TeamForm("Foxes", "1\n2\n100"))
    assert wrong(grammar, form) == ["profile", "home name", "home players", "guest players"]


def test_a_word_that_the_ear_does_not_know_is_told(grammar: Grammar) -> None:
    known = frozenset({"blue", "kites", "table"})
    assert wrong(grammar, FORM, known) == []
    assert wrong(grammar, replace(FORM, wake="xyzzy"), known) == ["wake"]


def test_numbers_that_sound_alike_are_pointed_out(grammar: Grammar) -> None:
    (note,) = check_form(FORM, grammar).notes
    assert note.field == "guest players"
    assert note.what == "15 and 50 sound alike: say 'one five' or 'five zero'"


def test_numbers_that_the_league_forbids_are_pointed_out_and_kept(grammar: Grammar) -> None:
    # NFHS 3-4: no digit above 5.
    checked = check_form(replace(FORM, profile="nfhs-2026"), grammar)
    told = [note.what.split(" ")[0] for note in checked.notes if "legal" in note.what]
    assert told == ["8"]
    assert "guest: Quarry Foxes | 8 11 15 50" in checked.rows


def test_signs_with_a_meaning_in_the_file_cannot_make_a_line_of_their_own(
    grammar: Grammar, tmp_path: Path
) -> None:
    odd = TeamForm("Kites # x | 9\nguest: y", "4 Ada # | Moss\n5 a\tb")
    checked = check_form(replace(FORM, home=odd), grammar)
    setup = read_setup(written(tmp_path, checked))
    assert setup.home.name == "Kites x 9guest: y"
    assert [player.name for player in setup.home.players] == ["Ada Moss", "a b"]
    assert setup.guest.name == "Quarry Foxes"
    assert wrong(grammar, replace(FORM, wake="table\nbook: second")) == ["wake"]
