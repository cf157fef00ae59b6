"""A whole game by keys alone and by one switch; the reference is the same game said in words."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from callout.game.terms import Team
from callout.language.folder import load_grammar
from callout.language.grammar import language_folder
from callout.table.hands.composing import WAIT_NS, Keying, Keys
from callout.table.hands.devices import Act, Begun, Edge, Hands, LetGo, Move, Unknown
from callout.table.hands.keymap import Hand, KeyMap, Target, two_keys
from callout.table.hands.presses import Stuck
from callout.table.language import keys_of, patterns_of
from tests.table.play import Table
from tests.table.pressing import GRAMMAR, ByKeys, BySwitch, Pieces

GAMES = Path(__file__).parents[2] / "games"
DEMO = GAMES / "demo.game"
PUT_RIGHT = GAMES / "trade/any-entry-put-right.game"


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


def test_the_past_is_put_right_alike_in_words_by_keys_and_by_one_switch() -> None:
    words, keys, switch = Pieces(PUT_RIGHT), ByKeys(PUT_RIGHT), BySwitch(PUT_RIGHT)
    said = words.result()
    assert keys.result() == said
    assert {**switch.result(), "refusals": []} == {**said, "refusals": []}
    assert sum(type(entry.call).__name__ == "Correct" for entry in keys.session.entries) > 12
    # What fits nothing is not read.
    assert len(switch.unread) == 1


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


# --- letters: Caps Lock, and two keys one after another -------------------------------------------

LANGUAGES = sorted(path.parent.name for path in language_folder("en").parent.glob("*/calls"))


def taps(table: Hands, *keys: str) -> list[Move]:
    """What comes of keys of the terminal, a second apart."""
    edges = [Edge("keys", key, True, nth * 10**9) for nth, key in enumerate(keys, start=1)]
    return [move for edge in edges for move in table.feed(edge)]


@pytest.mark.parametrize("language", LANGUAGES)
def test_caps_lock_changes_no_call(language: str) -> None:
    keymap = keys_of(load_grammar(language_folder(language)))
    letters = [key for key in keymap.keys if len(key) == 1 and key.isalpha()]
    assert len(letters) > 15
    for key in [*letters, "p"]:
        assert taps(Hands(keymap), key.upper(), "enter") == taps(Hands(keymap), key, "enter")
    for gesture in keymap.keys:
        if two := two_keys(gesture):
            shifted = taps(Hands(keymap), *(key.upper() if len(key) == 1 else key for key in two))
            assert shifted == taps(Hands(keymap), *two)


@pytest.mark.parametrize("language", LANGUAGES)
def test_no_heavy_call_is_one_slip_away_from_a_common_one(language: str) -> None:
    """Neighbours: as on the keyboards of most languages, `p` at the right end of its row."""
    keymap = keys_of(load_grammar(language_folder(language)))
    assert [key for key in keymap.keys if key != key.lower()] == []
    pairs = [two for two in map(two_keys, keymap.keys) if two]
    for first, second in pairs:
        assert first not in keymap.keys
        assert second not in (*"ol[;0-", "f", "j", *"0123456789", "enter", "space", "tab")


def test_rare_and_heavy_calls_want_two_keys() -> None:
    names = (
        "own basket", "flagrant", "disqualifying", "unsportsmanlike", "intentional", "violation",
        "end game", "no basket", "pause", "charge", "coach", "bench", "put that back",
    )  # fmt: skip
    keymap = keys_of(GRAMMAR).keys
    texts = {target[0].text: key for key, target in keymap.items() if isinstance(target, tuple)}
    for name in names:
        keys = [key for text, key in texts.items() if name in text]
        assert keys
        assert all(two_keys(key) for key in keys)


def test_caps_lock_changes_no_key_of_one_s_own_either() -> None:
    table = hands(keys={"x": STOP}, everywhere={"s": START, "s long": STOP}, pedal={"a": STOP})
    assert taps(table, "X") == [Act(STOP, 10**9)]
    assert table.feed(Edge("everywhere", "S", True, 2 * 10**9)) == []
    assert table.feed(Edge("everywhere", "S", False, 2_200_000_000)) == []
    assert table.tick(3 * 10**9) == [Act(START, 2 * 10**9)]
    own = hands(keys={"x": STOP, "X": START})
    assert taps(own, "X", "x") == [Act(START, 10**9), Act(STOP, 2 * 10**9)]


def test_two_keys_one_after_another_are_one_call() -> None:
    charge = keys_of(GRAMMAR).keys["p g"]
    assert taps(hands(), "p", "g") == [Begun(), Act(charge, 2 * 10**9)]
    assert taps(hands(keys={"p kp_5": STOP}), "p", "kp_5") == [Begun(), Act(STOP, 2 * 10**9)]


def test_what_is_no_second_key_says_what_it_always_does() -> None:
    assert taps(hands(), "p", "space") == [Begun(), Act(STOP, 2 * 10**9)]
    assert taps(hands(), "p", "f12", "g")[1:] == [Unknown("f12"), *taps(hands(), "", "", "g")[2:]]
    assert taps(hands(), "p", "kp_5") == [Begun(), Act("5", 2 * 10**9)]
    assert taps(hands(), "p", "p", "g")[:2] == [Begun(), Begun()]


def test_the_first_of_two_keys_is_forgotten() -> None:
    foul = keys_of(GRAMMAR).keys["g"]
    assert taps(hands(), "p", "backspace", "g") == [Begun(), Act(foul, 3 * 10**9)]
    table = hands()
    table.feed(Edge("keys", "p", True, 0))
    assert table.feed(Edge("keys", "g", True, WAIT_NS + 1)) == [Act(foul, WAIT_NS + 1)]


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
