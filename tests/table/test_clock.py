"""Time and the game clock; the expected figures are arithmetic."""

from __future__ import annotations

import time
from dataclasses import replace
from random import Random

import pytest
from hypothesis import given
from hypothesis import strategies as st

from callout.game.calls import EndPeriod, StartClock, StopClock
from callout.game.game_clock import Clock
from callout.game.profile.file import load_profile
from callout.game.state import At, Game, Phase, Side
from callout.table.clock import MachineTime, SimulatedTime, at, shows_ms
from tests.table.play import Table

GAME = Game(load_profile("nfhs-2026"), Side("A"), Side("B"))


def running(left_tenths: int, since_ms: int) -> Game:
    return replace(GAME, clock=Clock(left_tenths, since_ms))


def test_a_running_clock_counts_whole_tenths_down() -> None:
    game = running(4_800, 10_000)
    assert at(game, 10_000) == At(4_800, 10_000)
    assert at(game, 10_099) == At(4_800, 10_099)
    assert at(game, 10_100) == At(4_799, 10_100)
    assert at(game, 29_000) == At(4_610, 29_000)


def test_a_standing_clock_shows_the_same_at_any_moment() -> None:
    game = replace(GAME, clock=Clock(123))
    assert at(game, 99_000) == At(123, 99_000)
    assert shows_ms(game, 123) is None


def test_the_clock_stops_at_nothing() -> None:
    assert at(running(10, 0), 60_000).left_tenths == 0


def test_a_word_begun_before_the_clock_was_started_has_the_full_time() -> None:
    assert at(running(4_800, 10_000), 9_000).left_tenths == 4_800


@given(st.integers(0, 6_000), st.integers(0, 6_000), st.integers(0, 10**13))
def test_the_moment_a_clock_shows_a_time_is_the_first_such_moment(
    left: int, wanted: int, since: int
) -> None:
    game = running(left, since)
    moment = shows_ms(game, wanted)
    if wanted > left:
        assert moment is None
        return
    assert moment is not None
    assert game.clock.left_at(moment) == wanted
    assert moment == since or game.clock.left_at(moment - 1) == wanted + 1


@pytest.mark.parametrize("set_back_ms", [0, 3_600_000])
def test_a_game_of_400_starts_and_stops_loses_no_tenth(set_back_ms: int) -> None:
    """Two hours at the table; the reference is the sum of the intervals in milliseconds."""
    random, steady, date = Random(6), _Counter(), _Counter(1_700_000_000_000)
    table = Table(time=MachineTime(0, lambda: 10**6 * date.ms, lambda: 10**6 * steady.ms))
    session, ran_ms = table.session, 0
    for nth in range(400):
        if nth == 200:
            date.ms -= set_back_ms
        if nth % 100 == 0 and nth:
            session.take(EndPeriod(), "script")
            assert session.game.phase is Phase.INTERVAL
            ran_ms = 0
            steady.ms += 600_000
        steady.ms += random.randint(500, 26_500)
        session.take(StartClock(), "key")
        interval = random.randint(30, 9_000)
        steady.ms += interval
        session.take(StopClock(), "key")
        ran_ms += interval
        # A tenth that has begun still shows. Eight minutes: NFHS 5-5.
        assert session.now().left_tenths == -(-(480_000 - ran_ms) // 100)
    assert session.game.period == 4
    assert steady.ms > 7_000_000


class _Counter:
    """A time that is what it is set to."""

    def __init__(self, ms: int = 0) -> None:
        self.ms = ms


@given(st.lists(st.integers(1, 30_000), min_size=1, max_size=20))
def test_a_clock_that_is_stopped_and_started_runs_as_long_as_one_that_is_not(
    intervals: list[int],
) -> None:
    clock, now = Clock(7_200), 1_000
    for each in intervals:
        clock = clock.started_at(now)
        now += each
        clock = clock.stopped_at(now)
        now += 777
    assert clock.left_tenths == Clock(7_200, 0).left_at(sum(intervals))


def test_simulated_time_stands_until_it_is_set_and_never_goes_back() -> None:
    simulated = SimulatedTime(5)
    assert simulated.wall_ms() == 5
    simulated.set(9)
    assert simulated.wall_ms() == 9
    with pytest.raises(ValueError, match="expected a moment from 9 on, got 8"):
        simulated.set(8)
    assert simulated.wall_ms() == 9


def test_the_machine_s_time_is_the_date_and_goes_forward() -> None:
    machine = MachineTime()
    before = machine.wall_ms()
    time.sleep(0.02)
    after = machine.wall_ms()
    assert 15 <= after - before < 2_000
    assert abs(after - time.time() * 1000) < 2_000
