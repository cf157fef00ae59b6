"""The book as plain text: every figure of a small game, reckoned by hand, stands in its place."""

from __future__ import annotations

from dataclasses import replace

import pytest

from callout.game.state import Owner
from callout.paper.text import book_text
from callout.table.setup.roster import Player
from tests.english import WORDS
from tests.table.play import SETUP, Table

NAMED = replace(
    SETUP, home=replace(SETUP.home, players=(Player("4"), Player("5", "Ada Moss"), Player("10")))
)


@pytest.fixture
def lines() -> list[str]:
    """The text of a game of one period and a bit."""
    table = Table(NAMED)
    table.say("start clock", "tip home")
    table.wait(19)
    table.say("home two number five", "home three number five", "guest two", "stop clock")
    table.say("guest foul fourteen", "guest technical thirty", "shot good number four")
    table.say("guest foul", "home timeout", "guest timeout waiting")
    text = book_text(table.game, NAMED, table.session.now().left_tenths, WORDS, "1f2e-0a9b")
    assert text.isascii()
    return text.splitlines()


def row(lines: list[str], title: str, below: str = "") -> list[str]:
    """The cells of the first line that begins so, from a heading on."""
    start = next(nth for nth, line in enumerate(lines) if line.startswith(below))
    return next(line.split() for line in lines[start:] if line.strip().startswith(title))


def test_the_score_and_the_clock_stand_first(lines: list[str]) -> None:
    assert lines[0] == "Harbour Kites 6, Quarry Foxes 2"
    assert lines[1] == "nfhs-2026, official book; period 1, timeout, clock 7:41"


def test_points_and_fouls_by_period(lines: list[str]) -> None:
    assert row(lines, "Harbour", "Score") == ["Harbour", "Kites", "6", "6"]
    assert row(lines, "Quarry", "Team fouls") == ["Quarry", "Foxes", "3"]


def test_players_with_their_baskets_and_fouls(lines: list[str]) -> None:
    assert row(lines, "5 ", "Harbour Kites") == ["5", "Ada", "Moss", "5", "1", "1", "0", "0"]
    assert row(lines, "4 ", "Harbour Kites") == ["4", "1", "0", "0", "1", "0"]
    foxes = lines[lines.index("Quarry Foxes") :]
    assert row(foxes, "14") == ["14", "0", "0", "0", "0", "0", "P"]
    assert row(foxes, "30") == ["30", "0", "0", "0", "0", "0", "T"]


def test_timeouts_arrow_and_what_is_open(lines: list[str]) -> None:
    """Source of the five time-outs: NFHS 5-12-1."""
    assert "Time-outs used: P1 7:41; left 4" in lines
    assert "Arrow: Quarry Foxes has the next throw-in by it" in lines
    assert "  Quarry Foxes: P1 7:41 basket of 2, number missing" in lines
    assert "  Quarry Foxes: P1 7:41 foul, number missing" in lines
    assert "  Quarry Foxes: time-out asked for" in lines
    assert lines[-1].endswith(", 0 taken back, mark 1f2e-0a9b")


def test_a_game_before_its_first_call_is_an_empty_form() -> None:
    table = Table()
    lines = book_text(table.game, SETUP, 4_800, WORDS).splitlines()
    assert lines[1] == "nfhs-2026, official book; before the game, clock 8:00"
    assert "Open: nothing" in lines
    assert "Arrow: none" in lines
    assert all(len(line) <= 100 for line in lines)


def test_without_a_clock_no_time_stands_there() -> None:
    setup = replace(NAMED, owner=Owner.NONE)
    table = Table(setup)
    table.say("start period", "home two", "home timeout")
    text = book_text(table.game, setup, table.session.now().left_tenths, WORDS)
    assert ":" not in text.splitlines()[1]
    assert "Time-outs used: P1; left 4" in text
    assert "P1 basket of 2, number missing" in text


def test_a_shirt_that_is_not_listed_stands_as_it_was_seen() -> None:
    table = Table().begun()
    table.say("guest two number eleven", "guest foul eleven", "guest three")
    lines = book_text(table.game, SETUP, 4_700, WORDS).splitlines()
    foxes = lines[lines.index("Quarry Foxes") :]
    assert row(foxes, "11 ") == ["11", "(not", "listed)", "2", "1"]
    assert "  Quarry Foxes: P1 7:50 basket of 2, number 11, not listed" in lines
    assert "  Quarry Foxes: P1 7:50 basket of 3, number missing" in lines
    table.say("add guest number eleven")
    lines = book_text(table.game, SETUP, 4_700, WORDS).splitlines()
    foxes = lines[lines.index("Quarry Foxes") :]
    assert row(foxes, "11 ") == ["11", "2", "0", "1", "0", "0", "P"]


def test_who_forfeited_and_the_score_by_the_rules() -> None:
    """Source: NFHS 5-4: the score stands only where the winner leads, else it is 2 to 0."""
    table = Table(NAMED)
    table.say("start clock", "tip home", "home two number five", "home forfeits", "yes")
    head = book_text(table.game, NAMED, 0, WORDS).splitlines()[:3]
    assert head[0] == "Harbour Kites 2, Quarry Foxes 0"
    assert head[2] == "Harbour Kites forfeited; by the rules 0-2"


def test_the_number_that_a_player_wore_at_first() -> None:
    """Source: NFHS 3-4: a shirt with blood on it is changed, and his fouls stay his."""
    table = Table(NAMED)
    table.say("start clock", "tip home", "home number ten is now forty four", "no")
    lines = book_text(table.game, NAMED, 0, WORDS).splitlines()
    assert "No. 44 wore 10 at first" in lines[: lines.index("Quarry Foxes")]
