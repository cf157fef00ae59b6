"""Presses out of contacts; what was meant is known, since the test presses the keys itself."""

from __future__ import annotations

import itertools
from collections import Counter
from random import Random

import pytest
from hypothesis import given
from hypothesis import strategies as st

from callout.table.hands.presses import (
    MS,
    Feel,
    Felt,
    Pressed,
    Presses,
    Released,
    Stuck,
    Taps,
    keys_of,
)

Edge = tuple[float, str, bool]
"""A moment in milliseconds, a key, and whether it goes down."""


def feel_all(presses: Presses, *edges: Edge, until_ms: float = 60_000) -> list[Felt]:
    felt: list[Felt] = []
    for at_ms, key, down in edges:
        felt += presses.feed(key, down, round(at_ms * MS))
    return felt + presses.tick(round(until_ms * MS))


def pressed(felt: list[Felt]) -> list[tuple[str, float]]:
    return [(each.gesture, each.at_ns / MS) for each in felt if isinstance(each, Pressed)]


def test_a_plain_key_is_told_of_the_moment_it_comes_down() -> None:
    presses = Presses(["a"])
    assert presses.feed("a", True, 5) == [Pressed("a", 5)]
    assert presses.feed("a", False, 9 * MS) == []
    assert presses.wake_ns() == 19 * MS
    assert presses.tick(19 * MS) == [Released("a", 9 * MS)]
    assert presses.wake_ns() is None


def test_repetition_and_bounce_are_one_press() -> None:
    felt = feel_all(
        Presses(["a"]),
        (0, "a", True), (1, "a", False), (2, "a", True), (500, "a", True), (530, "a", True),
        (600, "a", False), (604, "a", True), (606, "a", False),
    )  # fmt: skip
    assert felt == [Pressed("a", 0), Released("a", 606 * MS)]


def test_a_repetition_told_as_up_and_down_at_once_is_one_press() -> None:
    repeats = [(at, "a", down) for at in range(500, 60_000, 40) for down in (False, True)]
    felt = feel_all(Presses(["a"]), (0, "a", True), *repeats)
    assert felt == [Pressed("a", 0), Stuck("a", 0)]


def test_a_press_shorter_than_a_bounce_is_a_press() -> None:
    felt = feel_all(Presses(["a"]), (0, "a", True), (0, "a", False), (40, "a", True))
    assert pressed(felt) == [("a", 0), ("a", 40)]


def test_a_key_held_for_a_minute_is_told_of_once() -> None:
    felt = feel_all(Presses(["a"]), (0, "a", True), until_ms=60_000)
    assert felt == [Pressed("a", 0), Stuck("a", 0)]


def test_a_long_press_is_known_while_the_key_is_down() -> None:
    presses = Presses(["a", "a long"])
    assert presses.feed("a", True, 0) == []
    assert presses.tick(499 * MS) == []
    assert presses.tick(500 * MS) == [Pressed("a long", 0)]
    assert presses.feed("a", False, 800 * MS) == []
    assert presses.tick(900 * MS) == [Released("a", 800 * MS)]


def test_a_short_press_of_such_a_key_has_the_time_of_its_key_down() -> None:
    felt = feel_all(Presses(["a", "a long"]), (0, "a", True), (200, "a", False))
    assert felt == [Pressed("a", 0), Released("a", 200 * MS)]


@pytest.mark.parametrize(
    ("edges", "expected"),
    [
        ([(0, "a", True), (30, "b", True), (90, "a", False), (95, "b", False)], [("a+b", 0)]),
        ([(0, "b", True), (30, "a", True)], [("a+b", 0)]),
        ([(0, "a", True), (200, "b", True)], [("a", 0), ("b", 200)]),
        ([(0, "a", True), (20, "a", False), (50, "b", True)], [("a", 0), ("b", 50)]),
        ([(0, "a", True), (20, "x", True)], [("x", 20), ("a", 0)]),
        ([(0, "b", True), (20, "d", True)], [("b", 0), ("d", 20)]),
        ([(0, "a", True), (20, "b", True), (30, "c", True)], [("a+b", 0), ("c", 30)]),
        ([(0, "c", True), (20, "d", True), (40, "e", True)], [("c+d+e", 0)]),
        ([(0, "c", True), (20, "d", True)], [("c+d", 0)]),
        ([(0, "c", True), (20, "d", True), (45, "c", False)], [("c+d", 0)]),
        ([(0, "l", True), (20, "d", True)], [("d+l", 0)]),
        ([(0, "l", True), (900, "l", False)], [("l long", 0)]),
        ([(0, "l", True), (70, "d", True), (300, "l", False)], [("d", 70), ("l", 0)]),
    ],
)  # fmt: skip
def test_chords(edges: list[Edge], expected: list[tuple[str, float]]) -> None:
    presses = Presses(["a+b", "c+d", "c+d+e", "d+l", "l long", "x"])
    assert pressed(feel_all(presses, *edges)) == expected


def test_three_pedals_make_nine_calls() -> None:
    singles, both = ["a", "b", "c"], ["a+b", "a+c", "b+c"]
    gestures = [*singles, *(f"{key} long" for key in singles), *both]
    for gesture in gestures:
        presses, held = Presses(gestures), 600.0 if gesture.endswith("long") else 90.0
        downs = [(10.0 * at, key, True) for at, key in enumerate(keys_of(gesture))]
        ups = [(held + 10.0 * at, key, False) for at, key in enumerate(keys_of(gesture))]
        assert pressed(feel_all(presses, *downs, *ups)) == [(gesture, 0)]


# --- a terminal: nothing tells that a key comes up ------------------------------------------------

DIGITS = "0123456789"
Tap = tuple[float, str]
"""A moment in milliseconds, and a key."""


def tap_all(taps: Taps, *told: Tap) -> list[tuple[str, float]]:
    felt = [each for at_ms, key in told for each in taps.feed(key, round(at_ms * MS))]
    return pressed(felt + taps.tick(round(told[-1][0] * MS) + 10**9))


def held(key: str, at_ms: float, first_ms: float, next_ms: list[float]) -> list[Tap]:
    """A key that is held: the first repetition, and the others after it."""
    return [(at, key) for at in (at_ms, *itertools.accumulate(next_ms, initial=at_ms + first_ms))]


def test_a_terminal_tells_of_no_key_up() -> None:
    taps = Taps(Feel(repeat_ms=100), DIGITS)
    assert taps.feed("s", 0) == [Pressed("s", 0)]
    assert taps.feed("s", 90 * MS) == []
    assert taps.feed("f", 95 * MS) == [Pressed("f", 95 * MS)]
    assert taps.wake_ns() is None


def test_what_may_be_a_first_repetition_waits_for_the_next() -> None:
    taps = Taps()
    assert taps.feed("u", 0) == [Pressed("u", 0)]
    assert taps.feed("u", 500 * MS) == []
    assert taps.wake_ns() == 600 * MS
    assert taps.tick(599 * MS) == []
    assert taps.tick(600 * MS) == [Pressed("u", 500 * MS)]
    assert taps.wake_ns() is None


def test_what_waits_is_told_before_the_key_that_follows_it() -> None:
    taps = Taps(digits=DIGITS)
    taps.feed("4", 0)
    assert taps.feed("4", 300 * MS) == []
    assert taps.feed("enter", 340 * MS) == [Pressed("4", 300 * MS), Pressed("enter", 340 * MS)]


@pytest.mark.parametrize("after_ms", [0, 1, 30, 50, 70, 90, 110, 199, 200, 250, 400, 660, 900])
@pytest.mark.parametrize("digit", DIGITS)
def test_a_digit_pressed_twice_is_told_twice(digit: str, after_ms: int) -> None:
    """0 and 1 ms: two presses that a busy machine, or a program that types, tells of together."""
    told = [(0, "f"), (50, digit), (50 + after_ms, digit), (90 + after_ms, "enter")]
    expected = [("f", 0), (digit, 50), (digit, 50 + after_ms), ("enter", 90 + after_ms)]
    assert tap_all(Taps(digits=DIGITS), *told) == expected


@given(
    st.lists(st.tuples(st.sampled_from("4"), st.floats(61, 199)), min_size=1, max_size=4),
    st.sampled_from(DIGITS),
)
def test_a_time_of_like_digits_is_told_whole(presses: list[tuple[str, float]], digit: str) -> None:
    moments = list(itertools.accumulate(after for _, after in presses))
    felt = tap_all(Taps(digits=DIGITS), *((at, digit) for at in moments))
    assert len(felt) == len(moments)


@given(st.sampled_from(DIGITS), st.sampled_from(DIGITS), st.floats(30, 700))
def test_two_digits_are_two_at_any_pace_of_hands(one: str, other: str, after_ms: float) -> None:
    felt = tap_all(Taps(digits=DIGITS), (0, one), (after_ms, other))
    assert [key for key, _ in felt] == [one, other]


@given(
    st.sampled_from([*DIGITS, "u", "space"]),
    st.floats(250, 660),
    st.lists(st.floats(25, 50), min_size=1, max_size=60),
)
def test_a_key_that_is_held_is_one_press(key: str, first_ms: float, next_ms: list[float]) -> None:
    """250 to 660 ms, then 25 to 50: the defaults of desktops, from memory."""
    told = held(key, 0, first_ms, next_ms)
    felt = tap_all(Taps(digits=DIGITS), *told, (told[-1][0] + 30, "enter"))
    assert [each for each, _ in felt] == [key, "enter"]


@pytest.mark.parametrize("key", ["4", "u"])
def test_a_key_held_at_linux_s_console_is_one_press(key: str) -> None:
    """250 ms, then 10.9 a second: the default of the kernel's keyboard, from memory."""
    assert tap_all(Taps(digits=DIGITS), *held(key, 0, 250, [91.7] * 20)) == [(key, 0)]


def test_a_digit_pressed_twice_and_then_held_is_told_twice() -> None:
    told = [(0, "4"), *held("4", 80, 500, [33.0] * 10)]
    assert tap_all(Taps(digits=DIGITS), *told) == [("4", 0), ("4", 80)]


def test_a_digit_that_begins_to_repeat_at_once_is_told_twice_at_most() -> None:
    told = [(33.0 * nth, "4") for nth in range(30)]
    assert tap_all(Taps(digits=DIGITS), *told) == [("4", 0), ("4", 33)]


def test_a_key_pressed_again_after_it_was_held_is_a_press() -> None:
    told = [*held("4", 0, 500, [33.0] * 3), (850, "4")]
    assert tap_all(Taps(digits=DIGITS), *told) == [("4", 0), ("4", 850)]


def test_hands_that_tremble_may_slow_their_digits() -> None:
    taps = Taps(Feel(digit_ms=150), DIGITS)
    assert tap_all(taps, (0, "4"), (120, "4"), (130, "5")) == [("4", 0), ("5", 130)]


def test_no_filter_where_none_is_wanted() -> None:
    taps = Taps(Feel(repeat_ms=0), DIGITS)
    told = [(0.0, "u"), (30.0, "u"), (530.0, "u"), (560.0, "u"), (590.0, "4"), (620.0, "4"),
            (650.0, "4")]  # fmt: skip
    assert tap_all(taps, *told) == [(key, at) for at, key in told]


@given(st.sampled_from(DIGITS), st.floats(30, 700), st.floats(12, 25))
def test_a_digit_pressed_twice_anywhere_is_told_twice(
    digit: str, after_ms: float, held_ms: float
) -> None:
    """Of pedals and of the whole keyboard it is told when a key comes up."""
    edges = [(0, digit, True), (min(held_ms, after_ms - 12), digit, False),
             (after_ms, digit, True), (after_ms + held_ms, digit, False)]  # fmt: skip
    felt = pressed(feel_all(Presses(list(DIGITS)), *edges))
    assert [at for _, at in felt] == [0, pytest.approx(after_ms, abs=0.001)]


def test_the_keys_of_a_gesture() -> None:
    assert keys_of("+") == ("+",)
    assert keys_of("+ long") == ("+",)
    assert keys_of("f1+a") == ("f1", "a")


# --- none lost, none doubled ----------------------------------------------------------------------

KEYS = "abcdefgh"
BOUNCE_MS = 6.0
"""Worse than good switches, within what is filtered."""


def chatter(random: Random, at_ms: float, key: str, down: bool) -> list[Edge]:
    """A contact that settles within the time of a bounce."""
    edges, moment = [(at_ms, key, down)], at_ms
    for _ in range(random.randrange(3)):
        moment += random.uniform(0.1, BOUNCE_MS / 6)
        edges.append((moment, key, not down))
        moment += random.uniform(0.1, BOUNCE_MS / 6)
        edges.append((moment, key, down))
    return edges


def one_press(random: Random, at_ms: float, key: str, held_ms: float) -> list[Edge]:
    """A press with its bounces, and with repetitions if it is long enough for them."""
    repeats = [(at_ms + each, key, True) for each in range(250, int(held_ms), 30)]
    up = chatter(random, at_ms + held_ms, key, False)
    return [*chatter(random, at_ms, key, True), *repeats, *up]


def many(random: Random, count: int) -> tuple[list[Edge], list[tuple[str, int]]]:
    """Presses at random, 5 ms apart or more, 40 ms on one key: the edges, and what was meant."""
    free_ms, at_ms = dict.fromkeys(KEYS, 0.0), 0.0
    edges: list[Edge] = []
    meant: list[tuple[str, int]] = []
    while len(meant) < count:
        at_ms += 5 + random.expovariate(1 / 20)
        key = random.choice(KEYS)
        at_ms = max(at_ms, free_ms[key])
        held_ms = random.choice([random.uniform(7, 20), random.uniform(20, 120), 700.0])
        # What was pressed for 20 ms or less comes again after 40.
        free_ms[key] = at_ms + max(40, held_ms + 2 * BOUNCE_MS + 8)
        edges += one_press(random, at_ms, key, held_ms)
        meant.append((key, round(at_ms * MS)))
    return sorted(edges), sorted(meant, key=lambda each: each[1])


@pytest.mark.parametrize("gestures", [list(KEYS), [*KEYS, "a long", "b long"]])
def test_of_10_000_presses_none_is_lost_and_none_doubled(gestures: list[str]) -> None:
    edges, meant = many(Random(6), 10_000)
    assert len(edges) > 25_000
    assert min(b[1] - a[1] for a, b in itertools.pairwise(meant)) < 6 * MS
    felt = feel_all(Presses(gestures), *edges, until_ms=edges[-1][0] + 1_000)
    found = [(keys_of(p.gesture)[0], p.at_ns) for p in felt if isinstance(p, Pressed)]
    assert Counter(found) == Counter(meant)
    assert sum(isinstance(each, Released) for each in felt) == len(meant)


@given(st.integers(), st.integers(1, 60))
def test_whatever_is_pressed_is_told_once_with_its_time(seed: int, count: int) -> None:
    edges, meant = many(Random(seed), count)
    felt = feel_all(Presses(list(KEYS)), *edges, until_ms=edges[-1][0] + 1_000)
    assert Counter(pressed(felt)) == Counter((key, at / MS) for key, at in meant)


@given(
    st.lists(st.tuples(st.sampled_from("abc"), st.booleans(), st.integers(0, 700)), max_size=40),
    st.sets(st.sampled_from(["a+b", "a+b+c", "b+c", "a long", "c long"])),
)
def test_no_chord_or_long_press_loses_a_key_or_tells_it_twice(
    raw: list[tuple[str, bool, int]], gestures: set[str]
) -> None:
    """The reference is a filter by arithmetic: a key-down while the key is held is none."""
    now, held, edges, downs = 0, dict.fromkeys("abc", False), list[Edge](), list[str]()
    for key, down, after in raw:
        now += after + 11  # apart by more than a bounce
        if down and not held[key]:
            downs.append(key)
        held[key] = down
        edges.append((now, key, down))
    felt = feel_all(Presses(["a", "b", "c", *gestures]), *edges, until_ms=now + 20_000)
    told = [key for each in felt if isinstance(each, Pressed) for key in keys_of(each.gesture)]
    assert Counter(told) == Counter(downs)
