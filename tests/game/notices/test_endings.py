"""When what a notice asks for is done: each ending by the calls that bring it about.

Source where no rule is named: common practice, no source.
"""

from __future__ import annotations

import pytest

from callout.game.calls import (
    AddPlayer,
    Call,
    EndPeriod,
    Foul,
    MakeTeam,
    Mark,
    Number,
    Score,
    SetClock,
    Shot,
    Starter,
    StartPeriod,
    SubsIn,
    Substitution,
    SubWaiting,
    Timeout,
    TimeoutWaiting,
    TimeoutWithdrawn,
    Undo,
)
from callout.game.notices.kinds import Notice
from callout.game.profile.file import load_profile
from callout.game.state import Owner
from callout.game.terms import Award, FoulKind, Offender, Team
from tests.game.play import GUEST, HOME, Play


def waiting(play: Play, kind: str) -> tuple[Notice, int]:
    """The notice of that kind that the newest entry made, and the entry."""
    notice = play.told(kind)
    assert not is_done(play, (notice, play.game.entry))
    return notice, play.game.entry


def is_done(play: Play, waits: tuple[Notice, int]) -> bool:
    notice, entry = waits
    until = notice.kind.until
    assert until is not None
    return until(notice.slots, entry, play.game)


def out(running: Play) -> tuple[Notice, int]:
    running.take(*[Foul(GUEST, "5")] * 5)
    return waiting(running, "player_out")


# --- players and coaches who are out --------------------------------------------------------------


@pytest.mark.parametrize("then", [Substitution(GUEST, "8", "5"), Undo()])
def test_a_player_is_out_until_another_comes_for_him_or_he_is_not(
    running: Play, then: Call
) -> None:
    waits = out(running)
    running.take(then)
    assert is_done(running, waits)


def test_another_player_s_change_is_not_his(running: Play) -> None:
    waits = out(running)
    running.take(Substitution(GUEST, "8", "3"), Substitution(HOME, "4", "5"))
    assert not is_done(running, waits)


def test_a_player_who_is_not_on_the_court_has_left() -> None:
    play = Play(load_profile("nfhs-2026"))
    play.take(*[Starter(GUEST, number) for number in ("3", "5", "8", "14", "15")])
    play.start().take(*[Foul(GUEST, "20")] * 4, Foul(GUEST, "5"))
    play.take(*[Foul(GUEST, "5")] * 4)
    assert not is_done(play, waiting(play, "player_out"))
    play.take(Foul(GUEST, "20"))
    assert is_done(play, (play.told("player_out"), play.game.entry))


def test_whoever_is_out_is_told_of_until_the_next_period_has_begun(running: Play) -> None:
    waits = out(running)
    running.stop().start()
    assert not is_done(running, waits)
    running.take(EndPeriod())
    assert not is_done(running, waits)
    running.take(StartPeriod())
    assert is_done(running, waits)


def test_a_coach_is_out_until_the_next_period_or_until_he_is_not(running: Play) -> None:
    # NFHS 10-6, from memory: two direct technicals.
    technical = Foul(GUEST, foul=FoulKind.TECHNICAL, on=Offender.COACH)
    running.take(technical, technical)
    waits = waiting(running, "coach_out")
    running.take(MakeTeam(HOME))
    assert is_done(running, waits)
    running.take(technical)
    waits = waiting(running, "coach_out")
    running.take(EndPeriod())
    assert not is_done(running, waits)
    running.take(StartPeriod())
    assert is_done(running, waits)


# --- throws ---------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "then",
    [
        (Shot(True),),
        (Shot(False),),
        (Score(HOME, 2),),
        (Score(GUEST, 2),),
        (MakeTeam(HOME),),
        (Foul(GUEST, "5", award=Award.NONE), SetClock(4_000), Foul(HOME)),
        (EndPeriod(),),
    ],
)
def test_throws_are_waited_for_until_one_is_taken_or_play_went_on(
    running: Play, then: tuple[Call, ...]
) -> None:
    running.take(Foul(GUEST, "14", award=Award.TWO))
    waits = waiting(running, "shots_owed")
    running.take(Mark(), AddPlayer(HOME, "99"))
    assert not is_done(running, waits)
    running.take(*then)
    assert is_done(running, waits)


def test_throws_end_with_a_started_clock(running: Play) -> None:
    running.stop().take(Foul(GUEST, "14", award=Award.TWO))
    waits = waiting(running, "shots_owed")
    assert is_done(running.start(), waits)


def test_another_foul_at_the_same_stop_does_not_end_them(running: Play) -> None:
    running.stop().take(Foul(GUEST, "14", award=Award.TWO))
    waits = waiting(running, "shots_owed")
    running.take(Foul(GUEST, foul=FoulKind.TECHNICAL, on=Offender.BENCH))
    assert not is_done(running, waits)


def test_of_an_entry_that_is_in_the_book_no_more_nothing_is_known(running: Play) -> None:
    running.take(Foul(GUEST, "14", award=Award.TWO))
    notice, _ = waiting(running, "shots_owed")
    running.take(Foul(HOME, "4"))
    assert not is_done(running, (notice, 1))


def test_the_ball_comes_with_the_last_penalty_alone(running: Play) -> None:
    # NFHS, from memory: penalties are administered in the order in which the fouls occurred.
    running.stop().take(Foul(HOME, "4", FoulKind.TECHNICAL))
    first = waiting(running, "shots_and_ball")
    running.take(Foul(GUEST, "14", FoulKind.TECHNICAL))
    assert is_done(running, first)
    assert [(n.kind, n.slots["team"]) for n in running.notices if "shots" in n.kind] == [
        ("shots_owed", GUEST),
        ("shots_and_ball", HOME),
    ]
    last = waiting(running, "shots_and_ball")
    running.take(Shot(True, GUEST), Shot(True, GUEST))
    assert not is_done(running, last)
    running.take(Shot(True, HOME))
    assert is_done(running, last)


def test_a_second_penalty_of_one_team_takes_no_ball_away(running: Play) -> None:
    running.stop().take(Foul(HOME, "4", FoulKind.TECHNICAL), Foul(HOME, "5", FoulKind.TECHNICAL))
    assert [n.kind for n in running.notices if "shots" in n.kind] == ["shots_and_ball"]


# --- the clock, time-outs and substitutes ---------------------------------------------------------


@pytest.mark.parametrize("then", [Score(GUEST, 2), Foul(GUEST), Timeout(GUEST), EndPeriod()])
def test_a_basket_stops_the_clock_until_it_stands_or_play_went_on(then: Call) -> None:
    # FIBA 50.2: in the last two minutes of the fourth quarter.
    play = Play(load_profile("fiba-2024")).to_left(4, 100).take(Score(HOME, 2))
    waits = waiting(play, "clock_stops")
    play.take(Number("5"))
    assert not is_done(play, waits)
    play.take(then)
    assert is_done(play, waits)


@pytest.mark.parametrize("then", [Timeout(HOME), TimeoutWithdrawn(HOME)])
def test_a_time_out_is_waited_for_until_granted_or_withdrawn(running: Play, then: Call) -> None:
    running.stop().take(TimeoutWaiting(HOME))
    waits = waiting(running, "timeout_due")
    running.take(then)
    assert is_done(running, waits)


def test_a_time_out_is_waited_for_no_more_once_the_ball_is_live(running: Play) -> None:
    running.stop().take(TimeoutWaiting(HOME))
    waits = waiting(running, "timeout_due")
    assert is_done(running.start(), waits)
    running.stop()
    assert "timeout_due" in running.said()


@pytest.mark.parametrize("then", [SubsIn(), EndPeriod()])
@pytest.mark.parametrize("team", [HOME, None])
def test_a_substitute_is_waited_for_until_in_or_the_period_is_over(
    running: Play, team: Team | None, then: Call
) -> None:
    running.stop().take(SubWaiting(team))
    waits = waiting(running, "sub_due")
    running.take(then)
    assert is_done(running, waits)


def test_no_horn_is_for_a_substitute_until_the_clock_has_run_in_the_period(running: Play) -> None:
    running.take(SubWaiting(HOME), EndPeriod())
    assert "sub_due" not in running.said()
    running.take(SubWaiting(GUEST))
    assert "sub_due" not in running.said()
    running.take(StartPeriod())
    assert "sub_due" not in running.said()
    running.start().stop()
    assert running.said().count("sub_due") == 2


def test_without_a_clock_a_substitute_s_horn_waits_for_none() -> None:
    play = Play(load_profile("nfhs-2026"), Owner.NONE).take(StartPeriod(), SubWaiting(HOME))
    assert "sub_due" in play.said()
