"""The game clock, and the periods that it ends."""

from __future__ import annotations

import pytest

from callout.game import calls
from callout.game.calls import (
    AdjustClock,
    Call,
    CheckClock,
    ClockExpired,
    DeadBall,
    EndGame,
    EndPeriod,
    Foul,
    Reminder,
    SetClock,
    StartClock,
    StartPeriod,
    StopClock,
    Timeout,
)
from callout.game.events import (
    BallDead,
    ClockChecked,
    ClockSet,
    ClockStarted,
    ClockStopped,
    GameEnded,
    PeriodEnded,
    PeriodStarted,
    Reminded,
    ThrowsDropped,
    TimeoutEnded,
)
from callout.game.profile.file import load_profile
from callout.game.state import Owner, Phase
from callout.game.terms import Award, Moment
from tests.game.play import GUEST, HOME, Play


def test_starting_the_clock_begins_the_game(play: Play) -> None:
    # NFHS 5-5 (read in an online copy): quarters of eight minutes.
    play.start()
    assert play.entries[-1].events == (
        PeriodStarted(1, 4800, None, jump=True),
        ClockStarted(4800, 1_000_000),
    )


@pytest.mark.parametrize(
    ("name", "quarter", "overtime"),
    # NFHS 5-5, 5-7-3: eight minutes, and four or half a quarter; the others are local leagues.
    [("nfhs-2026", 480, 240), ("youth-6-minute", 360, 180), ("youth-7-minute", 420, 210)],
)
def test_periods_are_as_long_as_the_league_says(name: str, quarter: int, overtime: int) -> None:
    play = Play(load_profile(name))
    lengths = []
    for _ in range(6):
        play.take(StartPeriod())
        lengths.append(play.game.clock.left_tenths)
        play.take(EndPeriod())
    assert lengths == [10 * quarter] * 4 + [10 * overtime] * 2


def test_the_clock_starts_and_stops_once(running: Play) -> None:
    assert running.refusal(StartClock()) == "already_running"
    running.wait(61.3).stop()
    assert running.entries[-1].events == (ClockStopped(4187),)
    assert running.refusal(StopClock()) == "already_stopped"
    assert running.start().entries[-1].events == (ClockStarted(4187, running.now_ms),)


def test_the_clock_starts_out_of_a_time_out(running: Play) -> None:
    running.take(Timeout(HOME)).start()
    assert isinstance(running.entries[-1].events[0], TimeoutEnded)
    assert running.game.phase is Phase.RUNNING


def test_play_that_goes_on_drops_throws_not_booked(running: Play) -> None:
    running.stop().take(Foul(GUEST, "14", award=Award.TWO)).start()
    assert ThrowsDropped() in running.entries[-1].events
    assert running.game.owed == ()


def test_a_clock_at_zero_does_not_start(running: Play) -> None:
    running.stop().take(SetClock(0))
    assert running.refusal(StartClock()) == "no_time_left"


def test_the_ball_may_be_dead_while_the_clock_runs(running: Play) -> None:
    running.take(DeadBall())
    assert running.entries[-1].events == (BallDead(),)
    assert running.refusal(DeadBall()) == "already_dead"


def test_the_officials_may_put_the_clock_anywhere_in_the_period(running: Play) -> None:
    running.wait(60).take(SetClock(4267))
    assert running.entries[-1].events == (ClockSet(4267, running.now_ms),)
    assert running.wait(1).at().left_tenths == 4257
    running.stop().take(AdjustClock(-57))
    assert running.game.clock.left_tenths == 4200


def test_a_clock_that_cannot_be_is_refused(running: Play) -> None:
    # NFHS case 5.7.3: a clock set to more than the period's length is reset.
    assert running.refusal(SetClock(4801)) == "clock_impossible"
    assert running.refusal(AdjustClock(-4801)) == "clock_impossible"
    assert running.refusal(AdjustClock(1)) == "clock_impossible"
    assert running.refusal(SetClock(4800)) == "clock_is_that"
    assert running.refusal(CheckClock(4801)) == "clock_impossible"


def test_overtimes_clock_has_overtimes_length(running: Play) -> None:
    # NFHS 5-7-3 (read in an online copy): four minutes.
    running.to_period(5)
    assert running.refusal(SetClock(2401)) == "clock_impossible"


def test_there_is_no_clock_outside_the_game(play: Play) -> None:
    assert play.refusal(EndPeriod()) == "no_period"
    assert play.refusal(EndGame()) == "not_started"
    assert play.refusal(ClockExpired()) == "already_stopped"
    play.start().take(EndGame())
    ended: list[Call] = [StartClock(), StartPeriod(), EndGame()]
    ended += [SetClock(10), AdjustClock(-10), CheckClock(10)]
    assert [play.refusal(call) for call in ended] == ["game_over"] * 6
    assert play.refusal(EndPeriod()) == "no_period"


@pytest.mark.parametrize("call", [SetClock(4700), AdjustClock(-100)])
def test_a_time_called_before_the_game_begins_the_first_period(play: Play, call: Call) -> None:
    # Common practice, no source: only a period has a clock to set.
    play.take(call)
    assert (play.game.period, play.game.phase) == (1, Phase.STOPPED)
    assert play.game.clock.left_tenths == 4700


def test_the_gyms_clock_runs_before_ours_was_started() -> None:
    profile = load_profile("nfhs-2026")
    play = Play(profile, Owner.FOLLOW).take(CheckClock(4700))
    assert (play.game.period, play.game.clock.left_tenths) == (1, 4700)
    play = Play(profile).take(CheckClock(4700))
    assert (play.game.period, play.game.clock.left_tenths) == (0, 4800)


def test_a_period_that_begins_ends_the_one_before(running: Play) -> None:
    # Common practice, no source: the end was not called, or the gym's clock was faster.
    running.take(Timeout(HOME), StartPeriod())
    kinds = [type(event) for event in running.entries[-1].events]
    assert kinds == [TimeoutEnded, PeriodEnded, PeriodStarted]
    assert (running.game.period, running.game.phase) == (2, Phase.STOPPED)


def test_setting_the_clock_after_the_horn_opens_the_period_again(running: Play) -> None:
    running.take(EndPeriod(), SetClock(8))
    assert (running.game.phase, running.game.period) == (Phase.STOPPED, 1)
    running.start()
    assert running.game.phase is Phase.RUNNING


def test_a_check_compares_and_leaves_our_clock(running: Play) -> None:
    running.wait(10).take(CheckClock(4690))
    assert running.entries[-1].events == (ClockChecked(4690, 4700),)
    assert running.at().left_tenths == 4700


def test_a_check_moves_a_clock_that_follows_the_gyms(play: Play) -> None:
    follow = Play(play.game.profile, Owner.FOLLOW).start().wait(10)
    follow.take(CheckClock(4700))
    assert follow.entries[-1].events == (ClockChecked(4700, 4700),)
    follow.take(CheckClock(4690))
    assert follow.at().left_tenths == 4690


def test_a_period_starts_after_the_last_one(running: Play) -> None:
    running.take(EndPeriod(), StartPeriod())
    assert (running.game.phase, running.game.period) == (Phase.STOPPED, 2)


@pytest.mark.parametrize("first", [StartClock(), StopClock(), Timeout(HOME)])
def test_a_period_can_be_ended_out_of_any_state_of_play(running: Play, first: Call) -> None:
    if not isinstance(first, StartClock):
        running.take(first)
    running.take(EndPeriod())
    assert running.entries[-1].events[-1] == PeriodEnded(1, running.now_ms)
    assert running.game.phase is Phase.INTERVAL


def test_the_running_clock_ends_the_period_at_zero(running: Play) -> None:
    running.wait(480).take(ClockExpired())
    assert running.entries[-1].events == (ClockStopped(0), PeriodEnded(1, running.now_ms))
    assert running.refusal(ClockExpired()) == "already_stopped"


def test_the_game_ends_with_its_period_or_after_it(running: Play) -> None:
    running.take(EndPeriod(), EndGame())
    assert running.entries[-1].events == (GameEnded(),)
    running.take(calls.Undo()).start().take(EndGame())
    assert [type(e) for e in running.entries[-1].events] == [ClockStopped, PeriodEnded, GameEnded]
    assert running.game.phase is Phase.OVER


def test_a_reminder_is_given_once_and_only_while_time_runs_off_the_court(running: Play) -> None:
    warning = Reminder(Moment.TIMEOUT_WARNING)
    assert running.refusal(warning) == "nothing_due"
    running.take(Timeout(HOME), warning)
    assert running.entries[-1].events == (Reminded(Moment.TIMEOUT_WARNING),)
    assert running.refusal(warning) == "nothing_due"
    running.take(Timeout(GUEST), warning)
