"""Two things that together explain a difference: which two, and in which order.

The order is that of this table; no rule book has one.
"""

from __future__ import annotations

from callout.game.calls import Correct, Score
from callout.game.state import Goal
from callout.game.suspect import Cause, Suspect
from callout.game.terms import Team
from callout.table.talk.pairs import Half, in_pairs
from tests.table.play import Table

GAME = Table().game


def half(
    item: int, more: int, likely: float, would: tuple[int | None, ...] = (), lost: bool = False
) -> Half:
    """A goal that may be wrong, by its item; or one that was lost."""
    goal = Goal(item, Team.HOME, 2, "5", 1, 4800)
    if lost:
        return Half(Suspect(Cause.LOST, Score(Team.HOME, 2), goal, GAME), more, likely, would)
    call = Correct(item, off=True)
    return Half(Suspect(Cause.EXTRA, call, goal, GAME, item // 10), more, likely, would)


def items(found: tuple[Suspect, ...]) -> list[tuple[int, list[int]]]:
    """The item of each first half, and those of what may be the other."""
    return [(each.line.item, [other.line.item for other in each.also]) for each in found]


def test_the_likeliest_two_come_first_and_of_them_the_likelier() -> None:
    halves = [half(10, -2, 1.0), half(20, -2, 5.0), half(30, -3, 2.0), half(40, -1, 9.0)]
    assert items(in_pairs(halves, -4, ())) == [(40, [30]), (20, [10])]
    assert items(in_pairs(halves, -5, ())) == [(20, [30]), (30, [10])]
    assert in_pairs(halves, -9, ()) == ()


def test_a_line_is_not_wrong_twice_and_a_call_may_be_lost_twice() -> None:
    one = half(10, -2, 1.0)
    otherwise = half(10, -1, 1.0)
    assert in_pairs([one, otherwise], -3, ()) == ()
    assert in_pairs([one], -4, ()) == ()
    assert items(in_pairs([half(90, 2, 1.0, lost=True)], 4, ())) == [(90, [90])]


def test_two_that_another_figure_contradicts_come_later_or_not_at_all() -> None:
    halves = [
        half(10, -2, 9.0, (-2,)),
        half(20, -2, 8.0, (-2,)),
        half(30, -2, 1.0, (0,)),
        half(40, -2, 1.0, (None,)),
    ]
    # The other book had two less there, so that just one of both was wrong.
    assert items(in_pairs(halves, -4, (-2,)))[0] == (10, [40, 30, 20])
    strictly = items(in_pairs(halves, -4, (-2,), strictly=True))
    assert strictly == [(10, [40, 30]), (20, [40, 30]), (30, [40])]
