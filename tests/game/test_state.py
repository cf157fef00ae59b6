"""The state of a game: its clock, its sides, its lines."""

from __future__ import annotations

import dataclasses

import pytest

from callout.game.game_clock import Clock
from callout.game.state import Game, Goal, Owed, Phase, Side
from callout.game.terms import Award, Team


def test_a_standing_clock_shows_what_it_was_stopped_at() -> None:
    assert Clock(4187).left_at(999_999_999) == 4187
    assert not Clock(4187).running


@pytest.mark.parametrize(
    ("passed_ms", "left"), [(0, 83), (99, 83), (100, 82), (8_299, 1), (8_300, 0), (60_000, 0)]
)
def test_a_running_clock_counts_whole_tenths_down_to_zero(passed_ms: int, left: int) -> None:
    assert Clock(83, since_ms=1_000).left_at(1_000 + passed_ms) == left


def test_a_running_clock_does_not_run_backwards() -> None:
    clock = Clock(83, since_ms=1_000)
    assert clock.running
    assert clock.left_at(0) == 83


def test_a_side_has_its_numbers_and_without_a_list_all() -> None:
    assert Side("Kites", ("4",)).has("4")
    assert not Side("Kites", ("4",)).has("5")
    assert Side("Kites").has("5")
    assert not Side("Kites").has(None)


def test_a_missed_throw_counts_nothing() -> None:
    goal = Goal(20, Team.HOME, 1, "4", 1, 4800, free_throw=True, made=False)
    assert goal.counts == 0
    assert dataclasses.replace(goal, made=True).counts == 1


def test_throws_owed_are_those_awarded_less_those_taken() -> None:
    assert [Owed(20, Team.HOME, Award.THREE, taken).left for taken in range(4)] == [3, 2, 1, 0]


def test_a_game_knows_both_sides_and_cannot_be_changed(game: Game) -> None:
    assert game.side(Team.HOME) is game.home
    assert game.side(Team.GUEST) is game.guest
    with pytest.raises(dataclasses.FrozenInstanceError):
        game.period = 3  # type: ignore[misc]


def test_a_clock_that_stands_is_not_stopped_anew() -> None:
    """By arithmetic: 250 ms run off 60.0 s leave 59.8, of which 50 ms are spent already."""
    stopped = Clock(600, 1_000).stopped_at(1_250)
    assert (stopped.left_tenths, stopped.running, stopped.spent_ms) == (598, False, 50)
    assert stopped.stopped_at(9_000) == stopped
    assert stopped.started_at(9_000).left_at(9_050) == 597


def test_each_phase_lies_in_a_period_or_before_one_or_after_the_game() -> None:
    assert [phase for phase in Phase if phase.in_period] == [
        Phase.RUNNING,
        Phase.STOPPED,
        Phase.TIMEOUT,
    ]
    assert [phase for phase in Phase if phase.between] == [Phase.BEFORE, Phase.INTERVAL]
    assert [phase for phase in Phase if not phase.under_way] == [Phase.BEFORE, Phase.OVER]
