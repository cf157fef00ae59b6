"""What happens seldom: shirts, sendings off, injuries, lane violations, games not played out."""

from __future__ import annotations

from dataclasses import replace

import pytest

from callout.game import calls, events
from callout.game.calls import (
    ChangeShirt,
    CheckScore,
    DelayWarning,
    EndGame,
    Forfeit,
    Foul,
    Hurt,
    LaneViolation,
    Score,
    SendOff,
    Shot,
    Substitution,
    Suspend,
    Timeout,
    TimeoutOver,
    TooManyOn,
)
from callout.game.choices import Why
from callout.game.figures.forfeits import official_score
from callout.game.figures.fouls import coach_is_out, is_out, player_fouls, why_ejected
from callout.game.figures.replacing import replace_by_ms
from callout.game.profile.file import load_profile
from callout.game.state import Forfeited, Injury, Phase
from callout.game.terms import Award, Figure, FoulKind
from tests.game.play import GUEST, HOME, Play

TWO = Award.TWO


# --- a shirt changed ------------------------------------------------------------------------------


def test_fouls_points_and_place_on_court_go_with_the_player(running: Play) -> None:
    # NFHS case 3.4.3B: he changes his number, and stays the same player.
    running.stop().take(
        Score(HOME, 2, "10"),
        Foul(HOME, "10"),
        Foul(GUEST, "14", award=TWO),
        Shot(True, HOME, "10"),
        Substitution(HOME, "12", "10"),
        Substitution(GUEST, "15", "14"),
        Hurt(HOME, "10"),
        Hurt(GUEST, "14"),
        SendOff(HOME, "10"),
        SendOff(HOME, "4"),
        SendOff(GUEST, "10"),
        calls.Starter(HOME, "10"),
        calls.Starter(HOME, "4"),
        ChangeShirt(HOME, "10", "44"),
    )
    game = running.game
    assert "10" not in game.home.numbers
    assert game.home.numbers[3] == "44"
    assert game.home.starters == ("44", "4")
    assert {goal.number for goal in game.goals} == {"44"}
    assert player_fouls(game, HOME, "44") == 1
    assert game.owed[0].shooter == "44"
    assert game.sent_off == ((HOME, "44"), (HOME, "4"), (GUEST, "10"))
    assert [each.number for each in game.hurt] == ["44", "14"]
    assert [change.leaving for change in game.changes] == ["44", "14"]
    assert dict(game.home.first_worn) == {"44": "10"}
    assert running.told("shirt_changed").slots["fouls"] == 1


def test_a_third_shirt_is_still_the_first_player(play: Play) -> None:
    play.take(ChangeShirt(HOME, "10", "44"), ChangeShirt(HOME, "44", "20"))
    assert dict(play.game.home.first_worn) == {"20": "10"}
    assert "44" not in play.game.home.numbers
    assert not {"shirt_late", "number_illegal"} & set(play.said())
    # Back in the first one.
    play.take(ChangeShirt(HOME, "20", "10"))
    assert dict(play.game.home.first_worn) == {"10": "10"}


def test_lines_called_for_either_shirt_before_it_was_told_are_his(running: Play) -> None:
    running.take(Score(HOME, 2, "44"), Foul(HOME, "44"), ChangeShirt(HOME, "10", "44"))
    assert running.game.goals[0].number == running.game.charges[0].number == "44"
    # A shirt that the list had not: now it has the new one.
    running.take(Score(GUEST, 2, "40"), ChangeShirt(GUEST, "40", "41"))
    assert running.game.goals[-1].number == "41"
    assert "41" in running.game.guest.numbers


def test_without_a_list_any_number_may_change(running: Play) -> None:
    play = Play(running.game.profile, home=()).start()
    play.take(Foul(HOME, "10"), ChangeShirt(HOME, "10", "19"))
    assert play.game.home.numbers == ()
    assert player_fouls(play.game, HOME, "19") == 1
    assert "number_illegal" in play.said()


def test_a_coach_who_plays_stays_the_coach() -> None:
    # FIBA interpretation 36-26.
    play = Play(load_profile("fiba-2024"))
    play.game = replace(play.game, home=replace(play.game.home, coach="10"))
    assert play.take(ChangeShirt(HOME, "10", "44")).game.home.coach == "44"
    assert play.refusal(ChangeShirt(HOME, "4", "4")) == "number_is_that"
    assert play.refusal(ChangeShirt(HOME, "4", "5")) == "on_roster"


# --- sent off, hurt -------------------------------------------------------------------------------


def test_who_is_sent_off_is_out_without_a_foul(running: Play) -> None:
    running.take(SendOff(HOME, "10"), SendOff(GUEST))
    assert is_out(running.game, HOME, "10")
    assert why_ejected(running.game, HOME, "10") is Why.SENT_OFF
    assert player_fouls(running.game, HOME, "10") == 0
    assert coach_is_out(running.game, GUEST)
    assert not coach_is_out(running.game, HOME)


def test_three_minor_technicals_are_technicals() -> None:
    # NCAA men, scorer's duties of 2018-19: A+B+B or three minor ones put out.
    play = Play(load_profile("ncaa-men-2026")).start()
    play.take(*[Foul(GUEST, "14", FoulKind.CLASS_B)] * 3)
    assert is_out(play.game, GUEST, "14")
    assert why_ejected(play.game, GUEST, "14") is Why.THREE_TECHNICALS


def test_the_hurt_are_replaced_in_the_league_s_time(running: Play) -> None:
    # NFHS 2-12: fifteen seconds.
    assert replace_by_ms(running.take(Hurt(HOME, "10")).game) is None
    running.stop()
    assert replace_by_ms(running.game) == 1_015_000
    assert running.game.hurt == (Injury(HOME, "10", False, 2),)
    running.take(Substitution(HOME, "12", "10"))
    assert replace_by_ms(running.game) is None


@pytest.mark.parametrize("left", [Hurt(HOME, "10"), Foul(HOME, "10", FoulKind.FLAGRANT)])
def test_no_time_to_replace_is_left_after_a_time_out(running: Play, left: calls.Call) -> None:
    # FIBA interpretation 18/19-17, NFHS 5.8.3A: whoever is out is replaced before it starts; by a
    # time-out an injured player may stay, NFHS 3-3, from memory.
    running.stop().take(left)
    assert replace_by_ms(running.game) == 1_015_000
    assert replace_by_ms(running.take(Timeout(HOME), TimeoutOver()).game) is None


def test_what_to_take_care_of_is_said_once_for_an_injury_and_once_for_blood(running: Play) -> None:
    # NFHS 3-3, signs of concussion and blood: from memory.
    def care(*taken: Hurt) -> list[str]:
        running.take(*taken)
        return [n.kind.name for n in running.notices if n.kind.name.startswith("care")]

    running.stop()
    assert care(Hurt(HOME, "10")) == ["care_head"]
    assert running.told("care_head").rule == "NFHS 3-3"
    assert care(Hurt(GUEST, "14")) == []
    assert care(Hurt(GUEST, "5", True)) == ["care_blood"]
    assert care(Hurt(HOME, "12", True)) == []


def test_who_must_leave_is_called_again_until_something_ends_it(running: Play) -> None:
    running.stop().take(Hurt(HOME, "10", True))
    notice = running.told("must_leave")
    assert notice.slots == {"team": HOME, "number": "10", "bleeds": True, "replace_s": 15}
    assert notice.rule == "NFHS 3-3"
    done = notice.kind.until
    assert done is not None
    assert not done(notice.slots, 3, running.game)
    for call in (Timeout(HOME), Substitution(HOME, "12", "10"), ChangeShirt(HOME, "10", "20")):
        play = Play(running.game.profile).start().stop().take(Hurt(HOME, "10", True), call)
        assert done(notice.slots, 3, play.game)
    assert done(notice.slots, 3, running.start().game)


# --- lane violations ------------------------------------------------------------------------------


def test_a_throw_without_an_award_is_thrown_again(running: Play) -> None:
    running.stop().take(Shot(False, HOME, "4"), LaneViolation(GUEST))
    assert running.game.goals == ()
    assert running.told("throw_again").slots == {"team": HOME, "more": 1}


def test_a_throw_that_is_gone_cannot_be_voided(running: Play) -> None:
    running.take(Score(HOME, 2, "4"))
    for item in (20, 990):
        running.book(LaneViolation(HOME), (events.ThrowVoided(item),))
        assert running.game.misfits
    assert "throw_void" not in running.said()


# --- games not played out -------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("league", "default", "home", "result"),
    [
        # FIBA 20.2 and 21, NFHS 5-4, all from memory.
        ("fiba-2024", False, 5, (0, 20)),
        ("fiba-2024", True, 5, (0, 2)),
        ("nfhs-2026", False, 5, (0, 2)),
        ("nfhs-2026", False, 2, (2, 3)),
        ("fiba-2024", True, 2, (2, 3)),
    ],
)
def test_the_score_of_a_game_that_home_has_lost(
    league: str, default: bool, home: int, result: tuple[int, int]
) -> None:
    play = Play(load_profile(league)).start().take(calls.SetScore(HOME, home), Score(GUEST, 3))
    assert official_score(play.game, Forfeited(HOME, default)) == result
    assert official_score(play.game, Forfeited(GUEST, True)) == ((home, 3) if home > 3 else (2, 0))


def test_a_game_may_be_forfeited_at_any_time_but_after_its_end(play: Play) -> None:
    play.take(Forfeit(HOME))
    assert (play.game.phase, play.game.forfeit) == (Phase.OVER, Forfeited(HOME, False))
    assert play.refusal(Forfeit(HOME)) == "game_over"
    other = Play(play.game.profile).start().take(Timeout(HOME), Forfeit(GUEST, True))
    assert other.told("defaulted").slots["winner"] is HOME


def test_a_game_is_suspended_while_it_is_played(play: Play) -> None:
    assert play.refusal(Suspend()) == "not_started"
    play.start().wait(10).take(Suspend())
    assert play.game.suspended == ((1, 4700, 1_010_000),)
    assert play.game.phase is Phase.STOPPED
    assert play.take(EndGame()).refusal(Suspend()) == "game_over"


# --- noted ----------------------------------------------------------------------------------------


def test_what_is_noted_changes_no_figure(running: Play) -> None:
    running.take(DelayWarning(HOME), TooManyOn(HOME), CheckScore(HOME, 3))
    assert running.game.delays == (HOME,)
    assert running.told("board_differs").slots == {"team": HOME, "shown": 3, "booked": 0}
    running.take(DelayWarning(HOME))
    assert running.told("delay_again").rule == "NFHS 4-47"
    # The check of the board is passed over.
    running.take(CheckScore(HOME, 0), calls.Undo())
    assert running.game.delays == (HOME,)


def test_a_correction_after_a_forfeit_is_after_the_end(running: Play) -> None:
    # NFHS 2-2-4: the officials decide; the forfeit itself may be undone without a word.
    running.take(Score(HOME, 2, "4"), Forfeit(HOME), calls.MakeNumber("5"))
    assert "after_final" in running.said()
    running.take(calls.Undo())
    assert running.take(calls.Undo()).game.phase is not Phase.OVER
    assert "after_final" not in running.said()


def test_another_books_figures_are_those_of_known_players(running: Play) -> None:
    refused = calls.CompareBook(HOME, 2, Figure.FOULS, "99")
    assert running.refusal(refused) == "not_on_roster"
    running.take(calls.Score(HOME, 3, "5"), calls.CompareBook(HOME, 2))
    assert running.entries[-1].events == (events.BookCompared(HOME, Figure.SCORE, 2, 3),)
    assert running.score == (3, 0)
    running.take(calls.Undo())
    assert running.score == (0, 0), "undo passes over a comparison"


def test_a_game_that_is_over_is_not_handed_over(running: Play) -> None:
    moment = running.at().wall_ms
    running.take(calls.HandOver())
    assert running.entries[-1].events == (events.HandedOver(moment),)
    running.take(calls.EndGame())
    assert running.refusal(calls.HandOver()) == "game_over"


def test_an_entry_that_was_not_taken_back_cannot_be_put_back(running: Play) -> None:
    running.take(calls.Score(HOME, 2, "5"), calls.Undo())
    assert running.refusal(calls.PutBack(1)) == "nothing_taken_back"
