"""The report, from outcomes that are given; percentiles by the nearest-rank method."""

from __future__ import annotations

import pytest

from callout.game.calls import Foul, Score
from callout.game.terms import Team
from callout.practice.facts import Called, fact_of
from callout.practice.judge import Judged, Judgement, Outcome, Wanted
from callout.practice.report import Tally, nearest_rank, report, weakest


def judged(outcome: Outcome, after_ms: int, foul: bool = False, asked: bool = False) -> Judged:
    call = Foul(Team.HOME, "5") if foul else Score(Team.HOME, 2, "5")
    wanted = Wanted(call, fact_of(call), 0, 0, 3_000, 8_000, asked=asked)
    called = Called(wanted.fact, after_ms, 1, spoken=foul)
    missed = outcome in (Outcome.MISSED, Outcome.MOOT)
    differs = ("team",) if outcome is Outcome.WRONG else ()
    return Judged(wanted, outcome, None if missed else called, differs)


@pytest.mark.parametrize(
    ("values", "share", "expected"),
    [
        # Source: the worked example of the nearest-rank method, {15, 20, 35, 40, 50}.
        ([15, 20, 35, 40, 50], 0.05, 15), ([15, 20, 35, 40, 50], 0.3, 20),
        ([15, 20, 35, 40, 50], 0.4, 20), ([15, 20, 35, 40, 50], 0.5, 35),
        ([15, 20, 35, 40, 50], 1.0, 50), ([7], 0.9, 7), ([], 0.5, None),
        (list(range(1, 11)), 0.9, 9),
    ],
)  # fmt: skip
def test_percentiles(values: list[int], share: float, expected: int | None) -> None:
    assert nearest_rank(values, share) == expected


DONE = Judgement(
    (judged(Outcome.RIGHT, 1_000), judged(Outcome.RIGHT, 2_000), judged(Outcome.LATE, 4_000),
     judged(Outcome.WRONG, 1_500, foul=True), judged(Outcome.MISSED, 0, foul=True),
     judged(Outcome.RIGHT, 500, foul=True, asked=True), judged(Outcome.MOOT, 0)),
    (Called(fact_of(Score(Team.HOME, 2)), 1, 9),),
)  # fmt: skip


def test_everything_is_counted_once_and_what_is_moot_is_not() -> None:
    made = report(7, 2, "fast", DONE)
    assert made.whole == Tally(3, 1, 1, 1, 1)
    assert made.kinds == {"goal": Tally(2, 1, 0, 0, 0), "foul": Tally(1, 0, 1, 1, 1)}
    assert (made.at_ms, made.level, made.pace, made.extra) == (7, 2, "fast", 1)
    assert made.spoken == pytest.approx(2 / 5)


def test_reactions_are_those_to_what_was_called_in_time() -> None:
    made = report(0, 1, "slow", DONE)
    assert (made.median_ms, made.p90_ms) == (1_500, 4_000)


def test_misheard_are_those_asked_about_and_those_booked_otherwise() -> None:
    made = report(0, 1, "slow", DONE)
    assert made.misheard == (("foul", 2),)
    assert made.differed == {"foul": {"team": 1}}


def test_the_weakest_kind_is_trained_first() -> None:
    assert weakest(report(0, 1, "slow", DONE)) == ["foul", "goal"]
    perfect = Judgement((judged(Outcome.RIGHT, 1), judged(Outcome.RIGHT, 1)), ())
    assert weakest(report(0, 1, "slow", perfect)) == []
    once = Judgement((judged(Outcome.MISSED, 0),), ())
    assert weakest(report(0, 1, "slow", once)) == []


def test_an_empty_practice_has_no_times() -> None:
    made = report(0, 1, "normal", Judgement((), ()))
    assert (made.whole.count, made.median_ms, made.p90_ms, made.spoken) == (0, None, None, 0.0)
    assert made.whole.share == 1.0
