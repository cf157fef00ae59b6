"""A clock that runs on, leads too large, goals that stop the clock, points that end the game."""

from __future__ import annotations

import pytest

from callout.game.calls import EndGame, EndPeriod, Foul, Reminder, Score, SetScore, Shot, Timeout
from callout.game.due import due
from callout.game.kind import Rank
from callout.game.profile.file import load_profile
from callout.game.terms import Award, Moment
from tests.game.play import GUEST, HOME, Play


def at_left(name: str, period: int, left_s: float) -> Play:
    """A game of that league, that period's clock running, so many seconds left."""
    return Play(load_profile(name)).to_left(period, left_s)


@pytest.mark.parametrize(
    ("name", "period", "stops", "runs", "rule"),
    [
        ("fiba-2022", 4, 120, 120.1, "FIBA 49.2"),  # At 2:00 or less of the fourth and overtime.
        ("fiba-2022", 5, 120, 121, "FIBA 49.2"),
        ("nba-2026", 1, 60, 61, "NBA 5-V"),  # The last minute of the first three, two of the rest.
        ("nba-2026", 4, 120, 121, "NBA 5-V"),
        ("ncaa-men-2026", 2, 59.9, 60, "NCAA 5"),  # The last 59.9 s of the second half.
        ("ncaa-men-2026", 3, 59.9, 60, "NCAA 5"),
    ],
)
def test_a_late_goal_stops_the_clock(
    name: str, period: int, stops: float, runs: float, rule: str
) -> None:
    play = at_left(name, period, runs).take(Score(HOME, 2, "4"))
    assert "clock_stops" not in play.said()
    play = at_left(name, period, stops).take(Score(HOME, 2, "4"))
    found = play.told("clock_stops")
    assert (found.rank, found.rule) == (Rank.ACT, rule)


def test_a_goal_booked_with_the_clock_standing_stops_nothing() -> None:
    play = at_left("fiba-2022", 4, 60).stop().take(Score(HOME, 2, "4"))
    assert "clock_stops" not in play.said()


def test_a_high_school_goal_never_stops_it() -> None:
    # NFHS 5-8 (read in an online copy): a made basket is not in the list.
    assert "clock_stops" not in at_left("nfhs-2026", 4, 1).take(Score(HOME, 2, "4")).said()


# --- running clocks ----------------------------------------------------------------------------


def test_a_running_clock_stopped_is_told_until_the_last_two_minutes() -> None:
    # Local leagues: the clock runs but for time-outs, throws, and the last minutes of a half.
    play = at_left("rec-running-clock", 1, 500).stop()
    assert play.told("clock_runs_on").rank is Rank.TELL
    play.start().take(Foul(GUEST, "14", award=Award.TWO)).stop()
    assert "clock_runs_on" not in play.said()
    assert "clock_runs_on" not in at_left("rec-running-clock", 1, 120).stop().said()
    assert "clock_runs_on" in at_left("rec-running-clock", 1, 120.1).stop().said()
    assert "clock_runs_on" not in at_left("rec-running-clock", 3, 120).stop().said()
    assert "clock_runs_on" not in at_left("nfhs-2026", 1, 300).stop().said()


def test_the_moment_from_which_it_stops_falls_due_once() -> None:
    play = at_left("rec-running-clock", 1, 300)
    reminder = Reminder(Moment.CLOCK_STOPS)
    ((first, call), *_) = [(each.wall_ms, each.call) for each in due(play.game)]
    assert (first, call) == (play.now_ms + 180_000, reminder)
    play.wait(180).take(reminder)
    assert play.said() == ["clock_stops_now"]
    assert reminder not in [each.call for each in due(play.game)]
    play.stop().start()
    assert reminder not in [each.call for each in due(play.game)]


def test_only_a_running_clock_has_such_a_moment() -> None:
    for name in ("nfhs-2026", "fiba-2022"):
        calls = [each.call for each in due(at_left(name, 4, 300).game)]
        assert Reminder(Moment.CLOCK_STOPS) not in calls


# --- large leads --------------------------------------------------------------------------------


def test_a_lead_of_twenty_runs_the_clock_and_less_stops_it_again() -> None:
    # Local leagues: +20 at any time, reverting when the lead drops.
    play = at_left("rec-running-clock", 1, 60).take(SetScore(HOME, 18), Score(HOME, 2, "4"))
    assert play.told("mercy_on").rank is Rank.TELL
    assert "clock_runs_on" in play.stop().said()
    play.start().take(Score(GUEST, 2, "14"))
    assert play.told("mercy_off")
    assert "clock_runs_on" not in play.stop().said()


def test_a_lead_that_once_was_counts_where_it_does_not_revert() -> None:
    # Minnesota (read in an online copy): 35 points with less than 9:00 left of the second half.
    play = at_left("nfhs-halves", 2, 540).take(SetScore(GUEST, 35))
    assert "mercy_on" not in play.said()
    play.wait(1).take(Score(GUEST, 3, "14"))
    assert play.told("mercy_on").rule == "state rule"
    play.take(Score(HOME, 3, "4"), Score(HOME, 3, "4"), Shot(False, HOME, "4"))
    assert "mercy_off" not in play.said()
    assert "clock_runs_on" in play.stop().said()
    play.start().take(EndPeriod()).start().take(Score(HOME, 2, "4"))
    assert {"mercy_on", "mercy_off"}.isdisjoint(play.said())


def test_before_the_period_of_the_rule_no_lead_counts() -> None:
    play = at_left("nfhs-halves", 1, 100).take(SetScore(GUEST, 60))
    assert "mercy_on" not in play.said()


def test_the_end_of_a_game_says_nothing_of_leads() -> None:
    play = at_left("rec-running-clock", 2, 60).take(
        SetScore(HOME, 30), EndGame(), SetScore(HOME, 1)
    )
    assert "mercy_off" not in play.said()


# --- points that end it ---------------------------------------------------------------------------


def test_three_by_three_ends_at_twenty_one() -> None:
    # 3x3 rules table: first to 21 in regulation; overtime to two points.
    play = Play(load_profile("fiba-3x3")).start().take(SetScore(HOME, 19), Score(HOME, 1, "4"))
    assert "target_reached" not in play.said()
    play.take(Score(HOME, 1, "4"))
    found = play.told("target_reached")
    assert found.slots == {"team": HOME, "home": 21, "guest": 0}
    play.take(Score(HOME, 1, "4"))
    assert "target_reached" not in play.said()


def test_overtime_to_two_points_has_no_clock() -> None:
    play = Play(load_profile("fiba-3x3")).start().take(SetScore(HOME, 9), SetScore(GUEST, 9))
    play.take(EndPeriod()).start()
    assert (play.game.period, play.game.clock.left_tenths) == (2, 0)
    assert due(play.game) == ()
    play.wait(30).take(Score(HOME, 1, "4"))
    assert "target_reached" not in play.said()
    play.stop().start().take(Score(HOME, 1, "4"))
    assert play.told("target_reached").slots["team"] is HOME


def test_no_other_league_has_such_a_number() -> None:
    play = at_left("nfhs-2026", 5, 60).take(SetScore(HOME, 199), Score(HOME, 3, "4"))
    assert "target_reached" not in play.said()


def test_a_mandatory_time_out_is_told_at_the_first_stop_after_its_mark() -> None:
    # NBA 5-VI: the first dead ball after 6:59 (home) and after 2:59 (the other team).
    play = at_left("nba-2026", 1, 421).stop()
    assert "timeout_mandatory" not in play.said()
    play.start().wait(3).stop()
    assert play.told("timeout_mandatory").slots == {"team": HOME}
    play.take(Timeout(HOME)).start().wait(240).stop()
    assert play.told("timeout_mandatory").slots == {"team": GUEST}
    play.take(Timeout(GUEST)).start().wait(5).stop()
    assert "timeout_mandatory" not in play.said()
    assert "timeout_mandatory" not in at_left("nba-2026", 5, 100).stop().said()
