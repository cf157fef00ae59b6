"""A clock that runs at a whistle or stands in play, and the clock at a time-out that waits.

Source where no rule is named: common practice, no source.
"""

from __future__ import annotations

import pytest

from callout.game.calls import (
    Call,
    DoubleFoul,
    Foul,
    HeldBall,
    OfficialTimeout,
    Reminder,
    Score,
    SetAward,
    Shot,
    StartPeriod,
    Timeout,
    TimeoutOver,
    TimeoutWaiting,
    TimeoutWithdrawn,
)
from callout.game.notices.clock_doubts import LATE_MS
from callout.game.notices.endings import (
    clock_started,
    clock_stopped,
    stopped_for_timeout,
    timeout_missed,
)
from callout.game.profile.file import load_profile
from callout.game.state import Owner
from callout.game.terms import Award, Moment
from tests.game.play import GUEST, HOME, Play

LATE_S = LATE_MS / 1000


def fiba(period: int = 1) -> Play:
    """A game under the rules of FIBA, its clock running."""
    return Play(load_profile("fiba-2024")).to_period(period)


# --- the clock runs at a whistle ------------------------------------------------------------------


@pytest.mark.parametrize(
    "call", [Foul(GUEST, "14"), DoubleFoul("5", "14"), HeldBall()], ids=lambda c: type(c).__name__
)
def test_a_whistle_on_a_running_clock_is_told(running: Play, call: Call) -> None:
    # NFHS 5-8, FIBA 49.2: the clock stops at a foul and at a held ball.
    running.take(call)
    assert running.said()[0] == "clock_is_running"
    assert "clock_is_running" not in running.stop().take(call).said()


def test_it_is_told_at_each_whistle_and_ends_when_the_clock_is_stopped(running: Play) -> None:
    running.take(Foul(GUEST, "14"))
    entry = running.game.entry
    assert not clock_stopped({}, entry, running.game)
    assert "clock_is_running" in running.take(Foul(GUEST, "3")).said()
    assert not clock_stopped({}, entry, running.game)
    assert clock_stopped({}, entry, running.stop().game)


def test_a_goal_since_shows_that_play_went_on_with_the_clock_running(running: Play) -> None:
    running.take(Foul(GUEST, "14"))
    entry = running.game.entry
    assert not clock_stopped({}, entry, running.take(Shot(True, HOME)).game)
    assert clock_stopped({}, entry, running.take(Score(HOME, 2)).game)


def test_where_the_clock_runs_on_through_whistles_nothing_is_told() -> None:
    # Local leagues' rules: a running clock, but for the last minutes of a half.
    rec = Play(load_profile("rec-running-clock")).start()
    assert "clock_is_running" not in rec.take(Foul(GUEST, "14")).said()
    late = Play(load_profile("rec-running-clock")).to_left(2, 10)
    assert "clock_is_running" in late.take(Foul(GUEST, "14")).said()


@pytest.mark.parametrize("owner", [Owner.FOLLOW, Owner.NONE])
def test_a_clock_that_others_keep_is_not_doubted(owner: Owner) -> None:
    play = Play(load_profile("nfhs-2026"), owner).start()
    assert play.take(Foul(GUEST, "14")).said() == ["foul"]
    play.stop().wait(LATE_S + 1).take(Score(HOME, 2))
    assert play.said() == ["goal"]


def test_a_granted_time_out_stops_our_clock_by_itself(running: Play) -> None:
    running.wait(20).take(Timeout(HOME))
    assert not running.game.clock.running
    assert "clock_is_running" not in running.said()


# --- the clock stands in play ---------------------------------------------------------------------


def test_a_goal_soon_after_the_whistle_may_have_come_before_it(running: Play) -> None:
    running.wait(60).stop().wait(LATE_S).take(Score(HOME, 2))
    assert running.said() == ["goal"]
    running.wait(0.1).take(Score(GUEST, 2))
    assert running.said() == ["clock_is_stopped", "goal"]


def test_a_held_ball_on_a_clock_that_was_never_started(running: Play) -> None:
    running.wait(60).stop().wait(LATE_S + 1).take(HeldBall())
    assert running.said()[0] == "clock_is_stopped"


def test_after_a_time_out_the_clock_was_never_started(running: Play) -> None:
    running.wait(60).take(Timeout(HOME)).wait(30).take(Score(HOME, 2))
    assert "clock_is_stopped" not in running.said(), "put right in the time-out"
    running.wait(30).take(Reminder(Moment.TIMEOUT_WARNING), Reminder(Moment.TIMEOUT_END))
    running.wait(12).take(Score(GUEST, 2))
    assert running.said()[0] == "clock_is_stopped"


def test_the_end_of_a_time_out_counts_as_the_last_whistle(running: Play) -> None:
    running.wait(60).take(Timeout(HOME)).wait(60).take(TimeoutOver())
    running.wait(LATE_S).take(Score(HOME, 2))
    assert running.said() == ["goal"]
    assert running.wait(1).take(Score(HOME, 2)).said()[0] == "clock_is_stopped"


def test_in_an_officials_time_out_the_score_is_put_right(running: Play) -> None:
    running.wait(60).take(OfficialTimeout()).wait(300).take(Score(HOME, 2))
    assert running.said() == ["goal"]


def test_a_basket_while_throws_are_owed_is_called_late(running: Play) -> None:
    running.wait(60).stop().take(Foul(GUEST, "14"), SetAward(Award.ONE)).wait(LATE_S + 1)
    assert running.take(Score(HOME, 2)).said() == ["goal"]


def test_a_basket_after_a_missed_last_throw_needs_the_clock_at_once(running: Play) -> None:
    # NFHS 5-9, FIBA 49.2: after a missed last throw the clock starts when the ball is touched.
    running.wait(60).stop().take(Foul(GUEST, "14"), SetAward(Award.ONE), Shot(False, HOME))
    assert running.take(Score(HOME, 2)).said()[0] == "clock_is_stopped"


def test_nobody_scores_before_the_clock_of_a_period_has_run(play: Play) -> None:
    play.take(StartPeriod(), HeldBall())
    assert "clock_is_stopped" not in play.said(), "the toss may be held"
    assert play.take(Score(HOME, 2)).said()[0] == "clock_is_stopped"


def test_an_overtime_without_a_clock_has_none_to_start() -> None:
    # FIBA 3x3: an overtime lasts until two points.
    three = Play(load_profile("fiba-3x3")).to_period(2).stop().wait(60)
    assert "clock_is_stopped" not in three.take(Score(HOME, 1)).said()


def test_it_ends_when_the_clock_is_started(running: Play) -> None:
    running.wait(60).stop().wait(LATE_S + 1).take(Score(HOME, 2))
    entry = running.game.entry
    assert not clock_started({}, entry, running.game)
    assert clock_started({}, entry, running.start().game)


# --- a goal against the team that asked for a time-out --------------------------------------------


def test_in_fiba_the_table_stops_the_clock_for_the_team_that_conceded() -> None:
    # FIBA 49.2, 18.2.3: a field goal scored against the team that has requested a time-out.
    play = fiba().wait(60).take(TimeoutWaiting(GUEST), Score(HOME, 2))
    assert play.said()[:2] == ["stop_for_timeout", "timeout_due"]
    stop = play.notices[0]
    assert stop.rule == "FIBA 49.2"
    entry = play.game.entry
    assert not stopped_for_timeout({}, entry, play.game)
    assert "timeout_due" not in play.stop().said(), "it was just said"
    assert stopped_for_timeout({}, entry, play.game)


def test_not_for_the_team_that_scored() -> None:
    play = fiba().wait(60).take(TimeoutWaiting(HOME), Score(HOME, 2))
    assert play.said() == ["goal"]


def test_a_request_right_after_the_goal_stops_the_clock_too() -> None:
    play = fiba().wait(60).take(Score(HOME, 2)).wait(2).take(TimeoutWaiting(GUEST))
    assert play.said()[:2] == ["stop_for_timeout", "timeout_due"]
    entry = play.game.entry
    play.take(TimeoutWithdrawn(GUEST))
    assert stopped_for_timeout({}, entry, play.game)


def test_in_the_last_two_minutes_the_goal_stops_it_anyway() -> None:
    play = Play(load_profile("fiba-2024")).to_left(4, 90)
    play.take(TimeoutWaiting(GUEST), Score(HOME, 2))
    assert play.said()[:2] == ["clock_stops", "timeout_due"]
    assert "stop_for_timeout" not in play.said()


def test_in_high_school_no_horn_sounds_while_the_clock_runs_after_a_goal(running: Play) -> None:
    # NFHS 2-11-3: the horn for a dead ball; 5-8: a made basket does not stop the clock.
    running.wait(60).take(TimeoutWaiting(GUEST), Score(HOME, 2))
    assert running.said()[:2] == ["timeout_in_play", "goal"]
    entry, team = running.game.entry, {"team": GUEST}
    assert not timeout_missed(team, entry, running.game)
    running.wait(2).stop()
    assert "timeout_due" in running.said(), "now the horn"
    assert timeout_missed(team, entry, running.game)


def test_the_chance_after_a_goal_passes(running: Play) -> None:
    running.wait(60).take(TimeoutWaiting(GUEST), Score(HOME, 2)).wait(10).take(Foul(HOME, "5"))
    assert "timeout_in_play" not in running.said()
    assert "timeout_due" in running.said()
