"""What one sound may have been: what of it is booked, and what is asked. Source: the design."""

from __future__ import annotations

import pytest

from callout.game import calls
from callout.game.calls import Call
from callout.game.terms import Team, Topic
from callout.table.talk.doubt import doubt_question, number_in_doubt, numbers_in
from callout.table.talk.questions import ANSWER_MS
from tests.table.play import Book

HOME, GUEST = Team.HOME, Team.GUEST


@pytest.fixture
def running(book: Book) -> Book:
    return book.begun()


def test_points_are_booked_without_the_doubtful_number(running: Book) -> None:
    heard = running.in_doubt(calls.Score(HOME, 2, "15"), calls.Score(HOME, 2, "50"))
    now, question = doubt_question(heard)
    assert now is not None
    assert (now.call, now.doubt) == (calls.Score(HOME, 2), None)
    assert question is not None
    assert (question.kind, question.wants, question.heard) == ("number", "number", None)
    assert question.slots == {"numbers": ("15", "50")}
    assert question.choices == (calls.Number("15"), calls.Number("50"))
    assert question.until_ms == heard.at.wall_ms + ANSWER_MS


def test_a_number_that_may_have_been_none_is_booked_open(running: Book) -> None:
    heard = running.in_doubt(calls.Foul(HOME, "15"), calls.Foul(HOME))
    now, question = doubt_question(heard)
    assert now is not None
    assert now.call == calls.Foul(HOME)
    assert question is not None
    assert question.slots == {"numbers": ("15",)}


def test_a_call_that_is_nothing_without_its_number_waits(running: Book) -> None:
    readings = calls.Substitution(HOME, "15", "4"), calls.Substitution(HOME, "50", "4")
    now, question = doubt_question(running.in_doubt(*readings))
    assert now is None
    assert question is not None
    assert question.heard is not None
    assert question.heard.call == calls.Substitution(HOME, "15", "4")
    assert (question.kind, question.slot, question.choices) == ("shirt", "entering", readings)
    assert question.slots == {"numbers": ("15", "50")}


def test_a_question_about_one_player_waits_for_its_number(running: Book) -> None:
    """Nothing is booked by it, so its number is no piece of what was booked last."""
    readings = [calls.Ask(Topic.PLAYER_FOULS, GUEST, number) for number in ("15", "50")]
    now, question = doubt_question(running.in_doubt(*readings))
    assert now is None
    assert question is not None
    assert (question.kind, question.choices) == ("shirt", tuple(readings))


def test_calls_that_differ_in_more_than_a_number_wait_for_the_answer(running: Book) -> None:
    readings = calls.HeldBall(), calls.Foul(HOME)
    now, question = doubt_question(running.in_doubt(*readings))
    assert now is None
    assert question is not None
    assert (question.kind, question.wants, question.choices) == ("which", "which", readings)
    assert question.slots == {"words": ("0", "1")}


def test_a_certain_call_is_not_asked_about(running: Book) -> None:
    heard = running.heard(calls.Score(HOME, 2, "15"))
    assert doubt_question(heard) == (heard, None)


@pytest.mark.parametrize(
    ("readings", "slot"),
    [
        ([calls.Foul(HOME, "15"), calls.Foul(HOME, "50"), calls.Foul(HOME, "15")], "number"),
        ([calls.Substitution(HOME, "15", "4"), calls.Substitution(HOME, "15", "14")], "leaving"),
        ([calls.DoubleFoul("13", "5"), calls.DoubleFoul("30", "5")], "home"),
        ([calls.Foul(HOME, "15"), calls.Foul(HOME)], "number"),
        ([calls.Foul(HOME, "15")], None),
        ([calls.Foul(HOME, "15"), calls.Foul(GUEST, "15")], None),
        ([calls.Foul(HOME, "15"), calls.Foul(GUEST, "50")], None),
        ([calls.Foul(HOME, "15"), calls.Score(HOME, 2, "15")], None),
        ([calls.Score(HOME, 2, "15"), calls.Score(HOME, 3, "15")], None),
    ],
)
def test_what_a_doubt_is_of(readings: list[Call], slot: str | None) -> None:
    assert number_in_doubt(readings) == slot


def test_the_numbers_of_a_call() -> None:
    assert numbers_in(calls.Substitution(HOME, "15", "4")) == {"15", "4"}
    assert numbers_in(calls.Foul(HOME)) == frozenset()
    assert numbers_in(calls.SetScore(HOME, 12)) == frozenset()
