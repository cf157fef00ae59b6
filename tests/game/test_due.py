"""What falls due by itself, and when."""

from __future__ import annotations

import pytest

from callout.game.calls import (
    ClockExpired,
    EndPeriod,
    Foul,
    HeldBall,
    OfficialTimeout,
    Reminder,
    Score,
    SetScore,
    SwitchArrow,
    Timeout,
    Tip,
    Undo,
)
from callout.game.due import due, interval_s
from callout.game.profile.file import load_profile
from callout.game.profile.profile import Profile
from callout.game.state import Owner
from callout.game.terms import Moment
from tests.game.play import GUEST, HOME, Play


def falls_due(play: Play) -> list[tuple[float, object]]:
    """Seconds from now, and what."""
    found: list[tuple[float, object]] = []
    for each in due(play.game):
        what: object = each.call.of if isinstance(each.call, Reminder) else type(each.call)
        found.append(((each.wall_ms - play.now_ms) / 1000, what))
    return found


def test_nothing_is_due_before_the_game_or_while_the_clock_stands(play: Play) -> None:
    assert falls_due(play) == []
    assert falls_due(play.start().stop()) == []


def test_the_period_ends_when_its_clock_runs_out(running: Play) -> None:
    assert falls_due(running) == [(480.0, ClockExpired)]
    assert falls_due(running.wait(79.5)) == [(400.5, ClockExpired)]
    assert falls_due(running.stop().start()) == [(400.5, ClockExpired)]


def test_it_falls_due_that_baskets_stop_the_clock_from_now_on() -> None:
    # FIBA 49.2: in the last two minutes of the fourth quarter and of overtime, not before.
    play = Play(load_profile("fiba-2024")).start()
    assert falls_due(play) == [(600.0, ClockExpired)]
    late = [(480.0, Moment.GOALS_STOP), (600.0, ClockExpired)]
    assert falls_due(play.to_period(4)) == late
    assert falls_due(play.wait(500).stop().start()) == [(100.0, ClockExpired)]
    assert falls_due(play.to_period(5))[0] == (180.0, Moment.GOALS_STOP)


def test_the_arrow_turns_by_itself_after_a_held_ball_on_a_running_clock() -> None:
    """NFHS 6-4: it is reversed when the throw-in ends; five seconds for it (9-2), from memory."""
    play = Play(load_profile("rec-running-clock")).start().take(Tip(HOME)).wait(60)
    play.take(HeldBall())
    assert falls_due(play)[0] == (15.0, SwitchArrow)
    play.wait(15).take(SwitchArrow())
    assert play.game.arrow is HOME
    assert falls_due(play.wait(5))[0][1] is not SwitchArrow
    # What a person takes back, or sets, is not turned again.
    play.take(HeldBall(), SwitchArrow()).wait(20).take(Undo())
    assert play.game.throw_in is HOME
    assert falls_due(play)[0][1] is not SwitchArrow
    # A foul in the throw-in leaves the arrow as it is.
    play.take(HeldBall(), Foul(GUEST, "8"))
    assert falls_due(play)[0][1] is not SwitchArrow
    # A clock that was stopped meanwhile turns it as it starts.
    play.take(HeldBall()).stop()
    assert SwitchArrow not in [what for _, what in falls_due(play)]
    play.start()
    assert play.game.arrow is GUEST
    assert SwitchArrow not in [what for _, what in falls_due(play)]


def test_where_whistles_stop_the_clock_its_start_turns_the_arrow() -> None:
    # FIBA 12.5.4, 17.1.2: the arrow turns when the throw-in ends.
    play = Play(load_profile("fiba-2024")).start().take(Tip(HOME)).wait(60).take(HeldBall())
    assert falls_due(play) == [(540.0, ClockExpired)]


def test_only_our_own_clock_ends_a_period(play: Play) -> None:
    for owner in (Owner.FOLLOW, Owner.NONE):
        assert falls_due(Play(play.game.profile, owner).start()) == []


def test_a_time_out_has_a_warning_and_an_end(running: Play) -> None:
    # NFHS 5-11 (read in an online copy): 60 and 30 seconds, warning horn with fifteen seconds left.
    running.take(Timeout(HOME, "full"))
    assert falls_due(running) == [(45.0, Moment.TIMEOUT_WARNING), (60.0, Moment.TIMEOUT_END)]
    running.take(Timeout(HOME, "thirty"))
    assert falls_due(running) == [(15.0, Moment.TIMEOUT_WARNING), (30.0, Moment.TIMEOUT_END)]


def test_a_moment_announced_is_not_due_again(running: Play) -> None:
    running.take(Timeout(HOME), Reminder(Moment.TIMEOUT_WARNING))
    assert falls_due(running) == [(60.0, Moment.TIMEOUT_END)]
    running.take(Reminder(Moment.TIMEOUT_END))
    assert falls_due(running) == []


def test_the_officials_time_out_has_no_length(running: Play) -> None:
    assert falls_due(running.take(OfficialTimeout())) == []


def test_intervals_are_as_long_as_the_rule_book_says(running: Play) -> None:
    # NFHS 5-5, 5-7: one minute, half-time ten, one minute before an extra period; 2-12: a horn
    # fifteen seconds before the end.
    lengths = []
    for period in range(1, 6):
        running.to_period(period).take(EndPeriod())
        *_, (warned, warning), (ended, end) = falls_due(running)
        assert (warning, end) == (Moment.INTERVAL_WARNING, Moment.INTERVAL_END)
        assert ended - warned == 15
        lengths.append(ended)
    assert lengths == [60, 600, 60, 60, 60]


def test_the_last_interval_is_that_before_overtime(profile: Profile) -> None:
    play = Play(profile).to_period(profile.periods.count)
    assert interval_s(play.game) == profile.periods.overtime_break_s


def test_nothing_announces_an_overtime_once_a_team_has_won(profile: Profile) -> None:
    # NFHS 5-7-1 and FIBA 8.7, from memory: an overtime follows only where the score is level.
    play = Play(profile).to_period(profile.periods.count).take(Score(HOME, 2), EndPeriod())
    assert falls_due(play) == []


@pytest.mark.parametrize(
    ("after_s", "left"),
    [
        (20, [(25.0, Moment.INTERVAL_WARNING), (40.0, Moment.INTERVAL_END)]),
        (50, [(10.0, Moment.INTERVAL_END)]),
        (300, []),
    ],
)
def test_a_score_made_level_afterwards_announces_only_what_is_ahead(
    running: Play, after_s: int, left: list[tuple[float, object]]
) -> None:
    running.to_period(4).take(Score(HOME, 2), EndPeriod()).wait(after_s)
    assert falls_due(running.take(SetScore(GUEST, 2))) == left


def test_each_of_several_warnings_falls_due(running: Play) -> None:
    # FIBA 49.3: before the first and third quarter the referees are warned at 3:00 and at 1:30.
    fiba = Play(load_profile("fiba-2022")).to_period(2).take(EndPeriod())
    warning = Reminder(Moment.INTERVAL_WARNING)
    assert [seconds for seconds, _ in falls_due(fiba)] == [720, 810, 900]
    assert [seconds for seconds, _ in falls_due(fiba.take(warning))] == [810, 900]
    assert [seconds for seconds, _ in falls_due(fiba.take(warning))] == [900]
    assert fiba.refusal(warning) == "nothing_due"
