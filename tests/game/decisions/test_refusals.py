"""Every refusal, and why no state of the world lets its call be true.

The book follows the official: what is only odd is booked, and said once. So each row names what
makes the call impossible, or that it would change nothing, and a call that meets it.
"""

from __future__ import annotations

from collections.abc import Callable

import pytest

from callout.game import calls
from callout.game.calls import Call, Foul, MakeNumber, MakeTeam, Score, Shot
from callout.game.decisions.refusals import REFUSAL_KINDS
from callout.game.profile.file import load_profile
from callout.game.state import Owner
from callout.game.terms import Award, FoulKind, Moment
from tests.game.play import GUEST, HOME, KITES, Play

Row = tuple[str, Callable[[], Play], Call]


def before(league: str = "nfhs-2026", owner: Owner = Owner.OURS) -> Play:
    """A game before its first call."""
    return Play(load_profile(league), owner)


def playing(*booked: Call, league: str = "nfhs-2026") -> Play:
    """A game whose clock runs, with these calls booked."""
    return before(league).start().take(*booked)


def over() -> Play:
    """A game that has ended."""
    return playing(calls.EndGame())


def approved() -> Play:
    """A game whose score the officials have approved."""
    return over().take(calls.Approve())


def lowered() -> Play:
    """A game in which the officials set a score below its one goal."""
    return playing(Score(HOME, 2, "4"), calls.SetScore(HOME, 0))


def put_back_late() -> Play:
    """A game whose first quarter's end was undone and played over again."""
    return playing(calls.EndPeriod(), calls.Undo(), calls.StartClock())


def checked() -> Play:
    """A game whose checklist is done."""
    play = before()
    return play.take(*[calls.CheckDone()] * len(play.game.profile.before.order))


WHY: dict[str, Row] = {
    # --- what cannot be ----------------------------------------------------------------------
    "not_for_the_book": ("a question has no place in a book", playing, calls.Yes()),
    "has_begun": ("the checklist is done before the game", playing, calls.CheckDone()),
    "tip_past": ("no game begins before now", before, calls.SetTip(1_000)),
    "all_checked": ("nothing is asked any more", checked, calls.CheckDone()),
    "no_starter": ("only a starter can be taken off", before, calls.DropStarter(HOME, "4")),
    "starters_unknown": ("nobody was named who could be right", before,
                         calls.ConfirmStarters(GUEST)),
    "not_started": ("what has not begun cannot end; a forfeit is a call of its own", before,
                    calls.EndGame()),
    "game_over": ("nothing is played after the end; an end called by mistake is undone", over,
                  calls.StartClock()),
    "not_over": ("a score that may still change is not final (NFHS 2-2-4)", playing,
                 calls.Approve()),
    "approved": ("the officials' approval ends what may be put right (NFHS 2-2-4; FIBA 48.3: until "
                 "the crew chief signs)", approved, calls.Undo()),
    "not_approved": ("only a closed book needs a signature", over,
                     calls.Signed(calls.SetScore(HOME, 2), "J. Miller", "counted again")),
    "signature_needed": ("nobody could ask who changed it", approved,
                         calls.Signed(calls.SetScore(HOME, 2), " ", "counted again")),
    "not_signable": ("a closed game is not played on", approved,
                     calls.Signed(calls.StartClock(), "J. Miller", "counted again")),
    "no_period": ("no period is open that could end", before, calls.EndPeriod()),
    "points_impossible": ("the league has no goal of that value",
                          lambda: playing(league="fiba-3x3"), Score(HOME, 3, "4")),
    "foul_unknown": ("the league's book has no foul of that kind",
                     lambda: playing(league="fiba-2024"), Foul(HOME, "4", FoulKind.FLAGRANT)),
    "score_too_low": ("no team has fewer points than none", lowered, calls.NoBasket()),
    "no_foul": ("throws are for a foul, and there was none", playing, calls.SetAward(Award.TWO)),
    "shots_of_other": ("no foul on that team in this stop", lambda: playing(Foul(HOME, "4")),
                       calls.SetAward(Award.TWO, HOME)),
    "no_basket_to_take_off": ("no goal was made", playing, calls.NoBasket()),
    "no_time_left": ("a clock at zero cannot run", lambda: playing().wait(1).take(
        calls.SetClock(0), calls.StopClock()), calls.StartClock()),
    "no_clock": ("the table keeps no clock in this game",
                 lambda: before(owner=Owner.NONE).start(), calls.CheckClock(100)),
    "clock_impossible": ("a period is not that long", playing, calls.SetClock(4801)),
    "same_player": ("nobody replaces himself", playing, calls.Substitution(HOME, "4", "4")),
    "no_arrow": ("nobody has had control yet, so there is no arrow to turn", playing,
                 calls.SwitchArrow()),
    "arrow_unused": ("the league has no arrow", lambda: playing(league="nba-2026"),
                     calls.SetArrow(HOME)),
    "no_throw_in": ("no throw-in by the arrow was given; of others the book keeps nothing", playing,
                    calls.ThrowInViolation()),
    "played_on": ("two periods would be played at once", put_back_late, calls.PutBack()),
    # --- what is not said yet ----------------------------------------------------------------
    "team_needed": ("nobody knows whose throw it was; the table asks", playing, Shot(True)),
    "no_basket_taken_off": ("nothing was taken off that could count again", playing,
                            calls.CountIt()),
    # --- what would change nothing -------------------------------------------------------------
    "score_is_that": ("it is so", playing, calls.SetScore(HOME, 0)),
    "already_running": ("it is so", playing, calls.StartClock()),
    "already_stopped": ("it is so", before, calls.StopClock()),
    "already_dead": ("it is so", before, calls.DeadBall()),
    "clock_is_that": ("it is so", before, calls.SetClock(4800)),
    "nothing_due": ("the clock's own call, made twice", playing,
                    calls.Reminder(Moment.TIMEOUT_END)),
    "no_timeout": ("it is over", playing, calls.TimeoutOver()),
    "already_asked": ("it is so", lambda: playing(calls.TimeoutWaiting(HOME)),
                      calls.TimeoutWaiting(HOME)),
    "no_timeout_waiting": ("it is so", playing, calls.TimeoutWithdrawn(HOME)),
    "no_sub_waiting": ("nobody waits; without a number the book keeps no substitution", playing,
                       calls.SubsIn()),
    "arrow_is_that": ("it is so", lambda: playing(calls.SetArrow(HOME)), calls.SetArrow(HOME)),
    "nothing_open": ("every line has its number", playing, calls.Number("4")),
    "nothing_to_correct": ("the book is empty", playing, MakeNumber("4")),
    "number_is_that": ("it is so", lambda: playing(Score(HOME, 2, "4")), MakeNumber("4")),
    "team_is_that": ("it is so", lambda: playing(Score(HOME, 2, "4")), MakeTeam(HOME)),
    "points_are_that": ("it is so", lambda: playing(Score(HOME, 2, "4")), calls.MakePoints(2)),
    "nothing_to_undo": ("the book is empty", before, calls.Undo()),
    "nothing_taken_back": ("nothing was undone", playing, calls.PutBack()),
    "no_throw": ("the newest line is no free throw", playing, calls.LaneViolation(HOME)),
    "throw_counts": (
        "a made throw stands, whatever the opponents did (FIBA 43, NFHS 9-1, from memory)",
        lambda: playing(Shot(True, HOME)),
        calls.LaneViolation(GUEST),
    ),
    "already_off": ("it is so", lambda: playing(calls.SendOff(HOME)), calls.SendOff(HOME)),
    "on_roster": ("it is so", before, calls.AddPlayer(HOME, "4")),
    "starters_full": ("five start (FIBA 4.2), and one is taken off before another is named",
                      lambda: before().take(*[calls.Starter(HOME, n) for n in KITES[:5]]),
                      calls.Starter(HOME, KITES[5])),
    "already_starter": ("it is so", lambda: before().take(calls.Starter(HOME, "4")),
                        calls.Starter(HOME, "4")),
}  # fmt: skip
"""Each refusal: why its call cannot be true, a game in which it cannot, and the call."""

ANSWERS = {"not_on_roster"}
"""Refusals of questions, which book nothing: nobody has that number, so there is no count."""


def test_every_refusal_says_why_it_is_one() -> None:
    assert WHY.keys() | ANSWERS == REFUSAL_KINDS.keys()
    assert not WHY.keys() & ANSWERS


@pytest.mark.parametrize("kind", WHY)
def test_the_call_is_refused_for_that_reason(kind: str) -> None:
    why, play, call = WHY[kind]
    assert why
    assert play().refusal(call) == kind
