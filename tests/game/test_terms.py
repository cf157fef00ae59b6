"""The terms of the trade."""

from __future__ import annotations

import pytest

from callout.game.terms import Award, Team


def test_the_opponent_of_the_opponent_is_the_team() -> None:
    assert (Team.HOME.other, Team.GUEST.other) == (Team.GUEST, Team.HOME)


@pytest.mark.parametrize(
    ("award", "throws"),
    # A one-and-one is a second throw if the first is made: association pages, bonus to 2022-23.
    [("none", 0), ("one", 1), ("two", 2), ("three", 3), ("one-and-one", 2)],
)
def test_an_award_is_so_many_throws_at_most(award: str, throws: int) -> None:
    assert Award(award).throws == throws


def test_every_award_is_counted() -> None:
    assert [award.throws for award in Award] == [0, 1, 2, 3, 2]
