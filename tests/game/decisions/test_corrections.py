"""Putting the book right."""

from __future__ import annotations

from dataclasses import replace

import pytest

from callout.game.calls import (
    AddPlayer,
    Call,
    DoubleFoul,
    Foul,
    LastNumber,
    LastTeam,
    MakeNumber,
    MakePoints,
    MakeTeam,
    Mark,
    Number,
    OfficialTimeout,
    PutBack,
    Score,
    SetScore,
    Shot,
    StartClock,
    Starter,
    StopClock,
    Timeout,
    Undo,
)
from callout.game.decide import Refusal
from callout.game.events import Marked, NumberGiven, TakenBack, TeamChanged
from callout.game.figures.fouls import player_fouls, team_fouls
from callout.game.figures.score import open_lines, owed_to
from callout.game.figures.timeouts import timeouts_left
from callout.game.pregame import DropStarter
from callout.game.profile.file import load_profile
from callout.game.terms import Award, FoulKind, Offender, Team
from tests.game.play import GUEST, HOME, KITES, Play


def test_a_number_completes_the_newest_line_without_one(running: Play) -> None:
    running.take(Score(HOME, 2), Foul(GUEST), Number("14"))
    assert running.entries[-1].events == (NumberGiven(30, "14"),)
    running.take(Number("5"))
    assert running.entries[-1].events == (NumberGiven(20, "5"),)
    assert running.refusal(Number("5")) == "nothing_open"


def test_a_number_goes_to_the_newest_line_of_a_team_that_has_it(running: Play) -> None:
    running.take(Score(HOME, 2), Foul(GUEST), Number("10"))
    assert running.entries[-1].events == (NumberGiven(20, "10"),)
    # NFHS 3.4.3B: a shirt that is not on the list plays all the same, and the line stays open.
    running.take(Score(HOME, 2), Number("99"))
    assert [(line.number, line.said) for line in open_lines(running.game)][-1] == (None, "99")
    assert running.told("goal_open").slots["said"] == "99"
    assert running.refusal(Number("99")) == "number_is_that"


def test_a_number_names_the_player_of_a_throw_that_was_taken_for_anothers(running: Play) -> None:
    """Source: NFHS 8-3: anybody of the team may take the throws for a technical foul."""
    running.take(Foul(GUEST, award=Award.THREE), Shot(True, HOME, "12"), Shot(True))
    assert running.game.goals[-1].number == "12"
    running.take(Number("10"))
    assert [goal.number for goal in running.game.goals] == ["12", "10"]
    # Who took this throw is assumed to take the next one; what is named once is not changed.
    running.take(Shot(False))
    assert running.game.goals[-1].number == "10"
    running.take(Number("14"), MakeNumber("5"))
    assert [goal.number for goal in running.game.goals] == ["12", "10", "5"]
    assert running.game.charges[-1].number == "14"
    assert running.refusal(Number("4")) == "nothing_open"


def test_a_number_that_is_the_assumed_one_is_in_the_book_already(running: Play) -> None:
    running.take(Foul(GUEST, "14", award=Award.TWO), Shot(True, HOME, "12"), Shot(True))
    assert running.refusal(Number("12")) == "number_is_that"
    running.wait(1).take(Timeout(HOME))
    assert running.refusal(Number("10")) == "nothing_open"


def test_a_coachs_foul_and_an_own_basket_wait_for_no_number(running: Play) -> None:
    running.take(Foul(HOME, foul=FoulKind.TECHNICAL, on=Offender.COACH))
    running.take(Score(GUEST, 2, own_basket=True))
    assert open_lines(running.game) == ()


def test_the_newest_lines_number_is_changed(running: Play) -> None:
    running.take(Score(HOME, 2, "5"), MakeNumber("7"))
    assert running.game.goals[-1].number == "7"
    assert running.refusal(MakeNumber("7")) == "number_is_that"
    running.take(MakeNumber("99"), Foul(GUEST, "14"), MakeNumber("99"))
    assert running.game.goals[-1].said == "99"
    assert running.told("foul_open").slots == {"team": GUEST, "said": "99", "fouls": 1}


def test_a_time_out_has_no_number_to_change(running: Play) -> None:
    assert running.refusal(MakeNumber("7")) == "nothing_to_correct"
    running.take(Score(HOME, 2, "5"), Timeout(HOME))
    assert running.refusal(MakeNumber("7")) == "nothing_to_correct"


def test_a_teams_last_basket_or_foul_is_found_behind_others(running: Play) -> None:
    running.take(Score(HOME, 2, "5"), Foul(HOME, "5"), Score(GUEST, 3, "14"), Shot(False, HOME))
    running.take(LastNumber(HOME, "basket", "10"), LastNumber(HOME, "foul", "11"))
    assert running.game.goals[0].number == "10"
    assert player_fouls(running.game, HOME, "11") == 1
    assert running.refusal(LastNumber(GUEST, "foul", "14")) == "nothing_to_correct"


def test_the_newest_line_is_moved_to_the_other_team(running: Play) -> None:
    running.take(Score(HOME, 3, "5"), MakeTeam(GUEST))
    # Number 5 plays for both, so it goes along.
    assert running.entries[-1].events == (TeamChanged(20, GUEST, "5"),)
    assert running.score == (0, 3)
    assert running.refusal(MakeTeam(GUEST)) == "team_is_that"


def test_no_half_of_a_double_foul_is_the_other_teams(running: Play) -> None:
    # FIBA 35-1: two opponents foul each other, so that one foul is on each team.
    running.take(DoubleFoul("5", "14"))
    assert running.refusal(MakeTeam(HOME)) == "nothing_to_correct"
    assert running.refusal(MakeTeam(GUEST)) == "team_is_that"
    running.take(MakeNumber("15"))
    assert [(c.team, c.number) for c in running.game.charges] == [(HOME, "5"), (GUEST, "15")]


def test_a_number_that_the_other_team_does_not_have_is_open_again(running: Play) -> None:
    running.take(Score(HOME, 2, "10"), MakeTeam(GUEST))
    assert [line.team for line in open_lines(running.game)] == [GUEST]


@pytest.mark.parametrize("line", [Score(HOME, 2, "5"), Foul(HOME, "5")])
def test_a_number_right_after_a_move_replaces_the_one_that_went_along(
    running: Play, line: Call
) -> None:
    """Common practice, no source: the number was called for a player of the other team."""
    running.take(Score(GUEST, 3), line, MakeTeam(GUEST))
    assert running.refusal(Number("5")) == "number_is_that"
    running.take(Number("14"))
    assert running.entries[-1].events == (NumberGiven(30, "14"),)
    # What is named once is not changed; the older line has waited.
    running.take(Number("15"))
    assert running.entries[-1].events == (NumberGiven(20, "15"),)


@pytest.mark.parametrize(
    ("between", "item"),
    [
        ((StopClock(),), 30),
        ((StopClock(), StartClock()), 20),
        ((Number("14"), Undo()), 30),
        ((Foul(GUEST, "5"), Undo()), 30),
        ((Foul(GUEST, "5"),), 20),
        ((Undo(), PutBack()), 30),
        ((Undo(),), 20),
    ],
)
def test_a_move_is_just_done_until_something_else_is_called(
    running: Play, between: tuple[Call, ...], item: int
) -> None:
    running.take(Score(GUEST, 3), Score(HOME, 2, "5"), MakeTeam(GUEST), *between, Number("15"))
    assert running.entries[-1].events == (NumberGiven(item, "15"),)


def test_a_foul_moved_takes_its_throws_to_the_other_side(running: Play) -> None:
    running.take(Foul(GUEST, "5", award=Award.TWO), MakeTeam(HOME))
    assert (team_fouls(running.game, HOME), team_fouls(running.game, GUEST)) == (1, 0)
    assert owed_to(running.game, HOME) is None
    owed = owed_to(running.game, GUEST)
    assert owed is not None
    assert owed.left == 2
    shots = running.told("shots_owed")
    assert shots.slots == {"team": GUEST, "award": Award.TWO}


def test_a_time_out_moved_is_the_other_teams(running: Play) -> None:
    running.take(Timeout(HOME), MakeTeam(GUEST))
    left = running.at().left_tenths
    assert [timeouts_left(running.game, team, left) for team in (HOME, GUEST)] == [5, 4]


def test_the_officials_own_time_out_is_nobodys(running: Play) -> None:
    assert running.refusal(MakeTeam(HOME)) == "nothing_to_correct"
    running.take(OfficialTimeout())
    assert running.refusal(MakeTeam(HOME)) == "nothing_to_correct"


def test_a_teams_last_basket_was_the_others(running: Play) -> None:
    running.take(Score(HOME, 2, "5"), Foul(HOME, "5"), LastTeam(HOME, GUEST))
    assert running.score == (0, 2)
    assert running.refusal(LastTeam(HOME, GUEST)) == "nothing_to_correct"


def test_the_newest_goal_counts_more_or_less(running: Play) -> None:
    running.take(Score(HOME, 2, "5"), Foul(GUEST), Shot(False, HOME), MakePoints(3))
    assert running.score == (3, 0)
    assert running.refusal(MakePoints(3)) == "points_are_that"
    running.take(MakePoints(1))
    assert running.score == (1, 0)
    assert running.game.goals[0].free_throw


def test_points_need_a_goal_and_must_be_possible(running: Play) -> None:
    assert running.refusal(MakePoints(2)) == "nothing_to_correct"
    # Three-on-three counts one and two: USA Basketball's table of its rules.
    rules = running.game.profile
    small = Play(replace(rules, goals=replace(rules.goals, field=(1, 2)))).start()
    small.take(Score(HOME, 1, "5"))
    assert not small.game.goals[0].free_throw
    assert small.refusal(MakePoints(3)) == "points_impossible"
    assert small.refusal(Score(HOME, 3)) == "points_impossible"
    small.take(MakePoints(2))
    assert small.score == (2, 0)


def test_one_point_is_a_throw_only_where_throws_are_owed_or_no_goal_counts_one(
    running: Play,
) -> None:
    rules = running.game.profile
    small = Play(replace(rules, goals=replace(rules.goals, field=(1, 2)))).start()
    small.take(Foul(GUEST, "14", award=Award.ONE), Score(HOME, 1, "5"))
    assert small.game.goals[0].free_throw


def test_undo_takes_back_the_newest_entry_of_the_book(running: Play) -> None:
    running.take(Score(HOME, 2), Score(GUEST, 2)).stop().take(Undo())
    assert running.entries[-1].events == (TakenBack(3),)
    assert running.score == (2, 0)
    assert running.game.phase.value == "stopped"
    running.take(Undo(), Undo())
    assert running.entries[-1].events == (TakenBack(1),)
    assert running.game.phase.value == "before"
    assert running.refusal(Undo()) == "nothing_to_undo"


def test_what_was_taken_back_last_is_put_back_first(running: Play) -> None:
    assert running.refusal(PutBack()) == "nothing_taken_back"
    running.take(Score(HOME, 2), Score(GUEST, 3), Undo(), Undo(), PutBack())
    assert running.score == (2, 0)
    running.take(PutBack())
    assert running.score == (2, 3)


def test_what_the_officials_ruled_is_taken_back_too(running: Play) -> None:
    running.take(Score(HOME, 2), SetScore(HOME, 9), Undo())
    assert running.score == (2, 0)


def test_a_moment_is_marked(play: Play) -> None:
    play.take(Mark())
    assert play.entries[-1].events == (Marked(1, 4800),)
    play.start().wait(10).take(Mark())
    assert play.game.marks == ((1, 4800), (1, 4700))


def test_a_player_is_added_once(play: Play) -> None:
    play.take(AddPlayer(HOME, "30"))
    assert play.game.home.numbers[-1] == "30"
    assert play.refusal(AddPlayer(HOME, "30")) == "on_roster"


def test_zero_and_double_zero_are_two_numbers(play: Play) -> None:
    # NFHS 3-4: 0 and 00 are told apart (a list may not hold both).
    play.take(AddPlayer(HOME, "0"), AddPlayer(HOME, "00"))
    assert play.game.home.numbers[-2:] == ("0", "00")


def test_a_starter_is_named_once_and_is_on_the_list(play: Play) -> None:
    play.take(Starter(HOME, "5"))
    assert play.game.home.starters == ("5",)
    assert play.refusal(Starter(HOME, "5")) == "already_starter"
    play.take(Starter(HOME, "33"))
    assert play.told("not_listed").slots == {"team": HOME, "number": "33"}


@pytest.mark.parametrize(("league", "most"), [("fiba-2024", 5), ("fiba-3x3", 3)])
def test_no_more_start_than_may_play(league: str, most: int) -> None:
    # FIBA 4.2 and 7.2: five play, and the coach marks five; three in 3x3.
    play = Play(load_profile(league)).take(*[Starter(HOME, n) for n in KITES[:most]])
    refused = play.call(Starter(HOME, KITES[most]))
    assert isinstance(refused, Refusal)
    assert (str(refused.kind), refused.slots) == ("starters_full", {"team": HOME, "most": most})
    assert play.game.home.starters == KITES[:most]
    play.take(Starter(GUEST, "3"), DropStarter(HOME, KITES[0]), Starter(HOME, KITES[most]))
    assert play.game.home.starters == KITES[1 : most + 1]


def test_a_shirt_that_is_not_listed_is_kept_as_seen_and_filled_once_it_is(running: Play) -> None:
    """NFHS 3.2.2C: one plays who is not in the book, and is added."""
    running.take(Score(GUEST, 2, "44"), Foul(GUEST, "44"), Score(GUEST, 2), Score(HOME, 3, "44"))
    assert [line.said for line in open_lines(running.game)] == ["44", "44", None, "44"]
    running.take(AddPlayer(GUEST, "44"))
    assert running.told("player_filled").slots["entries"] == 2
    assert "foul" not in running.said()
    assert "goal" not in running.said()
    assert [(line.team, line.said) for line in open_lines(running.game)] == [
        (GUEST, None),
        (HOME, "44"),
    ]
    assert player_fouls(running.game, GUEST, "44") == 1
    running.take(Undo())
    assert [line.said for line in open_lines(running.game)] == ["44", "44", None, "44"]


def test_throws_of_a_shirt_that_is_not_listed_are_all_his(running: Play) -> None:
    running.take(Foul(HOME, "5", award=Award.TWO), Shot(True, GUEST, "44"), Shot(False))
    assert [line.said for line in open_lines(running.game)] == ["44", "44"]
    running.take(AddPlayer(GUEST, "44"))
    assert open_lines(running.game) == ()


def test_a_shirt_stays_as_seen_when_the_team_is_changed(running: Play) -> None:
    running.take(Score(HOME, 2, "4"), MakeTeam(GUEST))
    (line,) = open_lines(running.game)
    assert (line.team, line.said) == (GUEST, "4")
    running.take(MakeTeam(HOME))
    assert open_lines(running.game) == ()
    assert running.game.goals[-1].number == "4"


def test_a_number_given_later_takes_the_place_of_the_shirt_seen(running: Play) -> None:
    running.take(Score(HOME, 2, "44"), Number("5"))
    goal = running.game.goals[-1]
    assert (goal.number, goal.said) == ("5", None)


def owed(play: Play) -> dict[Team, int]:
    return {each.team: each.left for each in play.game.owed}


def test_a_throw_given_to_the_other_team_was_one_of_its_award(play: Play) -> None:
    """NFHS 10-7 and 10-4, from memory: two throws for each of these fouls."""
    play.start().stop().take(Foul(HOME, "4", FoulKind.TECHNICAL))
    play.take(Foul(GUEST, "8", award=Award.TWO), Shot(True, GUEST, "3"))
    assert owed(play) == {GUEST: 1, HOME: 2}
    play.take(MakeTeam(HOME))
    assert owed(play) == {GUEST: 2, HOME: 1}
    play.take(Shot(True, HOME))
    assert owed(play) == {GUEST: 2}
    play.take(MakeTeam(GUEST))
    assert owed(play) == {GUEST: 1, HOME: 1}
    play.take(Undo())
    assert owed(play) == {GUEST: 2}


def test_a_throw_beyond_the_award_was_none_of_it(running: Play) -> None:
    """NFHS 10-7, from memory: two throws for a foul on a shot."""
    running.stop().take(Foul(GUEST, "8", award=Award.TWO))
    running.take(Shot(True, HOME), Shot(True, HOME), Shot(True, HOME), MakeTeam(GUEST))
    assert owed(running) == {}
    running.take(Undo(), Undo(), Shot(True, GUEST), MakeTeam(HOME), MakeTeam(GUEST))
    assert owed(running) == {}


def test_the_first_of_two_throws_given_away_is_still_to_come(running: Play) -> None:
    """Common practice, no source: the second was taken all the same."""
    running.stop().take(Foul(GUEST, "8", award=Award.TWO), Shot(True, HOME, "5"))
    first = running.game.goals[-1].item
    running.take(Shot(False, HOME, "5"))
    running.book(Mark(), (TeamChanged(first, GUEST, None),))
    assert owed(running) == {HOME: 1}


def test_a_throw_that_was_called_as_a_basket_was_one_of_the_award(running: Play) -> None:
    """Common practice, no source: "home one" is a free throw, and "home two" is none."""
    running.stop().take(Foul(GUEST, "8", award=Award.TWO), Score(HOME, 2, "5"))
    assert owed(running) == {HOME: 2}
    running.take(MakePoints(1))
    assert owed(running) == {HOME: 1}
    running.take(MakePoints(2))
    assert owed(running) == {HOME: 2}
