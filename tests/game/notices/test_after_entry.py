"""What becomes due after an entry: ranks, rules, and when it is said."""

from __future__ import annotations

from dataclasses import replace

import pytest

from callout.game.calls import (
    AddPlayer,
    Call,
    ChangeShirt,
    DoubleFoul,
    EndGame,
    EndPeriod,
    Foul,
    MakeNumber,
    MakeTeam,
    Mark,
    Number,
    PutBack,
    Score,
    SendOff,
    SetAward,
    Shot,
    StartPeriod,
    StopClock,
    Substitution,
    SubWaiting,
    Timeout,
    TimeoutWaiting,
    Undo,
)
from callout.game.choices import Why
from callout.game.kind import Rank
from callout.game.profile.file import load_profile
from callout.game.state import Owner
from callout.game.terms import Award, FoulKind, Offender
from tests.game.play import GUEST, HOME, Play

T = FoulKind.TECHNICAL


def fouls(play: Play, number: str, times: int) -> Play:
    return play.take(*[Foul(GUEST, number)] * times)


# --- players out ------------------------------------------------------------


def test_the_fifth_foul_must_be_told(running: Play) -> None:
    # NFHS 2-11-5.
    fouls(running, "14", 4)
    assert "player_out" not in running.said()
    fouls(running, "14", 1)
    out = running.told("player_out")
    assert (out.rank, out.rule) == (Rank.ACT, "NFHS 2-11-5")
    assert out.slots == {"team": GUEST, "number": "14", "nth": 5, "why": None, "replace_s": 15}
    fouls(running, "14", 1)
    assert "player_out" not in running.said()


def test_the_second_technical_puts_out_without_a_count(running: Play) -> None:
    # NFHS 2-11-5.
    running.take(Foul(GUEST, "14", T), Foul(GUEST, "14", T))
    assert running.told("player_out").slots == {
        "team": GUEST,
        "number": "14",
        "nth": None,
        "why": Why.TWO_TECHNICALS,
        "replace_s": 15,
    }


U, D = FoulKind.UNSPORTSMANLIKE, FoulKind.DISQUALIFYING


@pytest.mark.parametrize(
    ("first", "last", "why"),
    [
        (T, T, Why.TWO_TECHNICALS),
        (T, U, Why.BOTH),
        (U, U, Why.TWO_UNSPORTSMANLIKE),
        (FoulKind.PERSONAL, D, Why.AT_ONCE),
    ],
)
def test_a_fifth_foul_that_ejects_is_told_as_both(
    first: FoulKind, last: FoulKind, why: Why
) -> None:
    # FIBA 40 for five fouls; 36.2.3, 37.2.3 and 38 (the last from memory) for who is disqualified.
    play = fouls(Play(load_profile("fiba-2024")).start().take(Foul(GUEST, "14", first)), "14", 3)
    assert "player_out" not in play.said()
    out = play.take(Foul(GUEST, "14", last)).told("player_out")
    assert (out.slots["nth"], out.slots["why"]) == (5, why)
    assert out.rule == play.game.profile.fouls.ejections_rule


def test_who_is_out_by_fouls_and_is_ejected_then_is_told_again() -> None:
    # FIBA interpretation 36-21: a D on the way off, beside the fifth box.
    play = fouls(Play(load_profile("fiba-2024")).start(), "14", 5)
    out = play.take(Foul(GUEST, "14", D)).told("player_out")
    assert (out.slots["nth"], out.slots["why"]) == (None, Why.AT_ONCE)


def test_a_coach_who_is_not_out_after_all_may_stay() -> None:
    # FIBA 36.2.4: two technicals of his own; one of them was a slip, or the bench's.
    technical = Foul(GUEST, None, T, Offender.COACH)
    play = Play(load_profile("fiba-2024")).start().take(technical, technical)
    assert "coach_out" in play.said()
    play.take(Undo())
    told = play.told("coach_may_stay")
    assert (told.slots, told.rule) == ({"team": GUEST}, play.game.profile.fouls.coach_rule)
    assert "coach_may_stay" not in play.take(Undo()).said()


def test_a_number_given_late_puts_out_too(running: Play) -> None:
    fouls(running, "14", 4).take(Foul(GUEST))
    assert "player_out" not in running.said()
    running.take(Number("14"))
    assert running.told("player_out")


def test_who_is_out_stays_out_in_another_shirt(running: Play) -> None:
    # NFHS 4-14-1, 3-4-3: five fouls are the player's, whatever number he wears.
    running.take(*[Foul(HOME, "5")] * 5, SendOff(HOME, "10"))
    for call in (
        ChangeShirt(HOME, "5", "13"), Undo(), PutBack(), ChangeShirt(HOME, "13", "30"),
        ChangeShirt(HOME, "10", "14"), Undo(),
    ):  # fmt: skip
        assert {"player_out", "may_play"}.isdisjoint(running.take(call).said()), call
    # A foul that was called for the new shirt is his, too: this is news.
    running.take(*[Foul(GUEST, "3")] * 4, Foul(GUEST, "99"))
    assert running.take(ChangeShirt(GUEST, "3", "99")).told("player_out").slots["number"] == "99"
    assert running.take(Undo()).told("may_play").slots["number"] == "99"


def test_a_double_foul_may_put_two_out(running: Play) -> None:
    fouls(running, "14", 4).take(*[Foul(HOME, "5")] * 4, DoubleFoul("5", "14"))
    assert running.said().count("player_out") == 2


@pytest.mark.parametrize(
    "call",
    [
        Foul(GUEST, "14"),
        Score(GUEST, 2, "14"),
        Shot(True, GUEST, "14"),
        Substitution(GUEST, "14", "3"),
    ],
    ids=lambda call: type(call).__name__,
)
def test_whoever_is_out_and_plays_is_told_and_booked(running: Play, call: Call) -> None:
    # NFHS case 10.6.3: play goes on until it is noticed; what he does stands.
    fouls(running, "14", 5).take(call)
    found = running.told("plays_though_out")
    assert (found.rank, found.slots) == (Rank.TELL, {"team": GUEST, "number": "14"})


def test_a_basket_given_to_someone_out_is_told(running: Play) -> None:
    fouls(running, "14", 5).take(Score(GUEST, 2), Number("14"))
    assert running.told("plays_though_out")
    running.take(Score(GUEST, 2, "15"), MakeNumber("3"))
    assert "plays_though_out" not in running.said()


def test_the_player_who_comes_for_one_out_is_not_told(running: Play) -> None:
    fouls(running, "14", 5).take(Substitution(GUEST, "3", "14"))
    assert running.said() == ["substituted"]


# --- throws ------------------------------------------------------------


def test_throws_are_announced_when_they_come_change_or_are_signalled_again(running: Play) -> None:
    running.take(Foul(GUEST, "14", award=Award.TWO))
    shots = running.told("shots_owed")
    assert (shots.rank, shots.slots) == (Rank.ACT, {"team": HOME, "award": Award.TWO})
    running.take(SetAward(Award.THREE))
    assert running.told("shots_owed").slots["award"] is Award.THREE
    running.take(SetAward(Award.THREE))
    assert running.told("shots_owed")
    running.take(Shot(True, HOME, "4"))
    assert "shots_owed" not in running.said()


def test_a_throw_taken_back_does_not_announce_the_whole_award_again(running: Play) -> None:
    running.take(Foul(GUEST, "14", award=Award.TWO), Shot(True, HOME, "4"), Shot(True), Undo())
    assert running.said() == ["undone_throw"]
    running.take(Undo(), Undo(), PutBack())
    assert running.told("shots_owed")


def test_what_must_be_done_comes_in_its_order(running: Play) -> None:
    # Player out, then throws, then time-out and substitute; the echo last.
    fouls(running.stop(), "14", 4).start().take(TimeoutWaiting(HOME), SubWaiting(GUEST))
    # One shot: substitutes come before the last one (NFHS 3-3-1). The clock is the gym's here, so
    # a whistle is all that is known of its stopping.
    running.game = replace(running.game, owner=Owner.FOLLOW)
    running.take(Foul(GUEST, "14", award=Award.ONE))
    assert running.said() == ["player_out", "shots_owed", "timeout_due", "sub_due", "foul"]
    ranks = [notice.rank for notice in running.notices]
    assert ranks == [Rank.ACT] * 4 + [Rank.ECHO]


# --- time-outs and substitutes waiting -----------------------------------------------------------


def test_who_waits_is_announced_at_the_next_dead_ball_and_once(running: Play) -> None:
    # NFHS 3-3-1: the horn when the ball is dead and the clock stopped.
    running.take(TimeoutWaiting(HOME), SubWaiting(GUEST), SubWaiting(GUEST), SubWaiting())
    assert running.said() == ["sub_reported"]
    running.stop()
    assert running.said() == ["timeout_due", "sub_due", "sub_due", "clock_stopped"]
    assert running.notices[1].rule == "NFHS 3-3-1"
    running.take(Mark())
    assert running.said() == ["marked"]


def test_who_comes_while_the_ball_is_dead_has_the_chance_at_once(running: Play) -> None:
    running.stop().take(TimeoutWaiting(HOME), SubWaiting(HOME))
    assert running.said() == ["sub_due", "sub_reported"]


def test_after_the_game_nobody_has_a_chance(running: Play) -> None:
    running.take(SubWaiting(HOME), TimeoutWaiting(HOME), EndGame())
    assert {"timeout_due", "sub_due"}.isdisjoint(running.said())


# --- bonus ------------------------------------------------------------


def test_the_bonus_is_told_with_the_fourth_foul_of_the_quarter(running: Play) -> None:
    # NFHS 4-8-1 since 2023-24: the fifth brings throws.
    for number in ("3", "5", "8"):
        running.take(Foul(GUEST, number))
        assert "bonus" not in running.said()
    running.take(Foul(GUEST, "14"))
    bonus = running.told("bonus")
    assert (bonus.rank, bonus.rule) == (Rank.TELL, "NFHS 4-8-1")
    assert bonus.slots == {"team": GUEST, "receiver": HOME, "fouls": 4, "award": Award.TWO}
    running.take(Foul(GUEST, "15"))
    assert "bonus" not in running.said()


def test_the_bonus_of_a_period_is_not_told_anew_as_the_next_ones_start_is_undone(
    running: Play,
) -> None:
    """NFHS 4-8-1: the fouls of a quarter; they were told as they were called."""
    running.take(*[Foul(GUEST, "14")] * 4, StartPeriod())
    assert "bonus" not in running.take(Undo()).said()


def test_each_step_of_the_younger_leagues_bonus_is_told(youth: Play) -> None:
    # Common practice: one-and-one from the seventh, two from the tenth.
    told = []
    for nth in range(1, 12):
        youth.take(Foul(GUEST))
        if "bonus" in youth.said():
            told.append((nth, youth.told("bonus").slots["award"]))
    assert told == [(6, Award.ONE_AND_ONE), (9, Award.TWO)]


def test_that_the_ball_follows_the_throws_is_told_before_the_tenth() -> None:
    # 3x3 rules: two throws from the seventh team foul, the ball as well from the tenth.
    play, told = Play(load_profile("fiba-3x3")).start(), []
    for nth in range(1, 12):
        play.take(Foul(GUEST, "14"))
        told += [(nth, kind) for kind in play.said() if kind in ("bonus", "bonus_and_ball")]
    assert told == [(6, "bonus"), (9, "bonus_and_ball")]


def test_that_the_ball_does_not_follow_after_all_is_told() -> None:
    # 3x3 rules: the ball follows the throws from the tenth team foul, so the ninth tells of it.
    play = fouls(Play(load_profile("fiba-3x3")).start(), "14", 9).take(Undo())
    slots = play.told("no_ball").slots
    assert slots == {"team": GUEST, "receiver": HOME, "fouls": 8}
    assert "no_ball" not in play.take(Undo()).said(), "it was told"
    fouls(play, "14", 3)
    assert "no_ball" not in play.take(Undo()).said(), "nine are left, and the next brings it still"
    # Two fouls fewer at once, by a foul that counts as two.
    play = fouls(Play(load_profile("fiba-3x3")).start(), "14", 7)
    assert play.take(Foul(GUEST, "14", FoulKind.UNSPORTSMANLIKE)).told("bonus_and_ball")
    play.take(MakeTeam(HOME))
    assert play.told("no_ball").slots["fouls"] == 7


def test_a_coachs_technical_may_reach_the_bonus(running: Play) -> None:
    # NFHS 4-19-13 (read in an online copy).
    fouls(running, "14", 3).take(Foul(GUEST, foul=T, on=Offender.COACH))
    assert running.told("bonus")


def test_a_foul_moved_to_the_other_team_may_reach_it(running: Play) -> None:
    running.take(*[Foul(HOME, "5")] * 3, Foul(GUEST, "5"), MakeTeam(HOME))
    assert running.told("bonus").slots["team"] is HOME


# --- against the rules ------------------------------------------------------------


def test_the_last_time_out_is_told_and_one_too_many(running: Play) -> None:
    # NFHS 2-11-6: the coach is told when the last is used; 5-11: an excess one is granted.
    running.take(*[Timeout(HOME)] * 4)
    assert "timeout_last" not in running.said()
    running.take(Timeout(HOME))
    last = running.told("timeout_last")
    assert (last.rank, last.slots, last.rule) == (Rank.TELL, {"team": HOME}, "NFHS 5-11")
    running.take(Timeout(HOME))
    assert running.told("timeout_excess").rank is Rank.TELL


def test_a_name_added_in_the_game_is_late(play: Play) -> None:
    # NFHS 3-2: names added after the list is due bring a team technical.
    play.take(AddPlayer(HOME, "30"))
    assert play.said() == ["player_added"]
    play.start().take(AddPlayer(HOME, "31"))
    late = play.told("roster_late")
    assert (late.rank, late.rule) == (Rank.TELL, "NFHS 3-2")


def test_a_number_that_no_player_may_wear_is_told(play: Play) -> None:
    # NFHS 3-4: digits up to five only.
    play.take(AddPlayer(HOME, "66"))
    assert play.told("number_illegal").slots == {"team": HOME, "number": "66"}


def test_an_overtime_needs_a_level_score(running: Play) -> None:
    running.take(Score(HOME, 2)).to_period(4).take(EndPeriod(), StartPeriod())
    assert running.told("not_level").slots == {"home": 2, "guest": 0}


def test_a_level_overtime_says_nothing(running: Play) -> None:
    running.to_period(4).take(EndPeriod(), StartPeriod())
    assert running.said() == ["period_started"]


def test_a_shirt_that_the_code_forbids_is_told_of_once(running: Play) -> None:
    """Source: NFHS 3.4.3B, a player with the number 7 on court: no digit may be above 5."""
    running.take(Score(HOME, 2, "66"))
    told = running.told("number_illegal")
    assert told.slots == {"team": HOME, "number": "66"}
    for call in (Foul(HOME, "66"), Score(HOME, 2), Score(HOME, 2, "7"), Score(HOME, 2, "55")):
        running.take(call)
        assert "number_illegal" not in running.said(), call
    running.take(Foul(GUEST, "66"))
    assert "number_illegal" in running.said()


def test_where_no_list_was_given_a_forbidden_shirt_is_booked_and_told_of_once() -> None:
    play = Play(load_profile("nfhs-2026"), home=(), guest=()).start()
    play.take(Foul(HOME, "7"))
    assert play.told("number_illegal").slots == {"team": HOME, "number": "7"}
    assert play.game.charges[-1].number == "7"
    play.take(Score(HOME, 2, "7"))
    assert "number_illegal" not in play.said()


# --- time-outs by the clock as it is now ----------------------------------------------------


def test_an_unused_time_out_is_lost_at_two_minutes_and_not_as_the_quarter_begins() -> None:
    # FIBA 18.2: in the fourth quarter's last two minutes no more than two.
    play = Play(load_profile("fiba-2024")).to_period(4)
    assert "timeout_struck" not in play.said()
    play.wait(485).take(StopClock())
    # One sentence for both teams, which have as many left.
    assert play.told("timeouts_struck").slots == {"left": 2}


def test_of_two_teams_only_one_of_which_has_used_any_one_loses_a_time_out() -> None:
    # FIBA 18.2: whoever has used one by then has two left anyway.
    play = Play(load_profile("fiba-2024")).to_period(4).take(Timeout(HOME)).start()
    play.wait(485).take(StopClock())
    assert play.told("timeout_struck").slots == {"team": GUEST, "left": 2}
    assert "timeouts_struck" not in play.said()


def test_a_time_out_taken_back_in_the_last_two_minutes_leaves_one_number() -> None:
    # FIBA 18.2 and interpretation 18/19-21: what was left unused is lost, on a running clock too.
    play = Play(load_profile("fiba-2024")).to_left(4, 125).take(Timeout(HOME))
    play.start().wait(10).take(Undo())
    left = {
        n.slots["left"] for n in play.notices if n.slots.get("team") is HOME and "left" in n.slots
    }
    assert len(left) == 1


def test_no_time_out_is_due_or_lost_as_the_last_quarter_is_ended() -> None:
    # NBA 5-VI: a mandatory time-out is taken at a stop within the quarter.
    play = Play(load_profile("nba-2026")).to_period(1).take(EndPeriod())
    assert "timeout_mandatory" not in play.said()
    play.to_period(4).take(EndGame())
    assert "timeout_struck" not in play.said()


def test_a_time_out_more_than_there_were_leaves_none() -> None:
    # NFHS 5-11: three full ones and two of thirty seconds.
    play = Play(load_profile("nfhs-2026")).start().take(*[Timeout(HOME)] * 6)
    assert play.told("timeout").slots["left"] == 0
    play.take(Timeout(HOME), Undo())
    assert play.told("undone_timeout").slots["left"] == 0
