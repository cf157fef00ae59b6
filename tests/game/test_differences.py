"""What alone could explain that another book has another figure; arithmetic, no source."""

from __future__ import annotations

import pytest

from callout.game import calls
from callout.game.calls import CompareBook, Correct, Foul, PutBack, Score, Shot
from callout.game.differences import compared, comparing, suspects
from callout.game.events import ClockStarted
from callout.game.figures.compared import Compared, booked
from callout.game.suspect import Cause
from callout.game.terms import Award, Figure, Team
from tests.game.play import Play

HOME, GUEST = Team.HOME, Team.GUEST


def causes(play: Play, what: Compared, more: int) -> list[tuple[str, calls.Call]]:
    """The suspects for a figure that is so much more in the other book, oldest line first."""
    count = booked(play.game, what, play.at().left_tenths) + more
    found = suspects(play.game, play.entries, what, count, play.at())
    return [(each.cause.value, each.call) for each in found]


def items(play: Play) -> list[int]:
    return [goal.item for goal in play.game.goals]


def test_a_goal_too_many_or_of_the_other_team(running: Play) -> None:
    running.take(Score(HOME, 2, "5"), Score(HOME, 3, "4"), Score(GUEST, 2, "8"))
    two, three, _ = items(running)
    off = [("extra", Correct(two, off=True)), ("team", Correct(two, team=GUEST))]
    assert causes(running, Compared(HOME), -2) == off
    assert causes(running, Compared(HOME), -1) == [("points", Correct(three, points=2))]
    assert causes(running, Compared(HOME), -9) == []


def test_a_goal_that_is_lacking(running: Play) -> None:
    running.take(Score(HOME, 2, "5"), Score(GUEST, 2, "8"))
    two, other = items(running)
    expected = [("team", Correct(other, team=HOME)), ("lost", Score(HOME, 2))]
    assert causes(running, Compared(HOME), 2) == expected
    assert causes(running, Compared(HOME), 1) == [
        ("points", Correct(two, points=3)),
        ("lost", Shot(True, HOME)),
    ]


def test_a_throw_that_was_made_or_missed(running: Play) -> None:
    running.take(Foul(GUEST, "8", award=Award.TWO)).take(Shot(True, HOME), Shot(False, HOME))
    made, missed = items(running)
    assert ("result", Correct(missed, made=True)) in causes(running, Compared(HOME), 1)
    assert ("result", Correct(made, made=False)) in causes(running, Compared(HOME), -1)
    assert "untaken" not in dict(causes(running, Compared(HOME), 1))


@pytest.mark.parametrize(
    ("award", "shots", "untaken"),
    [
        (Award.TWO, [True], True),
        (Award.TWO, [True, True], False),
        # After a miss of a one-and-one there is no second throw (NFHS 4-8-1).
        (Award.ONE_AND_ONE, [False], False),
        (Award.ONE_AND_ONE, [True], True),
        (Award.NONE, [], False),
    ],
)
def test_a_throw_that_was_awarded_and_not_booked(
    running: Play, award: Award, shots: list[bool], untaken: bool
) -> None:
    running.take(Foul(GUEST, "8", award=award))
    for made in shots:
        running.take(Shot(made, HOME))
    assert "untaken" not in dict(causes(running, Compared(HOME), 1)), "they are still to come"
    running.stop().start()
    running.take(Foul(GUEST, "14"))
    found = dict(causes(running, Compared(HOME), 1))
    assert ("untaken" in found) is untaken
    assert "untaken" not in dict(causes(running, Compared(GUEST), 1))


def test_what_was_taken_back(running: Play) -> None:
    running.take(Score(HOME, 2, "5"))
    entry = running.game.entry
    running.take(calls.Undo(), calls.Mark(), calls.Undo())
    assert ("undone", PutBack(entry)) in causes(running, Compared(HOME), 2)
    assert running.game.goals == ()
    running.take(PutBack(entry))
    assert len(running.game.goals) == 1


def test_a_players_figures(running: Play) -> None:
    running.take(Score(HOME, 2, "5"), Score(HOME, 2, "4"), Score(GUEST, 2, "8"), Score(HOME, 2))
    five, four, guest, no_one = items(running)
    points = Compared(HOME, Figure.POINTS, "5")
    assert causes(running, points, -2) == [
        ("extra", Correct(five, off=True)),
        ("team", Correct(five, team=GUEST)),
        ("number", Correct(five)),
    ]
    assert causes(running, points, 2) == [
        ("number", Correct(four, number="5")),
        ("team", Correct(guest, team=HOME, number="5")),
        ("number", Correct(no_one, number="5")),
        ("lost", Score(HOME, 2, "5")),
    ]


def test_fouls_and_time_outs(running: Play) -> None:
    running.take(Foul(HOME, "5"), Foul(GUEST, "8"), calls.Timeout(HOME))
    home, guest = (charge.item for charge in running.game.charges)
    (timeout,) = (line.item for line in running.game.timeouts)
    assert causes(running, Compared(HOME, Figure.FOULS, "5"), -1) == [
        ("extra", Correct(home, off=True)),
        ("team", Correct(home, team=GUEST)),
        ("number", Correct(home)),
    ]
    assert causes(running, Compared(HOME, Figure.TEAM_FOULS), 1) == [
        ("team", Correct(guest, team=HOME)),
        ("lost", Foul(HOME)),
    ]
    assert causes(running, Compared(HOME, Figure.TIMEOUTS), 1) == [
        ("extra", Correct(timeout, off=True)),
        ("team", Correct(timeout, team=GUEST)),
    ]


def test_the_points_of_one_period(running: Play) -> None:
    running.take(Score(HOME, 2, "5"), calls.EndPeriod())
    running.take(calls.StartPeriod()).start()
    running.take(Score(HOME, 2, "4"))
    first, second = items(running)
    assert dict(causes(running, Compared(HOME, period=1), -2))["extra"] == Correct(first, off=True)
    assert dict(causes(running, Compared(HOME, period=2), -2))["extra"] == Correct(second, off=True)


def test_what_a_call_and_an_event_compare(running: Play) -> None:
    call = CompareBook(HOME, 3, Figure.POINTS, "5", 2)
    what = Compared(HOME, Figure.POINTS, "5", 2)
    assert comparing(call) == (what, 3)
    assert comparing(calls.CheckScore(GUEST, 4)) == (Compared(GUEST), 4)
    assert comparing(calls.Mark()) is None
    running.take(call, calls.CheckScore(GUEST, 4))
    (one,), (other,) = (entry.events for entry in running.entries[-2:])
    assert compared(one) == (what, 3, 0)
    assert compared(other) == (Compared(GUEST), 4, 0)
    assert compared(ClockStarted(10, 5)) is None


def test_the_game_of_a_suspect_has_the_other_books_figure(running: Play) -> None:
    running.take(Score(HOME, 2, "5"), Score(HOME, 3, "4"))
    for more in (-3, -2, -1, 1, 2, 3):
        found = suspects(running.game, running.entries, Compared(HOME), 5 + more, running.at())
        assert {booked(each.after, Compared(HOME), 0) for each in found} == {5 + more}
        assert all(isinstance(each.cause, Cause) for each in found)
