"""What `?` says: what may be pressed or said now, by the state of the game; read here by hand."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from callout.commands.keys_card import shown
from callout.game.terms import Team
from callout.language.folder import load_grammar
from callout.language.grammar import BEFORE_PART, Grammar, language_folder
from callout.language.parser import Parsed, Parser
from callout.language.scope import Scope
from callout.table.book.journal import Journal
from callout.table.clock import SimulatedTime
from callout.table.hands.key_help import (
    HELPERS,
    MOST_OFFERED,
    expected,
    help_page,
    key_rows,
    pages,
    word_rows,
)
from callout.table.hands.keymap import Hand, KeyMap
from callout.table.hands.one_switch import Switch
from callout.table.language import keys_of, menu_of, patterns_of, replies_of
from callout.table.session import Session
from tests.english import english_grammar
from tests.table.play import SETUP, Table

GRAMMAR = english_grammar()


def helped(
    table: Table, team: Team | None = None, asked: bool = False, keys: KeyMap | None = None
) -> list[str]:
    patterns, replies = patterns_of(GRAMMAR), replies_of(GRAMMAR)
    switch = Switch(menu_of(GRAMMAR), patterns, replies, lambda of: (), table.session.may)
    return list(key_rows(switch, keys or keys_of(GRAMMAR), team, "asked" if asked else ""))


def running() -> Table:
    table = Table()
    table.say("start clock")
    return table


def test_before_the_game_the_clock_may_be_started() -> None:
    found = helped(Table())
    assert found[:3] == ["Tab start clock", "F home", "J guest"]
    assert "Space stop clock" not in found


def test_while_the_clock_runs_it_may_be_stopped() -> None:
    found = helped(running())
    assert found[:3] == ["Space stop clock", "F home", "J guest"]
    assert "Tab start clock" not in found
    assert "B dead ball" in found


def test_after_a_team_it_names_what_the_team_may_do() -> None:
    found = helped(running(), Team.HOME)
    assert found[:4] == ["S two", "G foul", "D three", "A one"]
    assert "I technical" in found
    assert "Space stop clock" not in found, "it needs no team"


def test_a_foul_that_the_league_does_not_have_is_not_named() -> None:
    # NFHS 4-19 has intentional fouls, FIBA 37 unsportsmanlike ones.
    found = helped(running(), Team.HOME)
    assert "P I intentional" in found
    assert "P W unsportsmanlike" not in found


def test_an_open_question_may_be_answered_and_calls_go_on() -> None:
    asking = running()
    asking.say("end game")
    found = helped(asking, asked=True)
    assert found[:2] == ["Y yes", "N no"]
    assert "Space stop clock" in found
    assert "Y yes" not in helped(running())


def test_every_key_that_makes_a_call_is_named_in_some_state() -> None:
    patterns, replies = patterns_of(GRAMMAR), replies_of(GRAMMAR)
    switch = Switch(menu_of(GRAMMAR), patterns, replies, lambda of: ())
    keymap = keys_of(GRAMMAR)
    states = [(None, "asked"), (Team.HOME, "")]
    named = {row for team, asked in states for row in key_rows(switch, keymap, team, asked)}
    keys = {key for key, target in keymap.keys.items() if isinstance(target, tuple)}
    keys |= {key for hand in HELPERS if (key := keymap.find(hand))}
    assert not [row for row in named if re.search(r"\{\w", row)], "it is read aloud, too"
    # The card of keys, which is written by hand beside this, shows them in the same way.
    assert {key for key in keys if not any(row.startswith(f"{shown(key)} ") for row in named)} == (
        set()
    )


def test_it_is_given_page_by_page() -> None:
    rows = tuple("abcdefghijklm")
    assert pages(rows) == 3
    told = [help_page(rows, page).slots for page in range(3)]
    assert [each["text"] for each in told] == ["a; b; c; d; e; f", "g; h; i; j; k; l", "m"]
    assert [each["more"] for each in told] == [13 - MOST_OFFERED, 1, None]
    assert pages(()) == 1


def switch_of(session: Session, grammar: Grammar, numbers: tuple[str, ...] = ()) -> Switch:
    patterns, replies = patterns_of(grammar), replies_of(grammar)
    return Switch(menu_of(grammar), patterns, replies, lambda of: numbers, session.may)


def worded(table: Table, closed: bool = False, numbers: tuple[str, ...] = ()) -> list[str]:
    session = table.session
    switch = switch_of(session, GRAMMAR, numbers)
    asked = session.dialogue.question is not None
    return list(word_rows(switch, expected(switch, session.game, asked), closed))


def test_who_types_is_told_whole_calls() -> None:
    assert worded(Table())[0] == "start clock"
    assert "stop clock" not in worded(Table())
    found = worded(running())
    assert found[:3] == ["stop clock", "home or guest two", "home or guest foul"]
    assert "count on home or guest four" in found
    assert found == list(dict.fromkeys(found))


def test_numbers_of_the_lists_stand_in_the_examples() -> None:
    found = worded(running(), numbers=("5", "12"))
    assert "home or guest sub five in twelve out" in found
    assert not any("number number" in row for row in found)


def test_of_the_answers_only_those_that_the_question_takes_are_told() -> None:
    asking = running()
    asking.say("end game")
    assert worded(asking)[:3] == ["yes", "no", "cancel that"]
    assert not {"first", "second", "number", "earlier"} & set(worded(asking))
    assert not {"yes", "no", "cancel that"} & set(worded(running()))


def test_what_is_told_to_the_referee_is_offered_once_there_is_something_to_tell() -> None:
    telling = {"referee told", "tell officials"}
    assert not telling & set(worded(running()))
    told = running()
    # NFHS 4-14-2: the fifth foul; the officials are told.
    for _ in range(5):
        told.say("guest foul number five")
        told.wait(5)
    assert telling <= set(worded(told))
    # The fifth foul's notices first, then the fourth's, which told of the bonus.
    told.say("referee told", "referee told")
    assert "referee told" not in worded(told)


@pytest.mark.parametrize(
    ("language", "how"),
    [("en", "twenty minutes to the tip"), ("es", "faltan veinte minutos")],
)
def test_before_the_game_it_first_tells_how_to_say_when_it_begins(
    tmp_path: Path, language: str, how: str
) -> None:
    grammar = load_grammar(language_folder(language), BEFORE_PART)
    with Journal.create(tmp_path / "game", SETUP) as journal:
        session = Session(journal, replies_of(grammar), SimulatedTime(1_000_000_000))
        switch = switch_of(session, grammar)
        rows = word_rows(switch, expected(switch, session.game, asked=False), closed=False)
    assert rows[0] == how
    assert isinstance(Parser(grammar, Scope()).parse(rows[0]), Parsed)


def test_after_the_game_the_approval_comes_first_and_then_only_questions_are_left() -> None:
    table = running()
    assert "officials approve" not in worded(table)
    table.say("end game", "yes")
    assert worded(table)[0] == "officials approve"
    table.say("officials approve", "yes")
    found = worded(table, closed=True)
    assert "score check" in found
    assert not {"home or guest two", "undo that", "start clock"} & set(found)


def test_own_keys_are_named() -> None:
    start = keys_of(GRAMMAR).keys["tab"]
    own = KeyMap({"p g": start, "f9": Team.GUEST})
    assert helped(Table(), keys=own) == ["P G start clock", "F9 guest"]


@pytest.mark.parametrize("language", ["en", "es"])
def test_a_question_mark_asks_for_it_and_does_nothing_else(language: str) -> None:
    grammar = load_grammar(language_folder(language))
    assert keys_of(grammar).keys["?"] is Hand.HELP
    assert "help" in replies_of(grammar).file.kinds
    assert set(replies_of(grammar).file.terms["hand"]) == {hand.value for hand in HELPERS}
