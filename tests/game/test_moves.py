"""Substitutions, held balls and first controls put right.

The reference of each correction is the same game with the right call in the place of the wrong one.
A throw-in that was taken stays taken: FIBA interpretation 12-9.
"""

from __future__ import annotations

from dataclasses import replace

import pytest

from callout.game import calls
from callout.game.calls import (
    HeldBall,
    PutRight,
    SetArrow,
    StartClock,
    StopClock,
    Substitution,
    Tip,
)
from callout.game.decide import Decisions, Refusal
from callout.game.profile.file import load_profile
from callout.game.put_right import PastEntries
from callout.game.state import SubLine
from tests.game.play import GUEST, HOME, Play


def fitting(play: Play, call: PutRight) -> list[int]:
    """The entries that fit."""
    found = PastEntries(play.begin, play.entries, play.game).fitting(call)
    return [each.item // 10 for each in found]


def right(play: Play, call: PutRight) -> Play:
    """Book the newest correction that a description means."""
    past = PastEntries(play.begin, play.entries, play.game)
    (correct, *_) = past.fitting(call)
    decision = Decisions(play.game, past).on(correct, play.at())
    assert not isinstance(decision, Refusal), decision
    play.book(correct, decision)
    return play


def of(play: Play) -> tuple[object, ...]:
    """All that a move changes; whose a held ball was only while it is to be thrown in."""
    game = play.game
    moves = tuple(m if isinstance(m, SubLine) else replace(m, team=None) for m in game.moves)
    return (moves, game.on_court, game.changes, game.arrow, game.throw_in, game.first_control)


IN = Substitution(HOME, "5", "7")


@pytest.mark.parametrize(
    ("wrong", "rightly", "call"),
    [
        (IN, Substitution(HOME, "4", "7"), PutRight(HOME, "sub", "5", to_number="4")),
        (IN, Substitution(HOME, "5", "4"), PutRight(HOME, "sub", "7", to_number="4")),
        (IN, Substitution(HOME, "3", "7"), PutRight(HOME, "sub", "5", points=3)),
        (IN, Substitution(HOME, "4", "7"), PutRight(HOME, "sub", to_number="4")),
        (IN, Substitution(HOME, "4", "10"), PutRight(HOME, "sub", to_number="4", leaving="10")),
        (IN, Substitution(GUEST, "5", "7"), PutRight(HOME, "sub", to=GUEST)),
        (Tip(HOME), Tip(GUEST), PutRight(None, "tip", to=GUEST)),
        (SubLine, None, PutRight(HOME, "sub", "5", off=True)),
        (HeldBall, None, PutRight(None, "held", off=True)),
        (Tip, None, PutRight(None, "tip", off=True)),
    ],
)
def test_the_book_is_as_if_it_had_been_called_rightly(
    wrong: object, rightly: calls.Call | None, call: PutRight
) -> None:
    profile = load_profile("fiba-2024")
    lists = ("3", "4", "5", "7", "10", "11", "12")
    play, reference = (Play(profile, home=lists).start().take(Tip(HOME)) for _ in range(2))
    never = {SubLine: IN, HeldBall: HeldBall(), Tip: Tip(GUEST)}
    play.take(never.get(wrong, wrong))  # type: ignore[call-overload]
    reference.take(*([rightly] if rightly else []))
    for each in (play, reference):
        each.take(Substitution(GUEST, "14", "15"), StopClock())
    right(play, call)
    first, second = of(play), of(reference)
    if rightly is None:
        # An entry more was made before those that follow.
        first, second = first[1:], second[1:]
        assert len(play.game.moves) == len(reference.game.moves)
    assert first == second
    assert play.game.misfits == ()


def test_a_held_ball_that_was_the_others_turns_the_arrow_from_there(running: Play) -> None:
    running.take(Tip(HOME), StopClock(), SetArrow(HOME), HeldBall())
    assert (running.game.throw_in, running.game.arrow) == (HOME, HOME)
    right(running, PutRight(None, "held", to=GUEST, last=True))
    assert (running.game.throw_in, running.game.arrow) == (GUEST, GUEST)
    assert running.told("changed_held").slots["arrow"] is GUEST
    running.take(calls.Undo())
    assert running.said() == ["undone_change", "arrow"]
    assert (running.game.throw_in, running.game.arrow) == (HOME, HOME)
    right(running, PutRight(None, "held", to=GUEST)).take(StartClock())
    assert running.game.arrow is HOME


def test_it_is_the_same_once_the_throw_in_has_ended(running: Play) -> None:
    running.take(Tip(HOME), StopClock(), SetArrow(HOME), HeldBall(), StartClock(), StopClock())
    assert running.game.arrow is GUEST
    right(running, PutRight(None, "held", to=GUEST))
    assert running.game.arrow is HOME


def test_a_throw_in_that_was_taken_stays_and_who_was_entitled_keeps_the_arrow(
    running: Play,
) -> None:
    # FIBA interpretation 12-9. Guest won the tip, so home had the arrow; the table showed guest's.
    running.take(Tip(HOME), StopClock(), HeldBall(), StartClock(), StopClock())
    right(running, PutRight(None, "tip", to=GUEST))
    assert running.game.first_control is GUEST
    assert running.game.arrow is HOME
    assert [move.team for move in running.game.moves] == [GUEST, GUEST]


def test_a_throw_in_that_is_still_to_come_goes_to_the_other_team(running: Play) -> None:
    running.take(Tip(HOME), StopClock(), HeldBall())
    right(running, PutRight(None, "tip", to=GUEST))
    assert (running.game.throw_in, running.game.arrow) == (HOME, HOME)


def test_who_says_that_the_arrow_turned_means_that_throw_in(running: Play) -> None:
    running.take(Tip(HOME), StopClock(), HeldBall(), calls.SwitchArrow())
    right(running, PutRight(None, "tip", to=GUEST))
    assert running.game.arrow is HOME


def test_what_is_so_already_does_not_fit(running: Play) -> None:
    running.take(Tip(HOME), IN, HeldBall())
    for call in (
        PutRight(None, "tip", to=HOME),
        PutRight(None, "held", to=GUEST),
        PutRight(HOME, "sub", "5", to_number="5"),
        PutRight(HOME, "sub", "4", to_number="5"),
        PutRight(GUEST, "sub", off=True),
        PutRight(HOME, "sub", "5", made=True),
        PutRight(None, "tip", period=2, to=GUEST),
        PutRight(None, "tip", to_number="5"),
    ):
        assert fitting(running, call) == []


def test_the_newest_comes_first(running: Play) -> None:
    running.take(IN, Substitution(GUEST, "5", "8"), Substitution(HOME, "10", "5"))
    assert fitting(running, PutRight(HOME, "sub", "5", to_number="4")) == [4, 2]
    assert fitting(running, PutRight(HOME, "sub", to_number="4", last=True)) == [4]


@pytest.mark.parametrize(
    ("correct", "kind"),
    [
        (calls.Correct(20, number="99"), "not_on_roster"),
        (calls.Correct(20, leaving="99"), "not_on_roster"),
        (calls.Correct(20, number="7"), "same_player"),
        (calls.Correct(20, number="5"), "nothing_to_correct"),
        (calls.Correct(770, number="5"), "nothing_to_correct"),
    ],
)
def test_what_cannot_be_is_refused(running: Play, correct: calls.Correct, kind: str) -> None:
    running.take(IN)
    past = PastEntries(running.begin, running.entries, running.game)
    decision = Decisions(running.game, past).on(correct, running.at())
    assert isinstance(decision, Refusal)
    assert decision.kind == kind


def test_without_an_arrow_a_held_ball_is_nobodys() -> None:
    # NBA 6-IV, from memory: a jump ball.
    play = Play(load_profile("nba-2026")).start().take(Tip(HOME), HeldBall())
    assert fitting(play, PutRight(None, "held", to=GUEST)) == []
    assert play.refusal(HeldBall(GUEST)) == "arrow_unused"
    right(play, PutRight(None, "held", off=True))
    assert play.told("undone_held").slots == {"nth": None, "unit": None, "arrow": None}
    right(play, PutRight(None, "tip", to=GUEST))
    assert play.game.first_control is GUEST


def test_of_an_earlier_period_that_is_said(running: Play) -> None:
    running.take(Tip(HOME), IN).to_period(2)
    right(running, PutRight(HOME, "sub", "5", to_number="4"))
    assert running.told("changed_sub").slots == {
        "nth": 1, "unit": "quarter", "team": HOME, "entering": "4", "leaving": "7",
        "was_team": None, "was_entering": "5", "was_leaving": None,
    }  # fmt: skip
    right(running, PutRight(None, "tip", to=GUEST))
    assert running.told("changed_tip").slots["nth"] == 1
    right(running, PutRight(None, "tip", off=True))
    assert running.said() == ["undone_tip"]
    right(running, PutRight(HOME, "sub", off=True))
    assert running.said() == ["undone_sub"]


def test_a_shirt_that_was_changed_is_the_player_s_there_too(running: Play) -> None:
    running.take(IN, calls.ChangeShirt(HOME, "5", "33"))
    assert fitting(running, PutRight(HOME, "sub", "33", to_number="4")) == [2]
