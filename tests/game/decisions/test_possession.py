"""The arrow: who is entitled to the next throw-in by it."""

from __future__ import annotations

from dataclasses import replace

import pytest

from callout.game.calls import (
    Call,
    DoubleFoul,
    EndGame,
    EndPeriod,
    Foul,
    HeldBall,
    OfficialTimeout,
    SetArrow,
    StartPeriod,
    SwitchArrow,
    ThrowInViolation,
    Timeout,
    Tip,
)
from callout.game.choices import Held
from callout.game.events import ArrowSet, BallDead, BallHeld, ControlWon
from callout.game.profile.file import load_profile
from callout.game.state import Phase
from callout.game.terms import FoulKind, Team
from tests.game.play import GUEST, HOME, Play


def test_the_first_arrow_is_the_team_without_first_control(running: Play) -> None:
    # NFHS 6-4, FIBA 12.6.2.
    running.take(Tip(HOME))
    assert running.entries[-1].events == (ControlWon(HOME), ArrowSet(GUEST))


def test_a_toss_called_before_the_clock_was_started_sets_the_arrow(play: Play) -> None:
    # NFHS 6-4, FIBA 12.6.2; that the clock was started too late is common practice, no source.
    play.take(Tip(HOME)).start()
    assert (play.game.period, play.game.arrow, play.game.first_control) == (1, GUEST, HOME)


def test_a_toss_called_before_its_overtime_sets_the_arrow(running: Play) -> None:
    running.take(Tip(HOME)).to_period(4).take(EndPeriod(), Tip(GUEST)).start()
    assert (running.game.period, running.game.arrow) == (5, HOME)


def test_a_toss_in_a_period_that_begins_with_none_is_told(running: Play) -> None:
    # NFHS 6-4, FIBA 12.6.3: later quarters begin with a throw-in by the arrow.
    running.take(Tip(HOME), Tip(GUEST))
    assert "arrow_against" not in running.said()
    running.to_period(2).take(Tip(running.game.arrow or HOME))
    assert "arrow_against" in running.said()


def test_a_held_ball_before_any_arrow_is_tossed_again(running: Play) -> None:
    # FIBA case 12-5, NFHS case 6.4.1C: no control yet, another jump ball, no arrow.
    running.take(HeldBall())
    assert running.entries[-1].events == (BallDead(), BallHeld(None))
    assert running.game.arrow is None


def test_the_arrow_turns_when_its_throw_in_ends_and_not_before(running: Play) -> None:
    # NFHS 4-42-5 (read in an online copy), FIBA 17.1.2: on the touch in bounds, when the clock
    # starts.
    running.take(Tip(HOME)).stop().take(HeldBall())
    assert (running.game.throw_in, running.game.arrow) == (GUEST, GUEST)
    running.start()
    assert (running.game.throw_in, running.game.arrow) == (None, HOME)


def test_a_foul_before_the_throw_in_ends_keeps_the_arrow(running: Play) -> None:
    # FIBA 12.6.6, NFHS 6-4: a foul does not lose the throw-in's arrow.
    running.take(Tip(HOME)).stop().take(HeldBall(), Foul(HOME, "5")).start()
    assert running.game.arrow is GUEST


def held(rules: str) -> Play:
    """Guest is to throw in by the arrow, after a held ball."""
    return Play(load_profile(rules)).start().take(Tip(HOME)).stop().take(HeldBall())


@pytest.mark.parametrize(
    ("rules", "foul", "arrow"),
    [
        # FIBA 36.3: after the throw of a technical play goes on where it stopped; interpretation
        # 12-11 for the same before a quarter.
        ("fiba-2024", Foul(HOME, "5", FoulKind.TECHNICAL), HOME),
        # FIBA 37.2: two throws and the ball, so the arrow's throw-in is none; 12.6.6.
        ("fiba-2024", Foul(HOME, "5", FoulKind.UNSPORTSMANLIKE), GUEST),
        # NFHS 6-4: a foul takes no arrow away. Two throws and the ball are from memory.
        ("nfhs-2026", Foul(HOME, "5", FoulKind.TECHNICAL), GUEST),
        # NCAA, from memory: play goes on where it was stopped.
        ("ncaa-men-2026", Foul(HOME, "5", FoulKind.TECHNICAL), HOME),
        # FIBA 35 and NFHS 4-36 (both from memory): the ball goes to who was to have it.
        ("fiba-2024", DoubleFoul("5", "14"), HOME),
        ("nfhs-2026", DoubleFoul("5", "14"), HOME),
        ("nfhs-2026", DoubleFoul("5", "14", FoulKind.TECHNICAL), HOME),
    ],
)
def test_a_throw_in_by_the_arrow_goes_on_after_a_foul_that_gives_nobody_the_ball(
    rules: str, foul: Foul | DoubleFoul, arrow: Team
) -> None:
    assert held(rules).take(foul).start().game.arrow is arrow


def test_a_throw_in_by_the_arrow_goes_on_after_penalties_that_cancel_each_other() -> None:
    # FIBA 42 (from memory): play goes on as if neither penalty had been; 12.6.6 for one alone.
    rough = FoulKind.UNSPORTSMANLIKE
    play = held("fiba-2024").take(Foul(HOME, "5", rough))
    assert (play.game.throw_in, play.game.arrow) == (None, GUEST)
    play.take(Foul(GUEST, "14", rough))
    assert "penalties_cancel" in play.said()
    assert play.game.throw_in is GUEST
    assert play.start().game.arrow is HOME
    play = held("fiba-2024").take(Foul(HOME, "5"), Foul(HOME, "5", rough), Foul(GUEST, "14", rough))
    assert play.start().game.arrow is GUEST


@pytest.mark.parametrize("stopping", [Timeout(HOME), OfficialTimeout()])
def test_a_held_ball_may_be_called_after_the_time_out_that_followed_it(
    running: Play, stopping: Call
) -> None:
    # NFHS 6-4-3 (read in an online copy): a held ball; then the time-out that was granted, 5-8-3.
    # The scorer may call them the other way round.
    running.take(Tip(HOME), stopping).wait(90).take(HeldBall())
    assert running.told("held_ball").slots["team"] is GUEST
    assert running.game.phase is Phase.TIMEOUT
    running.start()
    assert running.game.arrow is HOME


def test_a_held_ball_called_after_the_horn_is_the_arrows_and_turns_it_once(running: Play) -> None:
    # FIBA 12.6.3: the next quarter begins with the arrow's throw-in anyway.
    running.take(Tip(HOME), EndPeriod(), HeldBall())
    assert running.told("held_ball").slots["team"] is GUEST
    assert running.start().game.arrow is HOME
    ended: list[Call] = [HeldBall(), Tip(HOME)]
    running.take(EndGame())
    assert [running.refusal(call) for call in ended] == ["game_over"] * 2


def test_a_held_ball_during_the_throw_in_is_the_same_teams(running: Play) -> None:
    # NFHS case 7.6.4E.
    running.take(Tip(HOME)).stop().take(HeldBall(), HeldBall())
    assert (running.game.throw_in, running.game.arrow) == (GUEST, GUEST)


def test_a_violation_on_its_own_throw_in_loses_ball_and_arrow(running: Play) -> None:
    # NFHS case 6.4.6A, FIBA case 12-25.
    running.take(Tip(HOME)).stop().take(HeldBall(), ThrowInViolation())
    assert (running.game.throw_in, running.game.arrow) == (None, HOME)
    running.start()
    assert running.game.arrow is HOME


def test_later_quarters_begin_with_the_arrows_throw_in(running: Play) -> None:
    # NFHS 6-4, FIBA 12.6.3.
    running.take(Tip(HOME), EndPeriod(), StartPeriod())
    assert running.game.throw_in is GUEST
    running.start()
    assert running.game.arrow is HOME


def test_a_violation_on_the_opening_throw_in_gives_the_arrow_away(running: Play) -> None:
    # FIBA case 12-25: the entitled team takes five seconds; arrow to the other.
    running.take(Tip(HOME), EndPeriod(), StartPeriod(), ThrowInViolation()).start()
    assert running.game.arrow is HOME


def test_overtime_begins_with_a_jump_ball(running: Play) -> None:
    # NFHS 6-4: a jump ball starts the game and each extra period.
    running.take(Tip(HOME)).to_period(4)
    arrow = running.game.arrow
    running.take(EndPeriod(), StartPeriod())
    # The toss sets the arrow anew.
    assert (arrow, running.game.throw_in, running.game.arrow) == (HOME, None, None)


def test_a_violation_needs_a_throw_in(running: Play) -> None:
    assert running.refusal(ThrowInViolation()) == "no_throw_in"


def test_the_arrow_can_be_turned_and_set_by_hand(running: Play) -> None:
    assert running.refusal(SwitchArrow()) == "no_arrow"
    running.take(SetArrow(HOME), SwitchArrow())
    assert running.game.arrow is GUEST
    assert running.refusal(SetArrow(GUEST)) == "arrow_is_that"


def test_a_league_without_an_arrow_tosses_every_time(play: Play) -> None:
    # NBA 6-VI: held balls are jumped.
    rules = play.game.profile
    free = Play(replace(rules, arrow=replace(rules.arrow, held=Held.JUMP))).start()
    free.take(Tip(HOME), HeldBall())
    assert free.entries[-1].events == (BallDead(), BallHeld(None))
    unused: list[Call] = [SetArrow(HOME), SwitchArrow()]
    assert [free.refusal(call) for call in unused] == ["arrow_unused"] * 2
    free.take(EndPeriod(), StartPeriod())
    assert (free.game.arrow, free.game.throw_in) == (None, None)
