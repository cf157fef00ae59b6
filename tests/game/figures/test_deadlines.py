"""Until when an error may be put right, and that it is said when it is too late."""

from __future__ import annotations

from dataclasses import replace

import pytest

from callout.game import calls
from callout.game.calls import (
    DeadBall,
    EndGame,
    EndPeriod,
    Foul,
    MakeNumber,
    MakePoints,
    MakeTeam,
    Number,
    Score,
    SetAward,
    SetScore,
    Shot,
    Starter,
    Undo,
)
from callout.game.choices import Until
from callout.game.figures.deadlines import still_open
from callout.game.profile.file import load_profile
from callout.game.state import Game, Phase
from callout.game.terms import Award
from tests.game.play import GUEST, HOME, Play

TWO, NONE = Award.TWO, Award.NONE


def played(name: str) -> Play:
    """A game of that league with its clock running."""
    return Play(load_profile(name)).start().wait(20)


def too_late(play: Play) -> list[tuple[str, str]]:
    """What is told to come too late, with its rule."""
    kinds = ("too_late_throws", "too_late_book", "after_final")
    return [(each.kind, each.rule) for each in play.notices if each.kind in kinds]


# --- free throws ------------------------------------------------------------------------------


@pytest.mark.parametrize("name", ["nfhs-2026", "fiba-2022"])
def test_throws_not_given_until_the_ball_is_live_again_after_the_next_stop(name: str) -> None:
    # NFHS 2-10, FIBA 44.2.1: by the first dead ball after the clock has properly started.
    play = played(name).stop().take(Foul(GUEST, "14")).start().wait(9).stop()
    assert too_late(play.take(SetAward(TWO))) == []
    play.take(Undo()).start().wait(9).stop().take(SetAward(TWO))
    rules = {"nfhs-2026": "NFHS 2-10", "fiba-2022": "FIBA 44.2.1"}
    assert too_late(play) == [("too_late_throws", rules[name])]


def test_a_goal_is_a_dead_ball_and_play_after_it_live() -> None:
    # NFHS case 2.10.2: a steal and a goal, then a throw-in: too late.
    play = played("nfhs-2026").stop().take(Foul(GUEST, "14")).start().wait(3)
    play.take(Score(GUEST, 2, "14")).wait(2)
    assert too_late(play.take(SetAward(TWO))) == []
    play.take(Undo()).wait(9).stop().take(SetAward(TWO))
    assert too_late(play) == [("too_late_throws", "NFHS 2-10")]


def test_throws_wrongly_given_may_be_taken_off_in_time() -> None:
    play = played("fiba-2022").stop()
    play.take(Foul(GUEST, "14", award=TWO), Shot(True, HOME, "4"), Shot(True))
    play.start().wait(9).stop().take(Undo())
    assert too_late(play) == []
    play.start().wait(9).stop().take(Undo())
    assert too_late(play) == [("too_late_throws", "FIBA 44.2.1")]


def late_throw(name: str, *between: calls.Call) -> Play:
    """A foul, two lives of the ball with something called in the first, and a throw called then."""
    play = played(name).stop().take(Foul(GUEST, "14")).start().take(*between).wait(9).stop()
    assert too_late(play.take(Shot(True, HOME))) == []
    return play.take(Undo()).start().wait(9).stop().take(Shot(True, HOME))


def test_a_throw_is_too_late_when_it_is_itself_called_late() -> None:
    # NFHS 2-10: as for the award. The second throw of the same stop tells nothing new.
    play = late_throw("nfhs-2026")
    assert too_late(play) == [("too_late_throws", "NFHS 2-10")]
    assert too_late(play.take(Shot(True, HOME))) == []
    play = late_throw("nfhs-2026")
    assert too_late(play.take(Shot(True, GUEST))) == []


def test_a_throw_that_is_owed_is_in_time() -> None:
    play = played("nfhs-2026").stop().take(Foul(GUEST, "14", award=TWO))
    assert too_late(play.take(Shot(True))) == []
    play.start().stop().start().stop().take(Foul(GUEST, "14", award=TWO), Shot(False))
    assert too_late(play) == []


def test_by_fiba_a_goal_of_the_fouled_team_ends_the_throws_too() -> None:
    # FIBA interpretation 44-14; a goal that counts with the foul is none of those.
    play = played("fiba-2022").stop().take(Foul(GUEST, "14"), Score(HOME, 2)).start().wait(9)
    assert too_late(play.stop().take(Shot(True, HOME))) == []
    play.take(Undo()).start().take(Score(HOME, 2)).stop().take(Shot(True, HOME))
    assert too_late(play) == [("too_late_throws", "FIBA 44.2.1")]
    play = played("fiba-2022").stop().take(Foul(GUEST, "14")).start().take(Score(HOME, 2)).stop()
    assert too_late(play.take(Shot(True, HOME))) == [("too_late_throws", "FIBA 44.2.1")]
    play.take(Undo()).take(SetAward(TWO))
    assert too_late(play) == [("too_late_throws", "FIBA 44.2.1")]


def test_the_throw_beside_a_goal_that_counts_may_be_awarded_after_it() -> None:
    # FIBA 34.2.2, from memory: the goal of a player fouled as he shoots counts, with one throw.
    play = played("fiba-2022").take(Foul(GUEST, "14")).stop().take(Score(HOME, 2, "4"))
    assert too_late(play.take(SetAward(Award.ONE))) == []


# --- slips of the table -----------------------------------------------------------------------


def test_a_slip_is_put_right_until_the_officials_have_left() -> None:
    # NFHS 2-2-4, case 2.2.4C: found in the dressing room, the score is final. The table is not told
    # when they leave, and says after the end that they have to be asked.
    play = played("nfhs-2026").take(Score(HOME, 3, "4"))
    for _ in range(3):
        play.wait(5).stop().start()
    assert too_late(play.take(MakePoints(2), MakeNumber("5"), MakeTeam(GUEST))) == []
    play.take(EndGame(), SetScore(HOME, 9))
    assert too_late(play) == [("after_final", "NFHS 2-2-4")]
    play.take(MakeTeam(HOME))
    assert too_late(play) == [("after_final", "NFHS 2-2-4")]
    # A call after the end that was undone again changes nothing of that.
    play.take(Starter(HOME, "4"), Undo(), SetScore(HOME, 8))
    assert too_late(play) == [("after_final", "NFHS 2-2-4")]


def test_a_slip_of_just_now_is_taken_back_after_the_end_as_before_it() -> None:
    # Common practice, no source: no rule speaks of what was never so.
    play = played("nfhs-2026").take(Score(HOME, 3, "4"), EndGame(), Score(GUEST, 2), Undo())
    assert too_late(play) == []
    assert too_late(play.take(Undo())) == []
    assert play.game.phase is Phase.STOPPED
    assert too_late(play.take(EndPeriod(), Undo())) == []


def test_a_number_that_was_open_completes_and_corrects_nothing() -> None:
    play = played("nfhs-2026").take(Score(HOME, 3), EndGame(), Number("4"))
    assert too_late(play) == []
    play.take(MakeNumber("5"))
    assert too_late(play) == [("after_final", "NFHS 2-2-4")]


def test_the_nba_puts_right_until_the_fourth_period_has_ended() -> None:
    # NBA 2-VI-D: until the end of the fourth period, or of that overtime.
    play = Play(load_profile("nba-2026")).start().take(Score(HOME, 2, "4")).to_period(4)
    assert too_late(play.take(MakePoints(3))) == []
    play.take(EndPeriod(), MakePoints(2))
    assert too_late(play) == [("too_late_book", "NBA 2-VI-D")]
    play.start().take(Score(HOME, 2, "4"), MakePoints(3))
    assert too_late(play) == []
    play.take(EndPeriod(), MakePoints(2))
    assert too_late(play) == [("too_late_book", "NBA 2-VI-D")]


# --- FIBA's windows of 2024 --------------------------------------------------------------------


def fourth(left_s: int) -> Play:
    """FIBA 2024: the fourth quarter running, so many seconds left."""
    return Play(load_profile("fiba-2024")).to_left(4, left_s)


def test_an_early_slip_until_the_last_two_minutes_begin() -> None:
    # FIBA 2024, 44: made before the last 2:00, it is put right before that mark.
    play = fourth(200).take(Score(HOME, 2, "4"))
    for _ in range(3):
        play.wait(5).stop().start()
    assert too_late(play.take(MakePoints(3))) == []


def test_or_until_the_ball_is_live_after_the_first_stop_that_follows() -> None:
    play = fourth(140).take(Score(HOME, 2, "4")).wait(60).stop()
    assert too_late(play.take(MakePoints(3))) == []
    play.start().wait(1).take(MakePoints(2))
    assert too_late(play) == [("too_late_book", "FIBA 44")]


def test_a_late_slip_until_the_ball_is_live_after_the_first_stop() -> None:
    play = fourth(100).stop().start().wait(5).take(Score(HOME, 2, "4")).wait(5).stop()
    assert too_late(play.take(MakePoints(3))) == []
    play.start().wait(5).stop().start().take(MakePoints(2))
    assert too_late(play) == [("too_late_book", "FIBA 44")]


def test_overtime_is_late_from_its_beginning() -> None:
    play = Play(load_profile("fiba-2024")).to_period(5).take(Score(HOME, 2, "4"))
    assert too_late(play.wait(5).stop().take(MakePoints(3))) == []
    play.start().wait(5).stop().start().take(MakePoints(2))
    assert too_late(play) == [("too_late_book", "FIBA 44")]


def test_before_the_first_start_nothing_is_late() -> None:
    game: Game = Play(load_profile("fiba-2024")).game
    assert all(still_open(game, until, 0, 6000) for until in Until)


def test_the_foul_called_now_is_no_correction() -> None:
    play = played("nfhs-2026")
    for _ in range(3):
        play.wait(5).stop().start()
    assert too_late(play.take(Foul(GUEST, "14", award=TWO))) == []


def test_what_is_put_back_is_a_correction_too() -> None:
    play = played("nfhs-2026").take(Score(HOME, 2, "4"), Undo(), EndGame(), calls.PutBack())
    assert too_late(play) == [("after_final", "NFHS 2-2-4")]


def test_a_league_without_late_minutes_has_only_overtime_late() -> None:
    rules = load_profile("fiba-2024")
    none = replace(rules, corrections=replace(rules.corrections, late_s=0))
    play = Play(none).to_period(4).wait(590).stop().start().take(DeadBall(), Score(HOME, 2, "4"))
    play.stop().start().stop().start()
    assert too_late(play.take(MakePoints(3))) == []
