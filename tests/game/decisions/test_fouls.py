"""Fouls, and the free throws they bring."""

from __future__ import annotations

from dataclasses import replace

import pytest

from callout.game.calls import (
    DeadBall,
    DoubleFoul,
    EndPeriod,
    Foul,
    Score,
    SetAward,
    Shot,
    StartPeriod,
)
from callout.game.events import BallDead, FoulCharged, ThrowsAwarded
from callout.game.figures.fouls import penalty, player_fouls, team_fouls
from callout.game.figures.score import owed_to
from callout.game.profile.file import load_profile
from callout.game.profile.profile import Profile
from callout.game.state import Owner
from callout.game.terms import Award, FoulKind, Offender
from tests.game.play import GUEST, HOME, Play

P = FoulKind.PERSONAL


def test_a_common_foul_brings_no_throws_before_the_bonus(running: Play) -> None:
    running.stop().take(Foul(GUEST, "14"))
    assert running.entries[-1].events == (
        FoulCharged(30, GUEST, "14", P, Offender.PLAYER, 1, 4800),
    )
    assert running.game.owed == ()


def test_the_whistle_makes_the_ball_dead_while_the_clock_runs(running: Play) -> None:
    running.take(Foul(GUEST, "14"))
    assert running.entries[-1].events[0] == BallDead()
    running.take(Foul(GUEST, "14"))
    assert BallDead() not in running.entries[-1].events


def test_a_number_that_is_not_on_the_list_stays_open(running: Play) -> None:
    running.stop().take(Foul(GUEST, "11"))
    charge = running.entries[-1].events[0]
    assert charge == FoulCharged(30, GUEST, None, P, Offender.PLAYER, 1, 4800, said="11")
    assert team_fouls(running.game, GUEST) == 1


def test_the_benchs_number_is_never_open(running: Play) -> None:
    running.stop().take(Foul(GUEST, "11", FoulKind.TECHNICAL, Offender.BENCH))
    charge = running.entries[-1].events[0]
    assert isinstance(charge, FoulCharged)
    assert (charge.number, charge.said) == (None, None)


def test_from_the_fifth_team_foul_of_a_quarter_two_throws(running: Play) -> None:
    # NFHS 4-8-1 since 2023-24: the fifth of each quarter, two throws, no one-and-one.
    for number in ("3", "5", "8", "14"):
        running.take(Foul(GUEST, number))
        assert running.game.owed == ()
    assert penalty(running.game, GUEST, None, running.at().left_tenths) is Award.TWO
    running.take(Foul(GUEST, "15"))
    assert running.entries[-1].events[-1] == ThrowsAwarded(60, HOME, Award.TWO)


def test_team_fouls_begin_anew_with_each_quarter(running: Play) -> None:
    # NFHS 4-8-1 since 2023-24: reset each quarter.
    for number in ("3", "5", "8", "14"):
        running.take(Foul(GUEST, number))
    running.to_period(2).take(Foul(GUEST, "15"))
    assert running.game.owed == ()


def test_overtime_goes_on_with_the_fourth_quarters_fouls(running: Play) -> None:
    # NFHS 5-7-3: extra periods extend the fourth quarter, so count and bonus carry on.
    running.to_period(4)
    for number in ("3", "5", "8", "14"):
        running.take(Foul(GUEST, number))
    running.to_period(5).take(Foul(GUEST, "15"))
    assert owed_to(running.game, HOME) is not None


def test_one_and_one_from_the_seventh_and_two_from_the_tenth_of_a_half(youth: Play) -> None:
    # The bonus of the rule book up to 2022-23, kept by younger leagues: association pages.
    brought = []
    for nth in range(1, 12):
        youth.take(Foul(GUEST))
        brought.append(youth.game.owed[-1].award if youth.game.owed else Award.NONE)
        if nth == 5:
            youth.to_period(2)
    one_and_one, two = Award.ONE_AND_ONE, Award.TWO
    assert brought == [Award.NONE] * 6 + [one_and_one] * 3 + [two] * 2


def test_the_second_half_begins_without_fouls_and_runs_into_overtime(youth: Play) -> None:
    # From memory: with the bonus counted by halves the second half runs into overtime.
    for _ in range(6):
        youth.take(Foul(GUEST))
    youth.to_period(3)
    assert team_fouls(youth.game, GUEST) == 0
    for _ in range(6):
        youth.take(Foul(GUEST))
    youth.to_period(5).take(Foul(GUEST))
    assert youth.game.owed[-1].award is Award.ONE_AND_ONE


def test_a_foul_by_the_team_in_control_brings_no_throws(running: Play) -> None:
    # FIBA 41.2.2, NFHS scorer's instructions: player and team foul, never free throws.
    for _ in range(5):
        running.take(Foul(GUEST, "14", FoulKind.OFFENSIVE))
    assert running.game.owed == ()
    assert team_fouls(running.game, GUEST) == 5
    assert player_fouls(running.game, GUEST, "14") == 5


@pytest.mark.parametrize("kind", [FoulKind.TECHNICAL, FoulKind.INTENTIONAL, FoulKind.FLAGRANT])
def test_technical_intentional_and_flagrant_bring_two(running: Play, kind: FoulKind) -> None:
    # From memory, NFHS 10: two throws each.
    running.take(Foul(GUEST, "14", kind))
    assert running.game.owed[-1].award is Award.TWO


def test_what_the_official_signals_counts(running: Play) -> None:
    running.take(Foul(GUEST, "14", award=Award.THREE))
    assert running.game.owed[-1].award is Award.THREE
    running.take(Foul(GUEST, "14", FoulKind.TECHNICAL, award=Award.NONE))
    assert len(running.game.owed) == 1


def test_a_foul_that_the_league_does_not_know_is_refused(running: Play) -> None:
    assert running.refusal(Foul(GUEST, "14", FoulKind.UNSPORTSMANLIKE)) == "foul_unknown"


def test_bench_technicals_count_as_team_fouls(running: Play) -> None:
    # NFHS 4-19-13 (read in an online copy): all technicals but indirect ones.
    running.take(Foul(HOME, foul=FoulKind.TECHNICAL, on=Offender.COACH))
    assert team_fouls(running.game, HOME) == 1


def test_a_foul_in_an_interval_counts_in_the_next_period(running: Play) -> None:
    # FIBA 41.1.3 and case 8-2; for the high school rules from memory.
    running.take(EndPeriod(), Foul(HOME, "5", FoulKind.TECHNICAL))
    assert running.game.charges[-1].period == 2
    running.take(StartPeriod())
    assert team_fouls(running.game, HOME) == 1


def test_unless_it_came_before_the_horn(running: Play) -> None:
    running.take(EndPeriod(), Foul(HOME, "5", before_horn=True))
    assert running.game.charges[-1].period == 1


def test_a_double_foul_is_one_on_each_and_brings_no_throws(running: Play) -> None:
    # FIBA 35-3, here the fifth team foul: no free throws.
    for _ in range(4):
        running.take(Foul(GUEST, "14"), Foul(HOME, "5"))
    running.take(DoubleFoul("10", "99"))
    home, guest = running.game.charges[-2:]
    assert (home.team, home.number, home.double) == (HOME, "10", True)
    assert (guest.team, guest.number, guest.double) == (GUEST, None, True)
    assert (team_fouls(running.game, HOME), team_fouls(running.game, GUEST)) == (5, 5)
    assert running.game.owed == ()
    assert home.item != guest.item


def test_two_technical_fouls_at_once_bring_no_throws(running: Play) -> None:
    # NFHS ruling 3.4.3C: no free throws, and a team foul of each.
    running.take(DoubleFoul("10", "14", FoulKind.TECHNICAL))
    assert {each.foul for each in running.game.charges} == {FoulKind.TECHNICAL}
    assert (team_fouls(running.game, HOME), team_fouls(running.game, GUEST)) == (1, 1)
    assert running.game.owed == ()
    # 3x3 has no foul of a minor kind.
    call = DoubleFoul("10", "14", FoulKind.CLASS_B)
    assert Play(load_profile("fiba-3x3")).start().refusal(call) == "foul_unknown"


def test_a_double_foul_in_an_interval_has_the_next_periods_time() -> None:
    # FIBA 41.1.3: it counts in the period that follows, and so from its beginning.
    fiba = Play(load_profile("fiba-2022")).start().take(EndPeriod(), DoubleFoul("10", "14"))
    assert {(each.period, each.left_tenths) for each in fiba.game.charges} == {(2, 6000)}


def test_a_double_foul_makes_the_ball_dead_once(running: Play) -> None:
    running.take(DeadBall(), DoubleFoul("10", "14"))
    assert all(isinstance(event, FoulCharged) for event in running.entries[-1].events)


def test_the_newest_foul_gets_the_throws_signalled(running: Play) -> None:
    running.take(Foul(HOME, "5"), Foul(GUEST, "14"), SetAward(Award.THREE))
    assert running.entries[-1].events == (ThrowsAwarded(30, HOME, Award.THREE),)
    running.take(Shot(True), SetAward(Award.TWO))
    assert running.game.owed[-1].left == 1
    running.take(SetAward(Award.NONE))
    assert running.game.owed == ()


def test_throws_need_a_foul(running: Play) -> None:
    assert running.refusal(SetAward(Award.TWO)) == "no_foul"


def test_every_kind_a_league_knows_is_booked(profile: Profile) -> None:
    for kind in profile.fouls.kinds:
        play = Play(profile).start().take(Foul(HOME, "5", kind))
        assert play.game.charges[-1].foul is kind


# --- equal penalties -----------------------------------------------------------------------------

TECHNICALS = Foul(GUEST, "14", FoulKind.TECHNICAL), Foul(HOME, "5", FoulKind.TECHNICAL)
UNSPORTSMANLIKE = tuple(replace(foul, foul=FoulKind.UNSPORTSMANLIKE) for foul in TECHNICALS)


def fiba(owner: Owner = Owner.OURS) -> Play:
    """A game under FIBA's rules, twenty seconds old where its clock is kept."""
    play = Play(load_profile("fiba-2024"), owner)
    return play.take(StartPeriod()) if owner is Owner.NONE else play.start().wait(20)


@pytest.mark.parametrize("fouls", [TECHNICALS, UNSPORTSMANLIKE])
def test_equal_penalties_in_one_stop_cancel(fouls: tuple[Foul, Foul]) -> None:
    # FIBA 42.1, 42.2.3; interpretation 35-2 for two technicals.
    play = fiba().take(fouls[0]).wait(4).stop().wait(60).take(fouls[1])
    assert play.told("penalties_cancel")
    assert play.game.owed == ()


@pytest.mark.parametrize("fouls", [TECHNICALS, UNSPORTSMANLIKE])
@pytest.mark.parametrize("between", ["clock", "running", "goal"])
def test_equal_penalties_of_two_stops_do_not(fouls: tuple[Foul, Foul], between: str) -> None:
    # FIBA 42.1: only those of the same stopped-clock period are compared.
    play = fiba().take(fouls[0])
    if between == "clock":
        play.stop().start().wait(1).stop()
    elif between == "running":
        play.wait(60)
    else:
        play.stop().take(Score(GUEST, 2, "15"))
    play.take(fouls[1])
    assert play.told("shots_owed" if fouls is TECHNICALS else "shots_and_ball")
    assert [owed.foul for owed in play.game.owed if owed.team is GUEST]


def test_the_goal_that_counts_with_the_first_foul_is_no_live_ball() -> None:
    # FIBA interpretation 42-5, the goal called after the foul; another goal is one.
    play = fiba().stop().take(Foul(GUEST, "14", award=Award.ONE), Score(HOME, 2, "4"))
    assert play.take(TECHNICALS[1]).told("penalties_cancel")
    play = fiba().stop().take(Foul(GUEST, "14", award=Award.ONE), Score(HOME, 2, "4"))
    assert len(play.take(Score(GUEST, 2), TECHNICALS[1]).game.owed) == 2


def test_without_a_clock_goals_and_periods_part_two_penalties() -> None:
    # FIBA 42.1 where no clock is kept: what else shows that the ball was live.
    play = fiba(Owner.NONE).take(TECHNICALS[0], Score(HOME, 2), Score(GUEST, 2), TECHNICALS[1])
    assert len(play.game.owed) == 2
    play = fiba(Owner.NONE).take(TECHNICALS[0], EndPeriod(), StartPeriod(), TECHNICALS[1])
    assert len(play.game.owed) == 2
    assert fiba(Owner.NONE).take(*TECHNICALS).game.owed == ()


def test_a_foul_at_the_horn_and_one_in_the_interval_are_of_one_stop() -> None:
    # FIBA 42.1: the clock has not run in between.
    play = fiba().take(UNSPORTSMANLIKE[0], EndPeriod(), UNSPORTSMANLIKE[1])
    assert play.told("penalties_cancel")


def test_throws_for_the_team_that_fouled_are_those_of_no_foul(running: Play) -> None:
    running.take(Foul(HOME, "5"))
    assert running.refusal(SetAward(Award.TWO, HOME)) == "shots_of_other"
    running.take(SetAward(Award.TWO, GUEST))
    (owed,) = running.game.owed
    assert (owed.team, owed.award) == (GUEST, Award.TWO)
