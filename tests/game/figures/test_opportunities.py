"""When a waiting time-out or substitute has its chance, and what is said where it has none."""

from __future__ import annotations

from dataclasses import replace

import pytest

from callout.game import calls
from callout.game.calls import (
    DeadBall,
    EndGame,
    EndPeriod,
    Foul,
    LastTeam,
    Reminder,
    Score,
    Shot,
    StartPeriod,
    SubsIn,
    Substitution,
    SubWaiting,
    Timeout,
    TimeoutOver,
    TimeoutWaiting,
)
from callout.game.choices import After
from callout.game.figures.opportunities import sub_chance
from callout.game.profile.file import load_profile
from callout.game.state import Owner
from callout.game.terms import Award, Moment
from tests.game.play import GUEST, HOME, Play

TWO = Award.TWO


@pytest.fixture
def fiba() -> Play:
    """A game under FIBA's rules, its clock running and some seconds played."""
    return Play(load_profile("fiba-2022")).start().wait(20)


def late(play: Play) -> Play:
    """The same game with a minute left in the last quarter."""
    return play.to_left(4, 60)


def waiting(play: Play) -> Play:
    """Both teams ask for a time-out."""
    return play.take(TimeoutWaiting(HOME), TimeoutWaiting(GUEST))


def due(play: Play) -> list[tuple[str, object]]:
    """Who is told to have a chance now, and for what."""
    kinds = ("timeout_due", "sub_due")
    return [(each.kind, each.slots["team"]) for each in play.notices if each.kind in kinds]


# --- time-outs ------------------------------------------------------------------------------


def test_the_team_scored_upon_has_its_chance_by_the_goal(fiba: Play) -> None:
    # FIBA 18.2.3: an opponent's field goal gives the chance to the team that conceded it.
    waiting(fiba).take(Score(HOME, 2))
    assert due(fiba) == [("timeout_due", GUEST)]


def test_after_a_late_goal_the_scoring_team_has_none_though_the_clock_stops(fiba: Play) -> None:
    # FIBA 18.2.8, unless an official has stopped the game.
    waiting(late(fiba)).take(Score(HOME, 2)).stop()
    assert ("timeout_due", HOME) not in due(fiba)
    fiba.take(Timeout(HOME))
    assert fiba.told("timeout_not_now").rule == "FIBA 18.2"


def test_after_a_whistle_both_have_it(fiba: Play) -> None:
    waiting(late(fiba)).take(Score(HOME, 2), Foul(GUEST, "14"))
    assert due(fiba) == [("timeout_due", HOME)]  # Guest had it by the goal.
    fiba.take(Timeout(HOME))
    assert "timeout_not_now" not in fiba.said()


def test_a_chance_by_a_goal_is_over_when_play_has_gone_on(fiba: Play) -> None:
    fiba.take(Score(HOME, 2)).wait(6).take(TimeoutWaiting(GUEST))
    assert due(fiba) == []


def test_between_throws_there_is_none_and_after_the_last_there_is(fiba: Play) -> None:
    # FIBA interpretation 18/19-6: before the first yes, between no, after a made last yes.
    fiba.stop().take(Foul(GUEST, "14", award=TWO), Shot(True, HOME, "4"))
    waiting(fiba)
    assert due(fiba) == []
    fiba.take(Timeout(HOME))
    assert fiba.told("timeout_not_now")
    fiba.take(calls.Undo(), Shot(True))
    assert due(fiba) == [("timeout_due", HOME), ("timeout_due", GUEST)]


def test_a_missed_last_throw_leaves_play_going_on(fiba: Play) -> None:
    # FIBA interpretation 18/19-7.
    fiba.stop().take(Foul(GUEST, "14", award=TWO), Shot(True, HOME, "4"))
    waiting(fiba).take(Shot(False))
    assert due(fiba) == []
    fiba.start().wait(3).stop()
    assert due(fiba) == [("timeout_due", HOME), ("timeout_due", GUEST)]


def test_before_the_clock_has_run_neither_is_possible() -> None:
    # FIBA interpretation 18/19-2: a violation at the toss; the clock has not run.
    fiba = Play(load_profile("fiba-2022")).take(StartPeriod(), TimeoutWaiting(HOME), SubWaiting())
    assert due(fiba) == []
    fiba.take(Substitution(HOME, "4", "5"))
    assert fiba.told("sub_not_now").rule == "FIBA 19.2"
    fiba.take(Timeout(HOME))
    assert fiba.told("timeout_not_now")
    # From memory: the high schools allow it.
    school = Play(load_profile("nfhs-2026")).take(StartPeriod(), TimeoutWaiting(HOME))
    assert due(school) == [("timeout_due", HOME)]


def test_time_outs_in_an_interval(fiba: Play, running: Play) -> None:
    # FIBA 18.2: none. NFHS 5-11, case 5.11.7B: one, and no second one in a row.
    waiting(fiba).take(EndPeriod())
    assert due(fiba) == []
    fiba.take(Timeout(HOME))
    assert fiba.told("timeout_not_now")
    waiting(running.to_period(4)).take(EndPeriod())
    assert due(running) == [("timeout_due", HOME), ("timeout_due", GUEST)]
    running.take(Timeout(HOME))
    assert "timeout_not_now" not in running.said()
    running.take(Timeout(HOME))
    assert running.told("timeout_not_now").rule == "NFHS 5-8-3"


def test_a_league_may_give_none_for_a_goal(fiba: Play) -> None:
    rules = fiba.game.profile
    none = replace(rules, chances=replace(rules.chances, goal_timeout=After.NONE))
    play = waiting(Play(none).start().wait(20)).take(Score(HOME, 2))
    assert due(play) == []


def test_when_the_game_is_over_nobody_has_one(fiba: Play) -> None:
    waiting(fiba).take(SubWaiting(HOME), EndGame())
    assert due(fiba) == []


# --- substitutes ----------------------------------------------------------------------------


def test_after_a_late_goal_only_the_team_scored_upon_may_change(fiba: Play) -> None:
    # FIBA 19.2.2: only in the last two minutes, when the goal stops the clock.
    late(fiba).take(SubWaiting(HOME), SubWaiting(GUEST), Score(HOME, 2))
    assert due(fiba) == []
    fiba.stop()
    assert due(fiba) == [("sub_due", GUEST)]


def test_an_early_goal_lets_nobody_in(fiba: Play) -> None:
    fiba.take(SubWaiting(GUEST), Score(HOME, 2))
    assert due(fiba) == []
    fiba.stop()  # A whistle: the early goal does not stop the clock.
    assert due(fiba) == [("sub_due", GUEST)]


def test_high_school_substitutes_come_before_the_last_throw(running: Play) -> None:
    # NFHS 3-3-1: multiple throws: only before the last, and after it if it is made.
    running.stop().take(SubWaiting(HOME), Foul(GUEST, "14", award=TWO))
    assert due(running) == []
    running.take(Shot(True, HOME, "4"))
    assert due(running) == [("sub_due", HOME)]


def test_a_substitute_let_in_between_throws_is_told(fiba: Play) -> None:
    # FIBA interpretation 18/19-6.
    fiba.stop().take(Foul(GUEST, "14", award=TWO), Shot(True, HOME, "4"))
    fiba.take(SubWaiting(GUEST), SubsIn())
    assert fiba.told("sub_not_now").slots == {"team": GUEST}


def test_a_dead_ball_on_a_running_clock(running: Play) -> None:
    # NFHS 3-3-1: the ball dead and the clock stopped. Where the clock is the gym's, a whistle is
    # all that is known. 3x3, from memory: at any dead ball.
    running.take(SubWaiting(HOME), DeadBall())
    assert due(running) == []
    follow = Play(load_profile("nfhs-2026"), Owner.FOLLOW).start()
    assert due(follow.take(SubWaiting(HOME), DeadBall())) == [("sub_due", HOME)]
    three = Play(load_profile("fiba-3x3")).start()
    assert due(three.take(SubWaiting(HOME), DeadBall())) == [("sub_due", HOME)]


def test_after_the_warning_horn_a_substitute_waits_for_the_next_stop(running: Play) -> None:
    # NFHS 3-3-1, case 3.3.1A. FIBA 19.2: until the time-out has ended.
    running.stop().take(Timeout(HOME)).wait(45)
    running.take(Reminder(Moment.TIMEOUT_WARNING), SubWaiting(GUEST))
    assert due(running) == []
    running.take(TimeoutOver())
    assert due(running) == []
    running.take(Substitution(GUEST, "3", "5"))
    assert running.told("sub_not_now")
    running.take(SubWaiting(GUEST)).start().wait(5).stop()
    assert due(running) == [("sub_due", GUEST)]


def test_in_an_interval_substitutes_may_come_and_no_horn_is_sounded_for_them(fiba: Play) -> None:
    # That they come in without it: common practice, no source.
    fiba.take(EndPeriod(), SubWaiting(HOME))
    assert sub_chance(fiba.game, HOME, 0)
    assert due(fiba) == []


# --- the same player again ------------------------------------------------------------------------


def test_no_player_is_changed_twice_before_the_clock_has_run(fiba: Play) -> None:
    # FIBA 19.2.4, NFHS 3-3-4.
    fiba.stop().take(Substitution(HOME, "4", "5"), Substitution(HOME, "5", "7"))
    found = fiba.told("sub_too_soon")
    assert (found.slots, found.rule) == ({"team": HOME, "number": "5"}, "FIBA 19.2.4")
    fiba.take(Substitution(HOME, "10", "4"))
    assert fiba.told("sub_too_soon").slots["number"] == "4"
    fiba.start().wait(1).stop().take(Substitution(HOME, "4", "10"))
    assert "sub_too_soon" not in fiba.said()


def test_who_has_just_come_in_must_leave_with_his_fifth_foul(fiba: Play) -> None:
    # FIBA interpretation 18/19-15: third foul he must stay, fifth he must go.
    fiba.stop().take(*[Foul(GUEST, "14")] * 4, Substitution(GUEST, "14", "3"))
    fiba.take(Foul(GUEST, "14"), Substitution(GUEST, "5", "14"))
    assert "sub_too_soon" not in fiba.said()


def test_six_on_court_are_told(running: Play) -> None:
    for number in ("4", "5", "7", "10", "11"):
        running.take(calls.Starter(HOME, number))
    assert "too_many" not in running.said()
    running.take(calls.Starter(HOME, "12"))
    assert running.told("too_many").slots == {"team": HOME}


def test_a_substitution_that_the_line_up_contradicts_names_who_is_meant() -> None:
    """Common practice, no source: a wrong number is likelier than a sixth player, of whom the
    referee would be told; and each later substitution would tell him again.
    """
    play = Play(load_profile("nfhs-2026"))
    play.take(*[calls.Starter(HOME, n) for n in ("4", "5", "7", "10", "11")]).start().stop()
    play.take(Substitution(HOME, "23", "12"))
    assert play.told("not_on_court").slots == {"team": HOME, "number": "12"}
    play.start().stop().take(Substitution(HOME, "12", "4"))
    assert play.said() == ["substituted"]
    play.start().stop().take(Substitution(HOME, "5", "7"))
    assert play.told("on_court_already").slots == {"team": HOME, "number": "5"}
    assert "too_many" not in play.said()


def test_where_the_line_up_is_not_known_anybody_may_come_and_go(running: Play) -> None:
    running.take(*[calls.Starter(HOME, n) for n in ("4", "5", "7", "10")]).stop()
    assert running.take(Substitution(HOME, "23", "12")).said() == ["substituted"]
    running.take(calls.Starter(HOME, "11"), SubWaiting(HOME), SubsIn()).start().stop()
    assert running.take(Substitution(HOME, "5", "12")).said() == ["substituted"]


def test_the_chance_after_a_goal_moves_with_the_goal(fiba: Play) -> None:
    # FIBA 18.2.3: the team that was scored upon; and the goal was the other team's after all.
    waiting(fiba).take(Score(HOME, 2, "4"))
    assert fiba.told("timeout_due").slots["team"] is GUEST
    fiba.take(LastTeam(HOME, GUEST))
    assert fiba.told("timeout_due").slots["team"] is HOME
    fiba.take(Timeout(HOME))
    assert "timeout_not_now" not in fiba.said()


def test_a_goal_on_a_ball_dead_by_a_goal_is_the_one_that_counts(fiba: Play) -> None:
    # Common practice, no source: the clock was not started in time, and play has gone on.
    late(fiba).take(Score(HOME, 2, "4")).stop().take(Score(GUEST, 2, "14"), TimeoutWaiting(HOME))
    assert fiba.told("timeout_due").slots["team"] is HOME


def test_a_goal_after_a_whistle_gives_no_chance_of_its_own(fiba: Play) -> None:
    # FIBA 18.2.3: after a foul either team may have its time-out, also the one that scored with it.
    fiba.stop().take(Foul(GUEST, "14"), Score(HOME, 2, "4"), TimeoutWaiting(HOME))
    assert fiba.told("timeout_due").slots["team"] is HOME
