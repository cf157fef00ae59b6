"""What `?` says: what may be pressed or said now, by the state of the game; read here by hand."""

from __future__ import annotations

import pytest

from callout.game.terms import Team
from callout.language.grammar import language_folder, load_grammar
from callout.table.hands.key_help import MOST_OFFERED, key_help
from callout.table.hands.keymap import Hand, KeyMap
from callout.table.hands.one_switch import Switch
from callout.table.language import keys_of, menu_of, patterns_of, replies_of
from tests.english import english_grammar
from tests.table.play import Table

GRAMMAR = english_grammar()


def helped(
    table: Table, team: Team | None = None, asked: bool = False, keys: KeyMap | None = None
) -> list[str]:
    patterns, replies = patterns_of(GRAMMAR), replies_of(GRAMMAR)
    switch = Switch(menu_of(GRAMMAR), patterns, replies, lambda of: (), table.session.may)
    told = key_help(switch, keys or keys_of(GRAMMAR), team, asked)
    assert told.kind == "help"
    return str(told.slots["text"]).split("; ")


def test_before_the_game_the_clock_may_be_started() -> None:
    assert helped(Table())[:3] == ["Tab start clock", "F home", "J guest"]
    assert "Space stop clock" not in helped(Table())


def test_while_the_clock_runs_it_may_be_stopped() -> None:
    table = Table()
    table.say("start clock")
    found = helped(table)
    assert found[:3] == ["Space stop clock", "F home", "J guest"]
    assert "Tab start clock" not in found
    assert len(found) <= MOST_OFFERED


def test_after_a_team_it_names_what_the_team_may_do() -> None:
    table = Table()
    table.say("start clock")
    assert helped(table, Team.HOME)[:4] == ["S two", "G foul", "D three", "A one"]


def test_an_open_question_may_be_answered() -> None:
    table = Table()
    assert helped(table, asked=True)[:2] == ["Y yes", "N no"]


def test_own_keys_are_named() -> None:
    start = keys_of(GRAMMAR).keys["tab"]
    own = KeyMap({"p g": start, "f9": Team.GUEST})
    assert helped(Table(), keys=own) == ["P G start clock", "F9 guest"]


@pytest.mark.parametrize("language", ["en", "es"])
def test_a_question_mark_asks_for_it_and_does_nothing_else(language: str) -> None:
    grammar = load_grammar(language_folder(language))
    assert keys_of(grammar).keys["?"] is Hand.HELP
    assert "help" in replies_of(grammar).file.kinds
