"""What is open and what is doubtful: each line in English, and its pieces in Spanish."""

from __future__ import annotations

from dataclasses import replace

import pytest

from callout.game.state import Game
from callout.game.terms import Team
from callout.paper.note import Note
from callout.paper.sheet.notes import doubtful, open_notes
from tests.english import WORDS
from tests.table.play import SETUP, Table


@pytest.fixture(scope="module")
def notes() -> list[Note]:
    """Those of a game that has nearly each kind of them."""
    table = Table()
    table.say("start clock", "tip home", "home two", "guest foul seventy seven", "stop clock")
    table.say("home foul", "shooting two", "guest shot good", "mark that", "guest timeout waiting")
    game: Game = replace(table.game, subs_waiting=(None, Team.GUEST), misfits=(7,))
    return [*open_notes(WORDS, game, SETUP), *doubtful(WORDS, game)]


def test_each_is_a_line(notes: list[Note]) -> None:
    lines = [str(each) for each in notes]
    assert lines[0] == "Harbour Kites: basket of 2, Q1 8:00, number missing"
    assert "Quarry Foxes: personal foul, Q1 8:00, number 77, not listed" in lines
    assert "Quarry Foxes: free throw made, Q1 8:00, number missing" in lines
    assert lines[-6:] == [
        "Quarry Foxes: 1 free throw to come",
        "Quarry Foxes: time-out asked for",
        "Somebody: substitute waiting",
        "Quarry Foxes: substitute waiting",
        "marked: Q1 8:00",
        "entry 7 corrects what was taken back",
    ]


def test_a_team_keeps_its_name_in_every_language(notes: list[Note]) -> None:
    assert {each.team for each in notes} == {"", "Harbour Kites", "Quarry Foxes"}
    assert not any("Kites" in each.text or "Foxes" in each.text for each in notes)
