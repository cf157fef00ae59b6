"""Moments of another clock; what is right is known, since the test makes both clocks."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from callout.edges.keys.timestamps import LATE_NS, Stamps


@given(
    st.integers(-(10**18), 10**18),
    st.lists(st.tuples(st.integers(0, 10**9), st.integers(0, LATE_NS)), min_size=1),
)
def test_once_one_was_told_at_once_all_are_right(apart: int, events: list[tuple[int, int]]) -> None:
    stamps, now = Stamps(), 0
    assert stamps.ours(-apart, 0) == 0
    for after, late in events:
        now += after
        assert stamps.ours(now - apart, now + late) == now


def test_one_that_is_told_sooner_puts_the_others_right() -> None:
    stamps = Stamps()
    assert stamps.ours(100, 1_050) == 1_050
    assert stamps.ours(200, 1_110) == 1_110
    assert stamps.ours(300, 1_400) == 1_210


def test_a_clock_that_was_set_is_followed() -> None:
    stamps = Stamps()
    stamps.ours(10**12, 5)
    assert stamps.ours(10**12 - 3_600 * 10**9, 9) == 9
    assert stamps.ours(10**12 + 3_600 * 10**9, 12) == 12
