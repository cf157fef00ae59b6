"""Goals, free throws, and the score as the officials rule it."""

from __future__ import annotations

import pytest

from callout.game.calls import (
    Call,
    CountIt,
    EndPeriod,
    Foul,
    LaneViolation,
    LastTeam,
    MakePoints,
    MakeTeam,
    Mark,
    NoBasket,
    PutBack,
    Score,
    SetScore,
    Shot,
    Undo,
)
from callout.game.events import (
    BasketCancelled,
    FreeThrow,
    PointsChanged,
    Scored,
    TakenBack,
    TeamChanged,
    ThrowVoided,
)
from callout.game.figures.score import open_lines, owed_to
from callout.game.fold import fold
from callout.game.terms import Award, FoulKind, Offender
from tests.game.play import GUEST, HOME, Play


@pytest.mark.parametrize("points", [2, 3])
def test_a_field_goal_counts_two_or_three(running: Play, points: int) -> None:
    # NFHS 5-2, from memory.
    running.wait(19).take(Score(HOME, points, "5"))
    assert running.entries[-1].events == (Scored(20, HOME, points, "5", 1, 4610),)
    assert running.score == (points, 0)


def test_one_point_is_a_free_throw(running: Play) -> None:
    # NFHS 5-2, from memory: a free throw counts one, no field goal does.
    running.take(Score(GUEST, 1, "14"))
    assert running.entries[-1].events == (FreeThrow(20, GUEST, True, "14", 1, 4800),)
    assert running.score == (0, 1)


def test_a_number_that_is_not_on_the_list_stays_open(running: Play) -> None:
    running.take(Score(HOME, 2, "33"))
    assert running.entries[-1].events[0] == Scored(20, HOME, 2, None, 1, 4800, said="33")
    assert [line.team for line in open_lines(running.game)] == [HOME]
    assert running.score == (2, 0)


def test_points_in_the_wrong_basket_are_no_players(running: Play) -> None:
    # NFHS scorer's instructions: a footnote of the team, no player credited.
    running.take(Score(GUEST, 2, "14", own_basket=True))
    assert running.entries[-1].events == (Scored(20, GUEST, 2, None, 1, 4800, own_basket=True),)
    assert running.score == (0, 2)
    assert open_lines(running.game) == ()


def test_no_field_goal_counts_one(running: Play) -> None:
    assert running.refusal(Score(HOME, 1, own_basket=True)) == "points_impossible"


def test_a_goal_before_the_clock_was_started_counts_in_the_first_period(play: Play) -> None:
    # Common practice, no source: the clock was forgotten. That is said once.
    play.take(Score(HOME, 2, "4"))
    assert play.told("not_playing").slots == {"nth": 1, "unit": "quarter"}
    play.take(Score(GUEST, 3, "14"), Shot(True, HOME))
    assert "not_playing" not in play.said()
    assert play.start().score == (3, 3)
    assert [goal.period for goal in play.game.goals] == [1, 1, 1]


def test_a_throw_before_the_game_needs_a_foul_or_is_odd(play: Play) -> None:
    play.take(Shot(True, HOME))
    assert "not_playing" in play.said()


def test_throws_for_a_technical_before_the_game_may_be_called_either_way(play: Play) -> None:
    # NFHS 3.2A: late names on the list bring a team technical before the toss.
    play.take(Foul(HOME, foul=FoulKind.TECHNICAL, on=Offender.TEAM))
    play.take(Shot(True, GUEST, "14"), Score(GUEST, 1))
    assert play.score == (0, 2)
    assert [goal.period for goal in play.game.goals] == [1, 1]
    assert "not_playing" not in play.said()


def test_a_throw_is_the_owed_teams_and_the_same_shooters(running: Play) -> None:
    running.take(Foul(GUEST, "14", award=Award.TWO), Shot(True, number="12"), Shot(False))
    first, second = running.game.goals
    assert (first.team, first.number, first.made) == (HOME, "12", True)
    assert (second.team, second.number, second.made) == (HOME, "12", False)
    assert owed_to(running.game, HOME) is None


def test_a_throw_without_a_team_needs_one_when_none_is_owed(running: Play) -> None:
    assert running.refusal(Shot(True)) == "team_needed"


def test_a_throw_that_nobody_owes_is_booked_all_the_same(running: Play) -> None:
    running.take(Shot(True, HOME, "4"))
    assert running.score == (1, 0)


def test_another_shooter_may_be_named_in_between(running: Play) -> None:
    # FIBA 19.3.8: an injured shooter's substitute shoots.
    running.take(Foul(GUEST, "14", award=Award.TWO))
    running.take(Shot(True, HOME, "12"), Shot(True, HOME, "10"))
    assert [goal.number for goal in running.game.goals] == ["12", "10"]


def test_a_shooter_not_on_the_list_stays_open(running: Play) -> None:
    running.take(Foul(GUEST, "14", award=Award.TWO), Shot(True, number="99"))
    assert running.entries[-1].events == (FreeThrow(30, HOME, True, None, 1, 4800, said="99"),)


def test_a_basket_of_the_same_live_ball_is_taken_off(running: Play) -> None:
    running.take(Score(HOME, 2, "5")).wait(2).take(NoBasket())
    assert running.entries[-1].events == (BasketCancelled(20),)
    assert running.score == (0, 0)


def test_an_older_basket_may_be_taken_off_and_is_told_when_that_is_too_late(running: Play) -> None:
    # NFHS 2-10: a score counted wrongly may be cancelled before the second live ball.
    running.take(Score(HOME, 2, "5")).stop().start().take(NoBasket())
    assert running.score == (0, 0)
    assert "too_late_book" not in running.said()


def test_a_free_throw_is_no_basket_to_take_off(running: Play) -> None:
    assert running.refusal(NoBasket()) == "no_basket_to_take_off"
    running.take(Shot(True, HOME))
    assert running.refusal(NoBasket()) == "no_basket_to_take_off"


def test_after_the_horn_a_basket_belongs_to_the_period_just_ended(running: Play) -> None:
    running.take(EndPeriod(), Score(HOME, 3, "4"))
    assert running.game.goals[-1].period == 1


def test_the_officials_may_rule_the_score(running: Play) -> None:
    running.take(Score(HOME, 2), SetScore(HOME, 7))
    assert running.score == (7, 0)
    running.take(SetScore(HOME, 1))
    assert running.score == (1, 0)
    assert running.refusal(SetScore(HOME, 1)) == "score_is_that"


@pytest.mark.parametrize(
    "call", [NoBasket(), LastTeam(HOME, GUEST), MakeTeam(GUEST), MakePoints(2)]
)
def test_a_correction_that_would_leave_fewer_points_than_none_is_refused(
    running: Play, call: Call
) -> None:
    # Plain sense: no team has fewer points than none (FIBA 16.1 only ever adds).
    running.take(Score(HOME, 3, "5"), SetScore(HOME, 0))
    assert running.refusal(call) == "score_too_low"
    running.take(SetScore(HOME, 3))
    running.take(call)
    assert running.score[0] == (2 if call == MakePoints(2) else 0)


def test_a_void_throw_leaves_no_team_below_zero(running: Play) -> None:
    # Plain sense: no team has fewer points than none (FIBA 16.1 only ever adds).
    running.take(Shot(True, HOME, "5"), SetScore(HOME, 0))
    assert running.refusal(LaneViolation(HOME)) == "score_too_low"
    running.book(Mark(), (ThrowVoided(running.game.goals[-1].item),))
    assert running.score == (0, 0)
    assert running.told("misfit")
    running.take(SetScore(HOME, 1), LaneViolation(HOME))
    assert running.score == (0, 0)


def test_undo_leaves_no_team_below_zero_and_says_that_something_no_longer_fits(
    running: Play,
) -> None:
    running.take(Score(HOME, 2, "5"), SetScore(HOME, 0), Score(HOME, 2, "4"))
    first = running.game.goals[0].item
    running.book(LastTeam(HOME, GUEST), (TeamChanged(first, GUEST, None),))
    assert running.score == (0, 2)
    gone = next(line for line in running.game.lines if line.call == "score" and line.entry > 2)
    running.book(Undo(), (TakenBack(gone.entry),))
    assert running.score == (0, 0)
    assert "misfit" in running.said()


@pytest.mark.parametrize("lower", [BasketCancelled(20), PointsChanged(20, 1)])
def test_an_event_that_would_leave_fewer_points_than_none_changes_no_line(
    running: Play, lower: BasketCancelled | PointsChanged
) -> None:
    # As a journal of before, or one of which an entry was taken back, may hold it.
    running.take(Score(HOME, 3, "5"), SetScore(HOME, 0))
    running.book(NoBasket(), (lower,))
    assert running.score == (0, 0)
    assert "misfit" in running.said()


def test_a_basket_counts_after_all_while_nothing_was_booked_since(running: Play) -> None:
    running.take(Score(HOME, 2, "5"), NoBasket(), CountIt())
    assert running.score == (2, 0)
    assert running.refusal(CountIt()) == "no_basket_taken_off"
    running.take(NoBasket(), Foul(GUEST, "14"))
    assert running.refusal(CountIt()) == "no_basket_taken_off"


def test_a_basket_that_was_counted_after_all_is_off_again_after_undo(running: Play) -> None:
    # README: "undo that" is for a mistake, whichever call it was.
    running.take(Score(HOME, 2, "5"), NoBasket(), CountIt(), Undo())
    assert running.score == (0, 0)
    assert running.told("undone").slots == {"call": "count_it", "home": 0, "guest": 0}
    assert fold(running.begin, running.entries) == running.game
    running.take(PutBack())
    assert running.score == (2, 0)
    running.take(Undo(), CountIt())
    assert running.score == (2, 0)
    running.take(Undo(), Undo())
    assert (running.score, running.entries[-1].events) == ((2, 0), (TakenBack(3),))
