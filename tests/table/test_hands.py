"""A whole game by keys alone and by one switch; the reference is the same game said in words."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from callout.game.terms import Team
from callout.table.hands import Act, Edge, Hands, LetGo, Unknown
from callout.table.keying import Keying, Keys
from callout.table.keymap import Hand, KeyMap, Target
from callout.table.presses import Stuck
from callout.table.words import keys_of, patterns_of

from .book import Table
from .hands import GRAMMAR, ByKeys, BySwitch, Pieces

GAMES = Path(__file__).parent.parent / "games"
DEMO = GAMES / "demo.game"


@pytest.fixture(scope="module")
def said() -> dict[str, Any]:
    """The demo's game said call by call."""
    return Pieces(DEMO).result()


def test_a_whole_game_by_keys_alone_is_the_same_game(said: dict[str, Any]) -> None:
    hands = ByKeys(DEMO)
    assert hands.result() == said
    assert hands.done > 200


def test_a_whole_game_by_one_switch_is_the_same_game(said: dict[str, Any]) -> None:
    hands = BySwitch(DEMO)
    result = hands.result()
    assert {**result, "refusals": []} == {**said, "refusals": []}
    assert len(hands.unread) == len(said["refusals"]) == 1
    print(f"{hands.done} calls, {hands.presses} presses, {hands.reads} choices passed over")


# --- the keys of all devices ----------------------------------------------------------------------

START, STOP = (keys_of(GRAMMAR).keys[key] for key in ("tab", "space"))


def hands(**tables: dict[str, Target]) -> Hands:
    return Hands(KeyMap({**keys_of(GRAMMAR).keys, **tables.pop("keys", {})}, **tables))  # type: ignore[arg-type]


def test_each_device_has_its_own_keys() -> None:
    table = hands(everywhere={"f13": START}, pedal={"a": STOP})
    assert table.feed(Edge("everywhere", "f13", True, 1)) == [Act(START, 1)]
    assert table.feed(Edge("pedal", "a", True, 2)) == [Act(STOP, 2)]
    assert table.feed(Edge("keys", "f", True, 3)) == [Act(Team.HOME, 3)]


def test_what_others_type_elsewhere_is_none_of_the_table_s_business() -> None:
    table = hands(everywhere={"f13": START}, pedal={"a": STOP})
    assert table.feed(Edge("everywhere", "f", True, 1)) == []
    assert table.tick(10**12) == []
    assert table.feed(Edge("pedal", "b", True, 2)) == [Unknown("b")]
    assert table.feed(Edge("keys", "f12", True, 3)) == [Unknown("f12")]


def test_the_number_pad_does_what_its_twins_do() -> None:
    assert hands().feed(Edge("keys", "kp_5", True, 1)) == [Act("5", 1)]
    own = hands(keys={"kp_5": STOP})
    assert own.feed(Edge("keys", "kp_5", True, 1)) == [Act(STOP, 1)]


@pytest.mark.parametrize("key", ["4", "kp_4", "x"])
def test_a_quick_double_digit_at_the_terminal_is_two_digits(key: str) -> None:
    """44 by hands that press twice in 70 ms; digits are known by what the keys stand for."""
    own = hands(keys={"x": "4"})
    told = [own.feed(Edge("keys", key, True, at * 10**6)) for at in (100, 170)]
    assert told == [[Act("4", 100_000_000)], [Act("4", 170_000_000)]]


def test_a_key_held_at_the_terminal_is_one_press() -> None:
    own = hands()
    moments = [0, 500, *range(530, 900, 30)]
    moves = [move for at in moments for move in own.feed(Edge("keys", "u", True, at * 10**6))]
    assert len(moves) == 1
    assert own.wake_ns() is None


def test_what_waits_to_be_no_repetition_is_due_in_time() -> None:
    own = hands()
    own.feed(Edge("keys", "space", True, 0))
    assert own.feed(Edge("keys", "space", True, 400 * 10**6)) == []
    assert own.wake_ns() == 500 * 10**6
    assert own.tick(500 * 10**6) == [Act(STOP, 400 * 10**6)]


def test_talk_lasts_as_long_as_its_key_is_held() -> None:
    table = hands(pedal={"a": Hand.TALK})
    assert table.feed(Edge("pedal", "a", True, 0)) == [Act(Hand.TALK, 0)]
    assert table.feed(Edge("pedal", "a", False, 10**9)) == []
    assert table.wake_ns() == 1_010_000_000
    assert table.tick(2 * 10**9) == [LetGo(10**9)]


def test_a_stuck_key_is_told_of_and_talk_ends() -> None:
    table = hands(pedal={"a": Hand.TALK})
    table.feed(Edge("pedal", "a", True, 0))
    assert table.tick(60 * 10**9) == [LetGo(0), Stuck("a", 0)]
    assert table.tick(61 * 10**9) == []


def test_one_pedal_starts_and_stops_the_clock() -> None:
    table, book = hands(pedal={"a": (*STOP, *START)}), Table()  # type: ignore[misc]
    rules, keying = Keys(patterns_of(GRAMMAR), book.session.may), Keying()
    running = []
    for nth in range(4):
        for down in (True, False):
            for move in table.feed(Edge("pedal", "a", down, (2 * nth + (not down)) * 10**9)):
                assert isinstance(move, Act)
                for keyed in rules.press(keying, move.target, move.at_ns).calls:
                    book.session.take(keyed.call, "key")
        running.append(book.game.clock.running)
    assert running == [True, False, True, False]
