"""Whether a book adds up: a figure put wrong on purpose must be found. Source: arithmetic."""

from __future__ import annotations

import copy
from collections.abc import Callable
from dataclasses import replace
from typing import Any

import pytest

from callout.game import calls
from callout.game.terms import Offender, Team
from callout.table.book.audit import differences, missing, say_missing
from callout.table.view import view
from tests.table.play import Book


@pytest.fixture
def played(book: Book) -> Book:
    """A game with a basket, an open basket, two fouls and an open one."""
    for call in (
        calls.StartClock(),
        calls.Tip(Team.HOME),
        calls.Score(Team.HOME, 3, "5"),
        calls.Score(Team.HOME, 2),
        calls.Foul(Team.GUEST, "14"),
        calls.Foul(Team.GUEST),
        calls.Foul(Team.GUEST, on=Offender.COACH),
    ):
        book.wait(10)
        book.take(call)
    return book


def test_a_book_adds_up(played: Book) -> None:
    assert list(differences(played.game, view(played.game, 0))) == []


def _points(seen: dict[str, Any]) -> None:
    seen["players"]["home"]["5"]["points"] += 1


def _open(seen: dict[str, Any]) -> None:
    seen["open"]["home"]["points"] = 0


def _period(seen: dict[str, Any]) -> None:
    seen["by_period"][0]["home"] += 2


def _foul(seen: dict[str, Any]) -> None:
    seen["open"]["guest"]["fouls"] = 2


@pytest.mark.parametrize(
    ("spoil", "told"),
    [
        (_points, "home: 4 points by players and 2 of none, but a score of 5"),
        (_points, "home 5: baskets of 3 points, but 4 points"),
        (_open, "home: 3 points by players and 0 of none, but a score of 5"),
        (_period, "home: 7 points by period, but a score of 5"),
        (_foul, "guest: 1 foul by players and 2 of none, but 2 booked"),
    ],
)
def test_a_wrong_figure_is_found(
    played: Book, spoil: Callable[[dict[str, Any]], None], told: str
) -> None:
    seen = copy.deepcopy(view(played.game, 0))
    spoil(seen)
    assert told in list(differences(played.game, seen))


def test_what_no_longer_fits_is_named(played: Book) -> None:
    game = replace(played.game, misfits=(3, 7))
    (told,) = differences(game, view(game, 0))
    assert told.endswith("no longer fit it: 3, 7")


@pytest.mark.parametrize(
    ("numbers", "newest", "lost"),
    [
        ([], 0, []),
        ([1, 2], 0, []),
        ([2, 3], 0, [[1]]),
        ([1, 5, 7], 0, [[2, 3, 4], [6]]),
        ([1, 2], 4, [[3, 4]]),
        ([1, 2], 1, []),
        ([], 2, [[1, 2]]),
    ],
)
def test_numbers_that_are_missing(numbers: list[int], newest: int, lost: list[list[int]]) -> None:
    assert [list(gap) for gap in missing(numbers, newest)] == lost


def test_a_gap_of_any_size_is_said_at_once() -> None:
    (gap,) = missing([2**60])
    assert say_missing(gap) == f"entries 1 to {2**60 - 1} are"
    assert say_missing(range(7, 8)) == "entry 7 is"
