"""How soon the true cause of a difference is named, in a few of the games of
`tests/bench/discrepancy.py`.

A new call redraws the games of a seed, so a floor must leave room for chance. It is the count that
a share measured in many games (tests/bench/RESULTS.md) falls below in one sample of two hundred:
the lower end of the two-sided 99 % interval of the binomial distribution.
"""

from __future__ import annotations

from math import comb
from typing import Final

import pytest

from tests.table.discrepancies import TOLD, Found, game_with_a_mistake
from tests.table.two_mistakes import game_with_two

CHANCE: Final = 0.005
"""The share of samples of unchanged quality in which one of these floors is missed."""

MEASURED: Final = {
    "one figure": (0.70, 0.84),
    "both teams": (0.77, 0.86),
    "and the period": (0.83, 0.93),
    "and the player": (0.92, 0.98),
}
"""The share of 500 games in which the true cause was the first, and one of three."""

TWO_AMONG_NINE: Final = 0.91
"""The same for two mistakes, of 200 games those in which pairs were offered: both after at most
eight noes, where both teams' points were told."""


def floor(share: float, games: int) -> int:
    """The least count of hits that is not too rare in so many games."""
    below, hits = 0.0, 0
    while (
        below := below + comb(games, hits) * share**hits * (1 - share) ** (games - hits)
    ) <= CHANCE:
        hits += 1
    return hits


def ranks(found: list[Found], told: str) -> list[int | None]:
    return [each.ranks[told] for each in found if told in each.ranks]


def hits(found: list[int | None], most: int) -> int:
    return sum(rank is not None and rank <= most for rank in found)


def test_the_floor_is_the_lower_end_of_the_binomial_interval() -> None:
    # By hand: of three fair coins none shows heads in an eighth of the throws.
    assert floor(0.5, 3) == 0
    assert floor(0.5, 8) == 1  # None in 0.4 % of the samples, 1 in 256.
    assert floor(0.98, 6) == 4  # At most four in 0.57 %.
    # The normal distribution gives 0.7 - 2.58 * sqrt(0.7 * 0.3 / 40) of 40, 20.5.
    assert floor(0.7, 40) in (20, 21)


def test_the_true_cause_is_offered() -> None:
    found = [game_with_a_mistake(seed) for seed in range(6)]
    for told in TOLD:
        of = ranks(found, told)
        assert hits(of, 3) >= floor(MEASURED[told][1], len(of)), told


def test_two_mistakes_are_offered_as_two() -> None:
    found = [game_with_two(seed).asked["both teams"] for seed in range(6)]
    named = sum(each.noes is not None for each in found if not each.alone)
    assert named >= 1, found


@pytest.mark.thorough
def test_two_mistakes_are_mostly_among_nine() -> None:
    found = [game_with_two(seed).asked["both teams"] for seed in range(40)]
    pairs = [each for each in found if not each.alone]
    named = sum(each.noes is not None and each.noes <= 8 for each in pairs)
    assert named >= floor(TWO_AMONG_NINE, len(pairs))


@pytest.mark.thorough
def test_it_is_mostly_the_first_or_one_of_three() -> None:
    found = [game_with_a_mistake(seed) for seed in range(40)]
    for told, (first, three) in MEASURED.items():
        of = ranks(found, told)
        assert hits(of, 1) >= floor(first, len(of)), told
        assert hits(of, 3) >= floor(three, len(of)), told
