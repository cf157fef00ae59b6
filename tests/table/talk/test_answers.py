"""What a call means to an open question. The whole talk is tested in `test_dialogue.py`."""

from __future__ import annotations

import pytest

from callout.game import calls
from callout.game.calls import Call
from callout.game.terms import Award, Team
from callout.table.talk import question_kinds as kinds
from callout.table.talk.answers import choice_of, completed, is_agreed, picking, with_number
from callout.table.talk.doubt import doubt_question
from callout.table.talk.questions import Question
from tests.table.play import Book

HOME, GUEST = Team.HOME, Team.GUEST


@pytest.fixture
def running(book: Book) -> Book:
    return book.begun()


def test_a_choice_is_picked_by_the_call_or_by_the_number_alone(running: Book) -> None:
    """A whole call is no other team's, though both have the number."""
    fouls = calls.Foul(HOME, "5"), calls.Foul(GUEST, "5")
    which = doubt_question(running.in_doubt(*fouls))[1]
    assert which is not None
    assert picking(which, [fouls[1]]) == calls.Pick(2)
    assert picking(which, [calls.Foul(GUEST, "8")]) is None
    number = doubt_question(running.in_doubt(fouls[0], calls.Foul(HOME, "50")))[1]
    assert number is not None
    assert picking(number, [calls.Foul(HOME, "50")]) == calls.Pick(2)


def which(running: Book, *readings: Call) -> Question:
    question = doubt_question(running.in_doubt(*readings))[1]
    assert question is not None
    return question


def test_a_spoken_yes_picks_none_of_two_choices_and_a_key_picks_the_first(running: Book) -> None:
    tip, held = calls.Tip(HOME), calls.HeldBall()
    question = which(running, tip, held)
    assert choice_of(question, running.heard(calls.Yes())) is None
    assert choice_of(question, running.heard(calls.Yes(), "key")) == tip
    assert choice_of(question, running.heard(calls.No(), "key")) == held
    assert choice_of(question, running.heard(held)) == held
    assert choice_of(question, running.heard(calls.Pick(2))) == held


def test_a_number_completes_the_call_that_waits_for_it(running: Book) -> None:
    fifteen, fifty = (calls.Substitution(HOME, number, "4") for number in ("15", "50"))
    question = which(running, fifteen, fifty)
    assert with_number(question, running.heard(calls.Answer("50")), "50").call == fifty
    basket = which(running, calls.Score(HOME, 2, "15"), calls.Score(HOME, 2, "50"))
    answer = running.heard(calls.Answer("50"))
    assert with_number(basket, answer, "50").call == calls.Number("50")


def test_a_foul_at_the_horn_takes_its_number_and_throws(running: Book) -> None:
    foul = running.heard(calls.Foul(GUEST))
    question = Question(kinds.BEFORE_HORN, 0, foul, foul)
    for piece, whole in (
        (calls.Number("5"), calls.Foul(GUEST, "5")),
        (calls.SetAward(Award.TWO), calls.Foul(GUEST, award=Award.TWO)),
    ):
        more = completed(question, piece)
        assert more is not None
        assert more.heard is not None
        assert more.heard.call == whole
    assert completed(question, calls.MakeTeam(HOME)) is None


def test_who_starts_the_clock_insists_on_the_early_start(running: Book) -> None:
    early = Question(kinds.START_EARLY, 0, running.heard(calls.StartClock()))
    assert is_agreed(early, calls.StartClock())
    assert not is_agreed(early, calls.StopClock())
    assert is_agreed(Question(kinds.CARRY_ON, 0), calls.SetClock(100))
    assert not is_agreed(Question(kinds.CARRY_ON, 0), calls.Score(HOME, 2))
