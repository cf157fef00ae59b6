"""Who has won: told at the end of the last period, waited for, and told again where it changes."""

from __future__ import annotations

import pytest

from callout.game.calls import (
    EndGame,
    EndPeriod,
    Foul,
    NoBasket,
    Score,
    SetAward,
    SetScore,
    Shot,
    StartPeriod,
    Undo,
)
from callout.game.figures.score import periods_to_come, winner
from callout.game.profile.file import load_profile
from callout.game.terms import Award, FoulKind
from tests.game.play import GUEST, HOME, Play

VERDICTS = {"final", "level", "leads", "won_now", "level_now"}


def verdicts(play: Play) -> list[str]:
    """What was just said of the result."""
    return [kind for kind in play.said() if kind in VERDICTS]


@pytest.fixture
def late(play: Play) -> Play:
    """Two all, some seconds before the end of the last quarter."""
    return play.to_left(4, 3).take(Score(HOME, 2, "4"), Score(GUEST, 2, "14"))


def test_the_winner_is_who_has_more_points(play: Play) -> None:
    play.start()
    assert winner(play.game) is None
    assert winner(play.take(Score(GUEST, 2)).game) is GUEST
    assert winner(play.take(Score(HOME, 3)).game) is HOME


def test_the_regular_periods_to_come_are_counted(play: Play) -> None:
    assert periods_to_come(play.game) == 4
    assert periods_to_come(play.start().game) == 3
    assert periods_to_come(play.to_period(4).game) == periods_to_come(play.to_period(5).game) == 0


def test_the_end_of_the_last_period_tells_what_comes_next(late: Play) -> None:
    assert verdicts(late.take(EndPeriod())) == ["level"]
    assert verdicts(late.take(Undo(), Score(HOME, 2), EndPeriod())) == ["final"]


def test_no_period_before_the_last_does(play: Play) -> None:
    assert verdicts(play.start().take(Score(HOME, 2), EndPeriod(), Score(GUEST, 3))) == []


def test_throws_that_are_owed_at_the_end_are_waited_for(late: Play) -> None:
    # NFHS 5-6-2 (from memory): the throws of a foul before the end are taken as part of the period.
    late.take(Foul(GUEST, "14", award=Award.TWO), EndPeriod())
    assert verdicts(late) == []
    assert verdicts(late.take(Shot(False))) == []
    assert verdicts(late.take(Shot(True))) == ["leads"]
    assert late.told("leads").slots == {"team": HOME, "home": 3, "guest": 2}


def test_throws_missed_at_the_end_leave_an_overtime(late: Play) -> None:
    late.take(EndPeriod())
    late.take(Foul(GUEST, "14", award=Award.TWO, before_horn=True))
    assert verdicts(late) == []
    assert verdicts(late.take(Shot(False))) == []
    assert verdicts(late.take(Shot(False))) == ["level"]


def test_a_foul_at_the_horn_may_decide_a_game_that_was_level(late: Play) -> None:
    # The overtime that was told at the horn is none.
    late.take(EndPeriod(), Foul(GUEST, "14", award=Award.TWO, before_horn=True), Shot(False))
    assert verdicts(late.take(Shot(True))) == ["leads"]
    assert verdicts(late.take(Score(GUEST, 2))) == ["leads"]
    assert verdicts(late.take(Score(HOME, 2))) == ["leads"]
    assert verdicts(late.take(Score(HOME, 2))) == []


def test_a_foul_that_brings_no_throws_after_all_is_not_waited_for(late: Play) -> None:
    late.take(EndPeriod(), Foul(GUEST, "14", award=Award.TWO, before_horn=True))
    assert verdicts(late.take(SetAward(Award.NONE))) == ["level"]


@pytest.mark.parametrize(("rules", "left"), [("fiba-2024", 3000), ("nfhs-2026", 2400)])
def test_throws_for_a_foul_in_the_interval_begin_the_overtime(rules: str, left: int) -> None:
    # FIBA 41.1.3: it counts in the period to come; 8.7: the score was level at the end. NFHS 5-6-2
    # (from memory): the overtime begins with the throws.
    play = Play(load_profile(rules)).to_left(4, 3).take(EndPeriod())
    assert verdicts(play) == ["level"]
    play.take(Foul(GUEST, "14", FoulKind.TECHNICAL, award=Award.ONE, before_horn=False))
    assert verdicts(play) == []
    assert verdicts(play.take(Shot(True))) == []
    assert (play.game.goals[-1].period, play.game.goals[-1].left_tenths) == (5, left)
    play.take(StartPeriod())
    assert "not_level" not in play.said()
    assert verdicts(play.start().take(EndPeriod())) == ["final"]


def test_a_goal_put_right_after_such_throws_is_told_with_the_scores_at_the_end(late: Play) -> None:
    # NFHS 5-6-2 (from memory): whether an overtime follows, the score at the end says.
    late.take(Score(HOME, 2), EndPeriod(), Foul(GUEST, "14", FoulKind.TECHNICAL))
    late.take(Shot(False), Shot(False), NoBasket())
    assert late.told("level").slots["home"] == 2
    late.take(Foul(GUEST, "15", FoulKind.TECHNICAL), Shot(True), Shot(True))
    assert verdicts(late) == []


def test_throws_after_a_game_that_is_not_level_may_decide_it() -> None:
    # NFHS 5-6-2 (from memory): where they show whether there is an overtime, they are taken at
    # once, as if the foul had been made in the period that is over.
    play = Play(load_profile("nfhs-2026")).to_left(4, 3).take(Score(HOME, 2), EndPeriod())
    play.take(Foul(HOME, "4", FoulKind.TECHNICAL, before_horn=False))
    assert verdicts(play) == []
    assert verdicts(play.take(Shot(True))) == []
    assert verdicts(play.take(Shot(True))) == ["level"]
    assert [goal.period for goal in play.game.goals] == [4, 4, 4]


def test_throws_of_long_before_on_a_clock_that_runs_on_are_not() -> None:
    # Common practice, no source: where only made throws are called, some stay open.
    play = Play(load_profile("rec-running-clock"))
    play.to_left(play.game.profile.periods.count, 200)
    play.take(Foul(GUEST, "14", award=Award.TWO), Score(HOME, 2)).wait(150).take(EndPeriod())
    assert verdicts(play) == ["final"]


def test_the_end_of_the_game_asks_for_no_end_of_the_game(late: Play) -> None:
    assert verdicts(late.take(Score(HOME, 2), EndGame())) == []


def test_another_winner_after_the_end_is_told(late: Play) -> None:
    late.take(Score(HOME, 2), EndGame())
    assert verdicts(late.take(SetScore(GUEST, 3))) == []
    assert verdicts(late.take(SetScore(GUEST, 5))) == ["won_now"]
    assert late.told("won_now").slots == {"team": GUEST, "home": 4, "guest": 5}
    assert verdicts(late.take(SetScore(GUEST, 4))) == ["level_now"]


def test_a_period_begun_by_a_slip_and_taken_back_says_nothing_of_it(late: Play) -> None:
    assert verdicts(late.take(EndPeriod(), StartPeriod(), Undo())) == []


def test_a_basket_taken_off_at_the_horn_is_an_overtime(late: Play) -> None:
    late.take(Score(HOME, 2), EndPeriod())
    assert verdicts(late) == ["final"]
    assert verdicts(late.take(NoBasket())) == ["level"]
