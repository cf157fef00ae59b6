"""What is said back for each event, with its values."""

from __future__ import annotations

from dataclasses import replace

import pytest

from callout.game import calls, events
from callout.game.calls import (
    AdjustClock,
    Call,
    CheckClock,
    DeadBall,
    EndPeriod,
    Foul,
    HeldBall,
    LastNumber,
    MakeNumber,
    MakePoints,
    MakeTeam,
    Mark,
    NoBasket,
    Number,
    OfficialTimeout,
    PutBack,
    Reminder,
    Score,
    SetArrow,
    SetAward,
    SetScore,
    Shot,
    StartClock,
    StartPeriod,
    SubsIn,
    Substitution,
    SubWaiting,
    SwitchArrow,
    Timeout,
    TimeoutOver,
    TimeoutWaiting,
    Tip,
    Undo,
)
from callout.game.choices import Opening
from callout.game.due import due
from callout.game.events import BasketCancelled, NumberGiven, PointsChanged, TakenBack
from callout.game.figures.score import period_slots
from callout.game.kind import Rank
from callout.game.notices.after_entry import Notice
from callout.game.notices.echoes import ECHOES
from callout.game.profile.file import load_profile
from callout.game.state import Game, Owner
from callout.game.terms import Award, FoulKind, Moment, Offender
from tests.game.play import GUEST, HOME, Play


def echo(play: Play, *taken: Call) -> Notice:
    """The one echo of the last of these calls, beside that something was changed."""
    play.take(*taken)
    found = [n for n in play.notices if n.rank is Rank.ECHO and n.kind != "changed"]
    assert len(found) == 1, found
    return found[0]


# --- score ------------------------------------------------------------


def test_a_goal_with_the_score_homes_first(running: Play) -> None:
    running.take(Score(GUEST, 3, "14"))
    said = echo(running, Score(HOME, 2, "5"))
    slots = {"team": HOME, "points": 2, "number": "5", "home": 2, "guest": 3}
    assert (said.kind, said.slots) == ("goal", slots)


def test_a_goal_whose_number_is_not_on_the_list(running: Play) -> None:
    said = echo(running, Score(HOME, 2, "33"))
    assert (said.kind, said.slots["said"]) == ("goal_open", "33")


def test_a_goal_completed_is_said_whole(running: Play) -> None:
    said = echo(running, Score(HOME, 2), Number("5"))
    assert (said.kind, said.slots["number"]) == ("goal", "5")


def test_an_own_basket_with_its_rule(running: Play) -> None:
    said = echo(running, Score(GUEST, 2, own_basket=True))
    assert (said.kind, said.rule) == ("own_basket", "NFHS scorer's instructions")


def test_a_goal_that_counts_otherwise_now(running: Play) -> None:
    assert echo(running, Score(HOME, 2, "5"), MakePoints(3)).slots["points"] == 3


def test_a_basket_taken_off(running: Play) -> None:
    said = echo(running, Score(HOME, 2, "5"), NoBasket())
    assert said.kind == "basket_off"
    assert said.slots == {"team": HOME, "points": 2, "number": "5", "home": 0, "guest": 0}


def test_a_basket_that_is_no_longer_there_has_no_echo(running: Play) -> None:
    running.book(NoBasket(), (BasketCancelled(990),))
    assert running.said() == ["misfit"]


def test_a_score_set(running: Play) -> None:
    said = echo(running, Score(HOME, 2), SetScore(HOME, 7))
    assert said.slots == {"team": HOME, "points": 7, "home": 7, "guest": 0}


@pytest.mark.parametrize(
    ("foul", "made", "kinds"),
    [
        (Foul(GUEST, "14", award=Award.TWO), (True, True), ["throw_made_more", "throw_made"]),
        (Foul(GUEST, "14", award=Award.TWO), (False, False), ["throw_missed", "throw_missed_live"]),
        (Foul(GUEST, "14", award=Award.ONE_AND_ONE), (False,), ["throw_missed_live"]),
        # From memory, NFHS 10: after a technical the ball is dead whether the last is made or not.
        (
            Foul(GUEST, "14", FoulKind.TECHNICAL),
            (False, False),
            ["throw_missed", "throw_missed_dead"],
        ),
        (Foul(GUEST, "14", award=Award.NONE), (False,), ["throw_missed_dead"]),
    ],
)
def test_throws(running: Play, foul: Foul, made: tuple[bool, ...], kinds: list[str]) -> None:
    running.wait(20).stop().take(foul)
    assert [echo(running, Shot(each, HOME, "4")).kind for each in made] == kinds


def test_how_many_more_throws(running: Play) -> None:
    running.wait(20).stop().take(Foul(GUEST, "14", award=Award.THREE))
    more = [echo(running, Shot(True, HOME, "4")).slots["more"] for _ in range(3)]
    assert more == [2, 1, None]


def test_a_missed_last_throw_is_dead_where_another_award_waits(running: Play) -> None:
    # FIBA case 35-8: a personal and an unsportsmanlike foul at the same moment.
    running.wait(20).stop().take(
        Foul(GUEST, "14", award=Award.ONE), Foul(GUEST, "15", award=Award.TWO)
    )
    said = echo(running, Shot(False, HOME, "4"))
    assert said.kind == "throw_missed_dead"
    assert running.game.ball_dead


def test_a_throw_for_a_foul_that_was_taken_back_is_dead(running: Play) -> None:
    running.stop().take(Foul(GUEST, "14", award=Award.TWO))
    gone = replace(running.game, charges=())
    running.game = gone
    running.take(Shot(False, HOME, "4"), Shot(False, HOME, "4"))
    assert running.said() == ["throw_missed_dead"]


# --- fouls ------------------------------------------------------------


def test_a_foul_with_its_counts(running: Play) -> None:
    running.stop().take(Foul(GUEST, "3"))
    said = echo(running, Foul(GUEST, "14"))
    assert said.slots == {
        "team": GUEST, "number": "14", "foul": None, "on": None, "nth": 1, "fouls": 2,
    }  # fmt: skip


def test_a_kind_that_is_no_player_foul_has_no_ordinal() -> None:
    # NBA, from memory: a technical counts towards no limit of personal fouls.
    play = Play(load_profile("nba-2026")).start().stop().take(*[Foul(GUEST, "14")] * 2)
    assert echo(play, Foul(GUEST, "14", FoulKind.TECHNICAL)).slots["nth"] is None
    assert echo(play, calls.MakeNumber("3")).slots["count"] is None
    assert echo(play, Foul(GUEST, "14")).slots["nth"] == 3


def test_a_technical_on_the_coach(running: Play) -> None:
    said = echo(running.stop(), Foul(GUEST, foul=FoulKind.TECHNICAL, on=Offender.COACH))
    assert (said.slots["foul"], said.slots["on"]) == (FoulKind.TECHNICAL, Offender.COACH)
    assert said.slots["nth"] is None


def test_a_bench_technical_keeps_a_number_on_the_list_but_counts_none(running: Play) -> None:
    call = Foul(GUEST, "14", FoulKind.TECHNICAL, Offender.BENCH)
    said = echo(running.stop(), call)
    assert (said.slots["number"], said.slots["nth"]) == ("14", None)


def test_a_foul_whose_number_is_not_on_the_list(running: Play) -> None:
    said = echo(running.stop(), Foul(GUEST, "11"))
    assert (said.kind, said.slots) == ("foul_open", {"team": GUEST, "said": "11", "fouls": 1})


def test_no_shots_signalled(running: Play) -> None:
    running.take(Foul(GUEST, "14", award=Award.TWO), SetAward(Award.NONE))
    assert running.told("no_shots").slots == {"team": HOME}


def test_an_award_of_throws_that_were_all_taken_is_no_silence(running: Play) -> None:
    """Source: common practice, no source: what is booked is echoed, or the scorer says it again."""
    running.stop().take(Foul(GUEST, "14", award=Award.TWO), Shot(True, HOME, "4"))
    for _ in range(2):
        running.take(SetAward(Award.ONE))
        assert running.told("shots_taken").slots == {"team": HOME, "award": Award.ONE}
    running.take(SetAward(Award.THREE))
    assert [notice.kind for notice in running.notices] == ["shots_owed"]


def test_throws_that_play_went_on_without(running: Play) -> None:
    running.stop().take(Foul(GUEST, "14", award=Award.TWO), Shot(True, HOME, "4")).start()
    dropped = running.told("throws_unbooked")
    assert (dropped.rank, dropped.slots) == (Rank.TELL, {"team": HOME, "more": 1, "fouls": None})


def test_throws_for_several_fouls_are_one_number_a_team(running: Play) -> None:
    two = Foul(GUEST, "14", award=Award.TWO)
    running.stop().take(two, two, Foul(HOME, "4", award=Award.ONE), two).start()
    unbooked = [n.slots for n in running.notices if n.kind == "throws_unbooked"]
    assert unbooked == [
        {"team": HOME, "more": 6, "fouls": 3},
        {"team": GUEST, "more": 1, "fouls": None},
    ]


def test_a_dead_ball_is_said_only_where_nothing_else_says_it(running: Play) -> None:
    assert echo(running, DeadBall()).kind == "ball_dead"
    running.stop().start().take(Foul(GUEST, "14"))
    assert running.said() == ["clock_is_running", "foul"]
    running.stop().start().take(SetArrow(HOME), HeldBall())
    assert running.said() == ["clock_is_running", "held_ball"]
    followed = Play(running.game.profile, Owner.FOLLOW).start()
    assert echo(followed, HeldBall()).kind == "held_ball_jump"


# --- clock and periods ------------------------------------------------------------


def test_periods_are_quarters_halves_and_overtimes(game: Game) -> None:
    quarters = replace(game, profile=_with_periods(game, 4))
    assert period_slots(quarters, 2) == {"nth": 2, "unit": "quarter"}
    assert period_slots(quarters, 6) == {"nth": 2, "unit": "overtime"}
    # NCAA men: two halves of twenty minutes.
    halves = replace(game, profile=_with_periods(game, 2))
    assert period_slots(halves, 2) == {"nth": 2, "unit": "half"}


def _with_periods(game: Game, count: int):  # type: ignore[no-untyped-def]
    return replace(game.profile, periods=replace(game.profile.periods, count=count))


def test_a_period_begins_with_the_arrows_team(running: Play) -> None:
    running.take(Tip(HOME), EndPeriod())
    said = echo(running, StartPeriod())
    assert said.slots == {"nth": 2, "unit": "quarter", "team": GUEST, "opening": None}


def test_at_half_time_the_arrow_stays_and_its_pointer_turns(running: Play) -> None:
    # FIBA 48.1 with 9.5: the teams change ends, the team entitled stays.
    running.take(Tip(HOME)).to_period(2)
    arrow = running.game.arrow
    running.take(EndPeriod())
    half = running.told("half_time")
    assert (half.rank, half.slots, half.rule) == (Rank.TELL, {"team": arrow}, "NFHS 6-4")
    running.to_period(3).take(EndPeriod())
    assert "half_time" not in running.said()


def test_the_end_of_the_last_period_says_whether_it_is_level(running: Play) -> None:
    running.to_period(4).take(EndPeriod())
    # NFHS 6-4: an overtime begins with a jump ball; 5-7-3: fouls carry over (read in an
    # online copy).
    begins = {"team": None, "opening": Opening.JUMP, "carries": True}
    assert running.told("level").slots == {"home": 0, "guest": 0, **begins}
    running.start().take(Score(GUEST, 2), EndPeriod())
    assert running.told("final").slots == {"home": 0, "guest": 2}


def test_a_game_of_one_period_has_no_half_time(play: Play) -> None:
    rules = play.game.profile
    periods = replace(rules.periods, count=1, half_after=1)
    short = Play(replace(rules, periods=periods)).start().take(EndPeriod())
    assert "half_time" not in short.said()


def test_the_clock(running: Play) -> None:
    assert running.said() == ["period_started", "clock_started"]
    assert echo(running.wait(6), calls.StopClock()).slots == {"left_tenths": 4740}
    assert echo(running, calls.SetClock(4700)).slots == {"left_tenths": 4700}
    assert echo(running, calls.CheckClock(4700)).kind == "clock_agrees"
    said = echo(running, calls.CheckClock(4710))
    assert (said.kind, said.slots) == ("clock_differs", {"shown_tenths": 4710, "ours_tenths": 4700})


def test_a_clock_that_ran_out_says_only_that_the_period_ended(running: Play) -> None:
    running.take(Tip(HOME)).wait(480).take(calls.ClockExpired())
    assert running.said() == ["period_ended", "board_fouls", "board_timeouts", "board_arrow"]


@pytest.mark.parametrize(
    ("moment", "kind"),
    [
        (Moment.TIMEOUT_WARNING, "timeout_warning"),
        (Moment.TIMEOUT_END, "timeout_end"),
        (Moment.INTERVAL_WARNING, "interval_warning"),
        (Moment.INTERVAL_END, "interval_end"),
    ],
)
def test_reminders(running: Play, moment: Moment, kind: str) -> None:
    stops = EndPeriod() if moment.value.startswith("interval") else Timeout(HOME)
    running.take(stops, Reminder(moment))
    assert [(notice.kind, notice.rank) for notice in running.notices] == [(kind, Rank.TELL)]


def test_an_overtime_by_the_arrow_is_that_teams_ball() -> None:
    # FIBA 12.6.3: an overtime begins by the arrow; 41.1: fouls in it count in the fourth quarter.
    play = Play(load_profile("fiba-2024")).start().take(Tip(HOME)).to_period(4).take(EndPeriod())
    slots = play.told("level").slots
    assert (slots["team"], slots["opening"], slots["carries"]) == (play.game.arrow, None, True)


def test_an_overtime_that_counts_its_own_fouls_says_nothing_of_them() -> None:
    # NBA 12B-V: so many fouls in each overtime.
    play = Play(load_profile("nba-2026")).start().take(Tip(HOME)).to_period(4).take(EndPeriod())
    slots = play.told("level").slots
    assert (slots["opening"], slots["carries"]) == (Opening.JUMP, None)


def test_before_an_interval_ends_it_is_said_who_will_have_the_ball(running: Play) -> None:
    running.take(Tip(HOME), EndPeriod(), Reminder(Moment.INTERVAL_WARNING))
    # NFHS 6-4: the second quarter begins by the arrow; 2-12: the horn with 15 seconds left.
    assert running.told("interval_warning").slots == {
        "minutes": None,
        "seconds": 15,
        "nth": 2,
        "unit": "quarter",
        "team": GUEST,
    }


def announced_in_interval(profile: str, period: int) -> list[tuple[object, ...]]:
    """What is announced in the interval after that period: kind, minutes and seconds left."""
    play = Play(load_profile(profile)).to_period(period).take(EndPeriod())
    told: list[tuple[object, ...]] = []
    for each in due(play.game):
        play.now_ms = each.wall_ms
        slots = play.take(each.call).notices[0].slots
        told.append((str(play.said()[0]), slots.get("minutes"), slots.get("seconds")))
    return told


@pytest.mark.parametrize(
    ("profile", "period", "told"),
    [
        # FIBA 49.3: the referees are notified 3 and 1.5 minutes before the third quarter.
        ("fiba-2024", 2, [("interval_notice", 3, None), ("interval_notice", None, 90)]),
        # FIBA 49.4: the signal sounds 30 seconds before the second quarter.
        ("fiba-2024", 1, [("interval_warning", None, 30)]),
        # NFHS 2-12: the referee is told three minutes before a half, the horn at 15 seconds.
        ("nfhs-2026", 2, [("interval_notice", 3, None), ("interval_warning", None, 15)]),
        ("nfhs-2026", 1, [("interval_warning", None, 15)]),
    ],
)
def test_an_interval_is_announced_by_word_first_and_by_the_horn_last(
    profile: str, period: int, told: list[tuple[object, ...]]
) -> None:
    assert announced_in_interval(profile, period) == [*told, ("interval_end", None, None)]


def test_from_two_minutes_on_a_basket_stops_the_clock() -> None:
    # FIBA 49.2: the clock is stopped for a field goal in the last two minutes of the fourth.
    play = Play(load_profile("fiba-2024")).start().take(Tip(HOME)).to_left(4, 120)
    play.take(Reminder(Moment.GOALS_STOP))
    assert play.told("goals_stop_now").rule == "FIBA 49.2"


def test_the_games_end(running: Play) -> None:
    running.take(Score(HOME, 2), EndPeriod())
    assert echo(running, calls.EndGame()).slots == {"home": 2, "guest": 0}


# --- time-outs, substitutions, possession ------------------------------------------------------


def test_a_time_out_with_how_many_are_left(running: Play) -> None:
    said = echo(running.stop(), Timeout(HOME, "thirty"))
    assert said.slots == {"team": HOME, "kind": "thirty", "left": 4}
    changed = {"team": GUEST, "was_team": HOME, "left": 4, "nth": None, "unit": None}
    assert echo(running, MakeTeam(GUEST)).slots == changed
    assert echo(running, TimeoutOver()).kind == "timeout_over"
    assert echo(running, OfficialTimeout()).kind == "timeout_officials"


def test_that_a_time_out_is_over_is_not_said_twice(running: Play) -> None:
    running.stop().take(Timeout(HOME)).take(Timeout(GUEST))
    assert "timeout_over" in running.said()
    running.wait(61).take(calls.Reminder(Moment.TIMEOUT_END), Timeout(HOME))
    assert "timeout_over" not in running.said()
    running.wait(61).take(calls.Reminder(Moment.TIMEOUT_END))
    assert echo(running, TimeoutOver()).kind == "timeout_over"


def test_requests_and_substitutes(running: Play) -> None:
    assert echo(running, TimeoutWaiting(HOME)).kind == "timeout_asked"
    assert echo(running, calls.TimeoutWithdrawn(HOME)).kind == "timeout_unasked"
    assert echo(running, SubWaiting()).slots == {"team": None}
    assert echo(running, calls.SubWithdrawn(HOME)).kind == "sub_left"
    assert echo(running, SubWaiting(HOME), SubsIn()).kind == "subs_entered"
    said = echo(running, Substitution(HOME, "5", "4"))
    assert said.slots == {"team": HOME, "entering": "5", "leaving": "4"}


def test_possession(running: Play) -> None:
    running.take(Tip(HOME))
    assert running.said() == ["control", "arrow"]
    assert [notice.slots for notice in running.notices] == [{"team": HOME}, {"team": GUEST}]
    assert echo(running.stop(), HeldBall()).rule == "NFHS 6-4"
    assert echo(Play(running.game.profile).take(StartPeriod()), HeldBall()).kind == "held_ball_jump"


# --- the book itself ------------------------------------------------------------


def test_of_an_entry_that_was_lost_it_is_said_that_it_was_undone(running: Play) -> None:
    # A game saved out of a damaged file may lack an entry that was taken back.
    running.book(Undo(), (TakenBack(99),))
    assert running.told("undone").slots["call"] is None


def undone(play: Play, call: Call) -> Notice:
    return echo(play, call, Undo())


def test_what_was_taken_back_is_named(running: Play) -> None:
    running.stop()
    goal = undone(running, Score(HOME, 2, "5"))
    now: dict[str, object] = {"nth": None, "unit": None}
    slots = {**now, "team": HOME, "points": 2, "number": "5", "home": 0, "guest": 0}
    assert (goal.kind, goal.slots) == ("undone_goal", slots)
    for made in (True, False):
        throw = undone(running, Shot(made, HOME, "5"))
        assert (throw.kind, throw.slots["made"]) == ("undone_throw", made)
    foul = undone(running, Foul(GUEST, "14"))
    assert (foul.kind, foul.slots["fouls"]) == ("undone_foul", 0)
    assert (foul.slots["foul"], foul.slots["on"]) == (None, None)
    team = undone(running, Foul(GUEST, foul=FoulKind.TECHNICAL, on=Offender.TEAM))
    assert (team.slots["foul"], team.slots["on"]) == (FoulKind.TECHNICAL, Offender.TEAM)
    timeout = undone(running, Timeout(HOME))
    assert (timeout.kind, timeout.slots) == ("undone_timeout", {**now, "team": HOME, "left": 5})
    assert undone(running, OfficialTimeout()).slots == {**now, "team": None, "left": None}
    score = undone(running, SetScore(HOME, 9))
    assert (score.kind, score.slots["call"]) == ("undone", "set_score")
    tip = undone(running, Tip(HOME))
    assert (tip.kind, tip.slots) == ("undone_tip", {**now, "team": HOME, "arrow": None})
    running.take(Tip(HOME))
    held = undone(running, HeldBall())
    assert (held.kind, held.slots) == ("undone_held", {**now, "arrow": GUEST})


def test_a_double_foul_taken_back_is_named_for_both(running: Play) -> None:
    running.stop().take(calls.DoubleFoul("5", "14"), Undo())
    assert running.said() == ["undone_foul", "undone_foul"]


def test_an_arrow_that_an_undo_turns_is_told(running: Play) -> None:
    running.take(Tip(HOME), SwitchArrow(), Undo())
    assert running.said() == ["undone_change", "arrow"]
    assert running.told("arrow").slots == {"team": GUEST}
    running.take(PutBack())
    assert running.said() == ["put_back", "arrow"]
    assert running.told("arrow").slots == {"team": HOME}


def test_what_is_put_back_is_named(running: Play) -> None:
    running.take(Tip(HOME), Score(HOME, 2, "5"), Undo(), PutBack())
    assert running.said() == ["put_back", "goal"]
    assert running.told("put_back").slots == {"call": "score", "home": None, "guest": None}
    assert running.told("goal").slots["number"] == "5"
    running.stop().take(Foul(GUEST, "14"), Undo(), PutBack())
    assert running.said() == ["put_back", "foul"]
    assert running.told("foul").slots["number"] == "14"
    running.take(Shot(True, HOME, "5"), Undo(), PutBack())
    assert running.said() == ["put_back"]
    assert running.told("put_back").slots == {"call": "shot", "home": 3, "guest": 0}


def test_what_is_put_back_names_its_period_where_that_is_over(running: Play) -> None:
    running.take(Score(HOME, 2, "5"), Undo()).to_period(2).take(PutBack())
    assert running.said() == ["put_back", "of_period", "goal"]


def test_what_completes_a_line_that_is_gone_has_no_echo(running: Play) -> None:
    running.book(Undo(), (NumberGiven(990, "5"),))
    assert running.said() == ["misfit"]


def test_what_changes_a_line_that_is_gone_has_no_echo(running: Play) -> None:
    # As in a recovered game that lost the entry which is corrected.
    running.book(MakePoints(3), (PointsChanged(990, 3),))
    assert running.said() == ["misfit"]


def test_a_number_taken_back_is_named_by_its_call(running: Play) -> None:
    running.take(Score(HOME, 2), Number("5"))
    running.book(Undo(), (TakenBack(3),))
    assert running.said() == ["undone_change", "goal"]
    assert running.told("undone_change").slots["call"] == "number"
    assert running.told("goal").slots["number"] is None


def test_of_a_line_that_is_not_in_the_book_nothing_is_said(running: Play) -> None:
    game = running.game
    missing: tuple[events.Event, ...] = (
        events.Scored(990, HOME, 2, "5", 1, 100),
        events.TeamChanged(990, HOME, "5"),
        events.Replaced(99, 990),
        events.Replaced(99, None),
    )
    for event in missing:
        assert ECHOES[type(event)](game, event, game) == []


def test_a_moment_marked(running: Play) -> None:
    assert echo(running.wait(3), calls.Mark()).slots == {"left_tenths": 4770}


def test_players(play: Play) -> None:
    assert echo(play, calls.AddPlayer(HOME, "30")).slots == {"team": HOME, "number": "30"}
    assert echo(play, calls.Starter(HOME, "30")).kind == "starter"


def test_the_clock_that_turns_the_arrow_says_so(running: Play) -> None:
    running.take(Tip(HOME), EndPeriod(), StartClock())
    assert running.said() == ["period_started", "clock_started", "arrow"]


# --- corrections: common practice, no source: a new entry and a changed one sound different ------


def said(play: Play) -> list[tuple[str, object]]:
    """The kinds of the newest notices, each with the number of its period, if it has one."""
    return [(notice.kind, notice.slots.get("nth")) for notice in play.notices]


@pytest.mark.parametrize("change", [MakeNumber("5"), MakeTeam(GUEST), MakePoints(3)])
def test_what_is_changed_is_said_to_be(running: Play, change: Call) -> None:
    running.take(Score(HOME, 2, "4"), change)
    assert said(running) == [("changed_goal", None)]


def test_a_number_that_was_open_is_no_change(running: Play) -> None:
    running.take(Foul(HOME), Number("5"))
    assert said(running) == [("foul", 1)]


def test_what_belongs_to_another_period_names_it(youth: Play) -> None:
    # Of the first half, corrected in the second: its count is the first half's (NFHS 4-19-13).
    youth.take(Foul(HOME, "4"), Foul(HOME), EndPeriod()).start().take(EndPeriod()).start()
    youth.take(Number("5"))
    assert said(youth) == [("of_period", 1), ("foul", 1)]
    youth.take(LastNumber(HOME, "foul", "10"))
    assert said(youth) == [("changed_foul", 1)]
    assert youth.told("changed_foul").slots["unit"] == "quarter"
    youth.take(Foul(HOME, "7"), LastNumber(HOME, "foul", "11"))
    assert said(youth) == [("changed_foul", None)]


def test_a_foul_before_the_period_in_which_it_counts_is_of_now() -> None:
    # FIBA 41.1.3: one in an interval counts in the period to come.
    play = Play(load_profile("fiba-2024")).start().take(EndPeriod(), Foul(HOME, "4"))
    assert said(play.take(MakeNumber("5"))) == [("changed_foul", None)]


# --- no clock is kept ----------------------------------------------------------------------------


def test_no_time_is_told_that_nobody_knows() -> None:
    play = Play(load_profile("nfhs-2026"), Owner.NONE).start()
    for call in (Timeout(HOME), Mark()):
        play.take(call)
        assert [n.slots.get("left_tenths") for n in play.notices] == [None] * len(play.notices)
    assert play.told("marked")
    for of_clock in (CheckClock(4000), AdjustClock(50)):
        assert play.refusal(of_clock) == "no_clock"
