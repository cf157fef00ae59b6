"""What is asked before it is booked. The cases are the sentences of the design on asking."""

from __future__ import annotations

from dataclasses import replace

import pytest

from callout.game import calls
from callout.game.calls import Call
from callout.game.notice import Notice
from callout.game.state import Owner
from callout.game.terms import Award, Team, Topic
from callout.table.asking import (
    ANSWER_MS,
    ASKED,
    Doubt,
    Heard,
    doubt_question,
    last_goal,
    number_in_doubt,
    numbers_in,
    question_for,
    with_value,
)
from callout.table.dialogue import open_question

from .book import Book

HOME, GUEST = Team.HOME, Team.GUEST


def asked(book: Book, call: Call, source: str = "voice") -> str | None:
    question = question_for(book.heard(call, source), book.game, book.dialogue.last)
    return question and question.kind


@pytest.fixture
def running(book: Book) -> Book:
    book.take(calls.StartClock())
    book.wait(10)
    return book


@pytest.mark.parametrize(
    ("call", "kind"),
    [
        (calls.EndPeriod(), "end_period"),
        (calls.EndGame(), "end_game"),
        (calls.SetScore(HOME, 12), "set_score"),
        (calls.SoundHorn(), "horn"),
        (calls.SetClock(4_100), None),
        (calls.SetClock(4_099), "clock"),
        (calls.AdjustClock(-600), None),
        (calls.AdjustClock(-601), "clock"),
        (calls.Shot(True), "team"),
        (calls.Shot(True, HOME), None),
        (calls.Score(HOME, 2), None),
        (calls.Foul(GUEST, "5"), None),
        (calls.StopClock(), None),
        (calls.Undo(), None),
        (calls.Timeout(GUEST), None),
    ],
)
def test_what_is_asked_while_the_clock_runs(running: Book, call: Call, kind: str | None) -> None:
    # The clock shows 7:50: the jump that is asked about is one of more than a minute.
    assert running.game.clock.left_at(running.now_ms) == 4_700
    assert asked(running, call) == kind


def test_nothing_is_asked_where_the_clock_stands_or_is_out(running: Book) -> None:
    running.take(calls.StopClock())
    assert asked(running, calls.SoundHorn()) is None
    running.take(calls.EndPeriod())
    assert asked(running, calls.EndPeriod()) is None
    assert asked(running, calls.EndGame()) is None


def test_where_no_clock_is_kept_the_end_of_a_period_is_not_asked_about() -> None:
    book = Book(Owner.NONE)
    book.take(calls.StartPeriod())
    assert asked(book, calls.EndPeriod()) is None


def test_a_free_throw_needs_no_team_while_throws_are_owed(running: Book) -> None:
    running.take(calls.Foul(GUEST, "5", award=Award.TWO))
    assert asked(running, calls.Shot(True)) is None


@pytest.mark.parametrize("source", ["clock", "script"])
def test_the_clock_and_a_script_are_never_asked(running: Book, source: str) -> None:
    assert asked(running, calls.SetClock(100), source) is None
    assert asked(running, calls.EndPeriod(), source) is None


@pytest.mark.parametrize(
    ("second", "after_s", "source", "kind"),
    [
        (calls.Score(HOME, 2, "5"), 4.0, "voice", "another"),
        (calls.Score(HOME, 2), 0.0, "voice", "another"),
        (calls.Score(HOME, 2, "5"), 4.1, "voice", None),
        (calls.Score(HOME, 2, "5"), 2.0, "key", None),
        (calls.Score(HOME, 3, "5"), 2.0, "voice", None),
        (calls.Score(GUEST, 2, "5"), 2.0, "voice", None),
    ],
)
def test_the_same_goal_twice_is_a_crew_repeating(
    running: Book, second: calls.Score, after_s: float, source: str, kind: str | None
) -> None:
    running.take(calls.Score(HOME, 2, "5"))
    running.wait(after_s)
    assert asked(running, second, source) == kind


def test_no_repeat_once_the_clock_stood_or_the_first_was_no_voice_s(running: Book) -> None:
    running.take(calls.Score(HOME, 2, "5"))
    running.take(calls.StopClock())
    assert asked(running, calls.Score(HOME, 2, "5")) is None
    running.take(calls.StartClock())
    assert asked(running, calls.Score(HOME, 2, "5")) is None
    running.take(calls.Score(GUEST, 2, "5"), "pedal")
    assert asked(running, calls.Score(GUEST, 2, "5")) is None


def test_no_repeat_of_what_was_taken_back(running: Book) -> None:
    running.take(calls.Score(HOME, 2, "5"))
    running.take(calls.Undo())
    assert asked(running, calls.Score(HOME, 2, "5")) is None


def test_a_free_throw_is_never_a_repeat(running: Book) -> None:
    entry = running.take(calls.Shot(True, HOME))
    assert last_goal(entry) is None
    assert asked(running, calls.Shot(True, HOME)) is None
    running.take(calls.Score(HOME, 1))
    assert asked(running, calls.Score(HOME, 1)) is None


def test_only_a_foul_after_the_horn_is_asked_about(running: Book) -> None:
    running.take(calls.EndPeriod())
    assert asked(running, calls.Foul(GUEST, "5")) == "before_horn"
    assert asked(running, calls.Foul(GUEST, "5", before_horn=True)) is None
    running.take(calls.StartPeriod())
    assert asked(running, calls.Foul(GUEST, "5")) is None


def test_a_foul_before_the_game_has_no_horn_before_it(book: Book) -> None:
    assert asked(book, calls.Foul(GUEST, "5")) is None


# --- doubt of a number -----------------------------------------------------------------------


def in_doubt(book: Book, *readings: Call) -> Heard:
    words = tuple(str(at) for at in range(len(readings)))
    return replace(book.heard(readings[0]), doubt=Doubt(readings, words))


def test_points_are_booked_without_the_doubtful_number(running: Book) -> None:
    heard = in_doubt(running, calls.Score(HOME, 2, "15"), calls.Score(HOME, 2, "50"))
    now, question = doubt_question(heard, 5_000)
    assert now is not None
    assert (now.call, now.doubt) == (calls.Score(HOME, 2), None)
    assert question is not None
    assert (question.kind, question.wants, question.heard) == ("number", "number", None)
    assert question.slots == {"numbers": ("15", "50")}
    assert question.choices == (calls.Number("15"), calls.Number("50"))
    assert question.until_ms == 5_000 + ANSWER_MS


def test_a_number_that_may_have_been_none_is_booked_open(running: Book) -> None:
    heard = in_doubt(running, calls.Foul(HOME, "15"), calls.Foul(HOME))
    now, question = doubt_question(heard, 0)
    assert now is not None
    assert now.call == calls.Foul(HOME)
    assert question is not None
    assert question.slots == {"numbers": ("15",)}


def test_a_call_that_is_nothing_without_its_number_waits(running: Book) -> None:
    readings = calls.Substitution(HOME, "15", "4"), calls.Substitution(HOME, "50", "4")
    now, question = doubt_question(in_doubt(running, *readings), 0)
    assert now is None
    assert question is not None
    assert question.heard is not None
    assert question.heard.call == calls.Substitution(HOME, "15", "4")
    assert (question.kind, question.slot, question.choices) == ("shirt", "entering", readings)
    assert question.slots == {"numbers": ("15", "50")}


def test_calls_that_differ_in_more_than_a_number_wait_for_the_answer(running: Book) -> None:
    readings = calls.HeldBall(), calls.Foul(HOME)
    now, question = doubt_question(in_doubt(running, *readings), 0)
    assert now is None
    assert question is not None
    assert (question.kind, question.wants, question.choices) == ("which", "which", readings)
    assert question.slots == {"words": ("0", "1")}


def test_a_certain_call_is_not_asked_about(running: Book) -> None:
    heard = running.heard(calls.Score(HOME, 2, "15"))
    assert doubt_question(heard, 0) == (heard, None)


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


def test_a_value_is_put_into_a_call() -> None:
    assert with_value(calls.Ask(Topic.SCORE), "topic", Topic.TIME) == calls.Ask(Topic.TIME)


def test_every_question_has_the_slots_that_are_listed_for_it(running: Book) -> None:
    """The list that the replies are checked against, held against the questions themselves."""
    seen: dict[str, frozenset[str]] = {"expired": frozenset()}

    def ask(call: Call) -> None:
        question = question_for(running.heard(call), running.game, running.dialogue.last)
        assert question is not None
        asks: Notice = open_question(running.dialogue, question)[1]
        seen[question.kind] = frozenset(asks.slots)

    ask(calls.EndPeriod())
    ask(calls.EndGame())
    ask(calls.SetScore(HOME, 12))
    ask(calls.SoundHorn())
    ask(calls.SetClock(0))
    ask(calls.Shot(False))
    running.take(calls.Score(HOME, 2))
    ask(calls.Score(HOME, 2))
    running.take(calls.EndPeriod())
    ask(calls.Foul(HOME))
    for doubted in (
        (calls.Foul(HOME, "5"), calls.Foul(HOME, "50")),
        (calls.Number("5"), calls.Number("50")),
        (calls.HeldBall(), calls.Mark()),
    ):
        question = doubt_question(in_doubt(running, *doubted), 0)[1]
        assert question is not None
        seen[question.kind] = frozenset(question.slots)
    assert seen == ASKED
