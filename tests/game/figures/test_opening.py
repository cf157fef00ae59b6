"""How a period begins, and what is said of it. What is said agrees with the arrow that is set."""

from __future__ import annotations

import pytest

from callout.game.calls import (
    Ask,
    DoubleFoul,
    EndPeriod,
    Foul,
    HeldBall,
    Reminder,
    Score,
    Shot,
    StartPeriod,
    Tip,
)
from callout.game.choices import Opening
from callout.game.figures.opening import ball_by_foul, lacks_first_control, next_period
from callout.game.notices.answers import answers
from callout.game.profile.file import load_profile
from callout.game.terms import FoulKind, Moment, Offender, Topic
from tests.game.play import GUEST, HOME, Play

TECHNICAL, UNSPORTSMANLIKE = FoulKind.TECHNICAL, FoulKind.UNSPORTSMANLIKE


def begins(play: Play) -> tuple[object, object]:
    """Who was said to have the ball, and what was said to settle it."""
    slots = play.told("period_started").slots
    return slots["team"], slots["opening"]


def test_a_game_begins_with_a_jump_ball(play: Play) -> None:
    # NFHS 6-4.
    assert begins(play.take(StartPeriod())) == (None, Opening.JUMP)


def test_a_technical_before_the_game_gives_a_throw_in_and_the_arrow(play: Play) -> None:
    # NFHS 6-4-1 (from memory): shots and the ball; the other team has the arrow.
    play.take(Foul(GUEST, "14", TECHNICAL))
    assert begins(play.take(StartPeriod())) == (HOME, None)
    assert play.game.arrow is GUEST
    assert play.told("arrow").slots == {"team": GUEST}


def test_fibas_technical_brings_no_ball_and_the_game_a_jump_ball() -> None:
    # FIBA interpretation 9-7: one free throw, then the jump ball.
    play = Play(load_profile("fiba-2024")).take(Foul(GUEST, "14", TECHNICAL))
    assert begins(play.take(StartPeriod())) == (None, Opening.JUMP)
    assert play.game.arrow is None


@pytest.mark.parametrize(("offender", "ball"), [(HOME, GUEST), (GUEST, HOME)])
def test_a_foul_in_an_interval_gives_the_ball_and_leaves_the_arrow(
    offender: object, ball: object
) -> None:
    # FIBA interpretations 12-10 and 12-21: two throws and the ball; whoever had the arrow keeps it.
    play = Play(load_profile("fiba-2024")).start().take(Tip(HOME), EndPeriod())
    play.take(Foul(offender, "5", UNSPORTSMANLIKE))  # type: ignore[arg-type]
    assert ball_by_foul(play.game, 2) is ball
    play.take(Reminder(Moment.INTERVAL_WARNING))
    assert play.told("interval_warning").slots["team"] is ball
    assert begins(play.take(StartPeriod())) == (ball, None)
    assert play.game.arrow is GUEST


def test_equal_fouls_of_both_teams_leave_it_as_it_was() -> None:
    # FIBA interpretation 42-17: the arrow's throw-in.
    play = Play(load_profile("fiba-2024")).start().take(Tip(HOME), EndPeriod())
    play.take(Foul(HOME, "5", UNSPORTSMANLIKE), Foul(GUEST, "14", UNSPORTSMANLIKE))
    assert next_period(play.game).throw_in is GUEST
    assert begins(play.take(StartPeriod())) == (GUEST, None)


@pytest.mark.parametrize("league", ["nfhs-2026", "fiba-2024"])
def test_after_fouls_of_both_teams_the_last_penalty_has_the_ball(league: str) -> None:
    # FIBA 42: the ball only as part of the last penalty; NFHS 8-7 (from memory): in their order.
    # By FIBA equal penalties cancel, so here the first throws were taken before the second foul.
    play = Play(load_profile(league)).start().take(Tip(HOME), EndPeriod())
    rough = UNSPORTSMANLIKE if league == "fiba-2024" else TECHNICAL
    play.take(Foul(HOME, "5", rough), Shot(True), Shot(True), Foul(GUEST, "14", rough))
    assert "shots_and_ball" in play.said()
    assert begins(play.take(StartPeriod())) == (HOME, None)
    assert play.start().game.arrow is GUEST


def test_a_double_technical_leaves_it_to_the_arrow(play: Play) -> None:
    # NFHS case 3.4.3C: no throws; that the arrow's throw-in follows, from memory.
    play.start().take(Tip(HOME), EndPeriod(), DoubleFoul("5", "14", TECHNICAL))
    assert begins(play.take(StartPeriod())) == (GUEST, None)


def test_a_bench_that_leaves_for_a_fight_gives_the_ball_once() -> None:
    # FIBA 39.3 (from memory): equal penalties of a fight cancel, however many players leave.
    play = Play(load_profile("fiba-2024")).start().take(Tip(HOME), EndPeriod())
    left = [Foul(team, number, FoulKind.DISQUALIFYING, Offender.BENCH, fight=True)
            for team, number in ((HOME, "5"), (GUEST, "14"), (HOME, "7"))]  # fmt: skip
    play.take(*left)
    assert "shots_and_ball" not in play.said()
    assert begins(play.take(StartPeriod())) == (GUEST, None)


# --- a first control that nobody has called -------------------------------------------------------


def lacks(play: Play) -> bool:
    return lacks_first_control(play.game, play.at().left_tenths)


@pytest.mark.parametrize(
    ("league", "needs"), [("nfhs-2026", True), ("fiba-2024", True), ("nba-2026", True),
                          ("fiba-3x3", False)],
)  # fmt: skip
def test_a_basket_shows_that_a_team_had_control(league: str, needs: bool) -> None:
    # NFHS 6-4, FIBA 12.6.2: the arrow goes by it; NBA 6-I: so do the later quarters. 3x3 rules
    # table: there is no arrow.
    play = Play(load_profile(league)).start().wait(3)
    assert not lacks(play)
    assert lacks(play.take(Score(HOME, 2))) is needs
    assert not lacks(play.take(Tip(HOME)))


def test_so_does_a_period_that_is_over_or_longer_than_a_toss(running: Play) -> None:
    # FIBA interpretation 12-5: a held ball right after the tap is another jump ball.
    assert not lacks(running.wait(10))
    assert lacks(running.wait(0.1))
    assert lacks(running.take(EndPeriod()))
    running.start()
    assert lacks(running)


def test_a_held_ball_then_asks_for_it_and_is_no_jump_ball(running: Play) -> None:
    running.wait(3).take(HeldBall())
    assert "held_ball_jump" in running.said()
    running.wait(60).take(HeldBall())
    assert "held_ball_open" in running.said()
    assert [n.kind for n in answers(running.game, Ask(Topic.ARROW), running.at())] == [
        "control_lacking"
    ]
    running.take(Tip(HOME), HeldBall())
    assert running.told("held_ball").slots == {"team": GUEST}


def test_the_end_of_a_period_asks_for_it_unless_a_toss_or_nothing_follows(running: Play) -> None:
    assert "control_lacking" in running.wait(60).take(EndPeriod()).said()
    running.to_period(4).take(EndPeriod())
    # NFHS 6-4: an overtime begins with a jump ball.
    assert "control_lacking" not in running.said()
    running.start().take(Score(HOME, 2), EndPeriod())
    assert "control_lacking" not in running.said()
