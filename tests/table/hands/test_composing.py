"""Calls made by keys; the reference is the same call said in words, read by the parser."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from callout.game import calls
from callout.game.calls import Call
from callout.game.profile.file import load_profile
from callout.game.terms import FoulKind, Offender, Team
from callout.language.pattern import Place
from callout.table.clock import clock_text, parse_clock
from callout.table.hands.composing import WAIT_NS, Keyed, Keying, Keys, KeyStep, value_of
from callout.table.hands.keymap import Hand, Target
from callout.table.language import keys_of, patterns_of
from tests.english import english_grammar

GRAMMAR = english_grammar()
MAP = keys_of(GRAMMAR)
KEYS = Keys(patterns_of(GRAMMAR))
FOUL = calls.Foul(Team.HOME, foul=FoulKind.TECHNICAL, on=Offender.COACH)


def press(keys: str, asked: bool = False, hands: Keys = KEYS) -> tuple[list[Call], list[KeyStep]]:
    """The calls of keys pressed a second apart, and each key's step; `p-g` is P, then G."""
    keying, made, steps = Keying(), list[Call](), list[KeyStep]()
    for at, key in enumerate(keys.split(), start=1):
        gesture = key if key == "-" else key.replace("-", " ")
        step = hands.press(keying, MAP.keys[gesture], at * 10**9, asked)
        keying = step.keying
        made += [keyed.call for keyed in step.calls]
        steps.append(step)
    return made, steps


@pytest.mark.parametrize(
    ("keys", "expected"),
    [
        ("f s", [calls.Score(Team.HOME, 2)]),
        ("s f", [calls.Score(Team.HOME, 2)]),
        ("j d 1 1 enter", [calls.Score(Team.GUEST, 3), calls.Number("11")]),
        ("j 1 1 d", [calls.Score(Team.GUEST, 3, "11")]),
        ("1 1 d j", [calls.Score(Team.GUEST, 3, "11")]),
        ("f 0 0 g", [calls.Foul(Team.HOME, "00")]),
        ("f j s", [calls.Score(Team.GUEST, 2)]),
        ("w 5 enter", [calls.Shot(True), calls.Number("5")]),
        ("5 w", [calls.Shot(True, number="5")]),
        ("f q", [calls.Shot(False, Team.HOME)]),
        ("f p-, 5 enter 1 2 enter", [calls.Substitution(Team.HOME, "5", "12")]),
        ("p-, 5 enter f 1 2 enter", [calls.Substitution(Team.HOME, "5", "12")]),
        ("; 4 2 7 enter", [calls.SetClock(2_670)]),
        ("; 8 . 3 enter", [calls.SetClock(83)]),
        ("4 2 7 ;", [calls.SetClock(2_670)]),
        ("- 5 enter", [calls.AdjustClock(-50)]),
        ("# f 4 2 enter", [calls.SetScore(Team.HOME, 42)]),
        ("* 5 enter 1 1 enter", [calls.DoubleFoul("5", "11")]),
        ("~ f j", [calls.PutRight(Team.HOME, last=True, to=Team.GUEST)]),
        ("f p-& 5 enter 1 1 enter", [calls.PutRight(Team.HOME, "foul", "5", to_number="11")]),
        ("f p-% 5 enter d", [calls.PutRight(Team.HOME, "basket", "5", points=3)]),
        ("f p-c i", [FOUL]),
        ("p-c f i", [FOUL]),
        ("% d", [calls.MakePoints(3)]),
        ("k", [calls.SubWaiting()]),
        ("f k", [calls.SubWaiting(Team.HOME)]),
        ("f space s", [calls.StopClock(), calls.Score(Team.HOME, 2)]),
        (
            "p-, f 5 space enter 7 enter",
            [calls.StopClock(), calls.Substitution(Team.HOME, "5", "7")],
        ),
        ("f 5 backspace s", []),
        ("f backspace space", [calls.StopClock()]),
    ],
)
def test_keys_make_calls(keys: str, expected: list[Call]) -> None:
    assert press(keys)[0] == expected


def test_a_number_answers_what_is_asked() -> None:
    assert press("1 5 enter", asked=True)[0] == [calls.Answer("15")]


@pytest.mark.parametrize(
    ("keys", "wants"),
    [
        ("s", "team"),
        ("p-,", "team"),
        ("p-, f", "shirt"),
        ("p-, f 5 enter", "shirt"),
        (";", "clock"),
        ("+", "count"),
        ("f p-c", "listed"),
    ],
)
def test_what_is_missing_is_asked_for(keys: str, wants: str) -> None:
    made, steps = press(keys)
    assert made == []
    assert steps[-1].wants == wants


@pytest.mark.parametrize(
    "keys",
    [
        "enter",
        "backspace",
        "f enter",
        "f 5 enter",
        "0 5 enter",
        "1 2 3 enter",
        ". 5 enter",
        "; 4 7 5 enter",
        "; enter",
        "- 9 9 enter",
        "7 7 7 f s",
        "1 2 3 4 5",
        "f p-c enter",
        "4 . 7 f s",
        "pagedown",
    ],
)
def test_what_means_nothing_is_told_and_books_nothing(keys: str) -> None:
    made, steps = press(keys)
    assert made == []
    assert steps[-1].refused


def test_a_wrong_number_can_be_typed_again() -> None:
    assert press("; 4 7 5 enter 4 2 7 enter")[0] == [calls.SetClock(2_670)]


def test_a_call_has_the_time_of_the_key_that_says_what_it_is() -> None:
    _, steps = press("f p-, 5 enter 1 2 enter")
    (keyed,) = steps[-1].calls
    assert keyed.at_ns == 2 * 10**9
    _, steps = press("f s")
    assert steps[-1].calls == (Keyed(calls.Score(Team.HOME, 2), 2 * 10**9, "home two"),)


def test_what_was_begun_is_forgotten() -> None:
    first = KEYS.press(Keying(), Team.HOME, 1)
    late = KEYS.press(first.keying, MAP.keys["s"], 2 + WAIT_NS)
    assert (late.calls, late.wants) == ((), "team")
    soon = KEYS.press(first.keying, MAP.keys["s"], 1 + WAIT_NS)
    assert [keyed.call for keyed in soon.calls] == [calls.Score(Team.HOME, 2)]


def test_of_several_calls_on_one_key_the_first_that_may_be_made_is() -> None:
    both = (KEYS.patterns.read("stop clock"), KEYS.patterns.read("start clock"))
    for may, expected in [(True, calls.StopClock()), (False, calls.StartClock())]:
        hands = Keys(KEYS.patterns, lambda call, may=may: may)  # type: ignore[misc]
        (keyed,) = hands.press(Keying(), both, 1).calls
        assert keyed.call == expected


@given(st.integers(0, 12_000))
def test_a_time_is_typed_as_the_clock_shows_it(tenths: int) -> None:
    shown = clock_text(tenths)
    assert value_of(Place("left_tenths", "clock"), shown.replace(":", "")) == parse_clock(shown)


@given(st.lists(st.sampled_from(sorted(MAP.keys)), max_size=30))
def test_any_keys_at_all_make_calls_or_are_told_of(keys: list[str]) -> None:
    made, steps = press(" ".join(key.replace(" ", "-") for key in keys))
    clock = ("tab", "space", "b")
    assert sum(key in clock for key in keys) == sum(
        isinstance(call, calls.StartClock | calls.StopClock | calls.DeadBall) for call in made
    ), "whatever was begun, the clock's keys work"
    assert all(len(step.calls) <= 1 for step in steps)


def test_the_keys_of_hands_and_calls_are_all_kept() -> None:
    assert len(MAP.keys) == len(GRAMMAR.keys()) + 19
    assert MAP.find(Hand.DONE) == "enter"
    assert MAP.find(Hand.TALK) is None
    targets: list[Target] = list(MAP.keys.values())
    assert all(targets.count(target) == 1 for target in targets)


def test_every_kind_of_foul_of_every_league_has_a_key() -> None:
    fouls = {
        target[0].slots.get("foul") for target in MAP.keys.values() if isinstance(target, tuple)
    }
    kinds = {kind.value for kind in load_profile("fiba-2024").fouls.kinds} | {
        kind.value for kind in load_profile("nfhs-2026").fouls.kinds
    }
    assert kinds - {"personal", "offensive"} <= fouls
