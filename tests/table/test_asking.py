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
    Question,
    doubt_between,
    doubt_question,
    last_goal,
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


def test_points_are_booked_without_the_doubtful_number(running: Book) -> None:
    doubt = Doubt("number", ("15", "50"))
    heard = running.heard(calls.Score(HOME, 2, "15"))
    now, question = doubt_question(replace(heard, doubt=doubt), 5_000)
    assert now is not None
    assert (now.call, now.doubt) == (calls.Score(HOME, 2), None)
    assert question == Question(
        "number", 5_000 + ANSWER_MS, slots={"numbers": ("15", "50")}, wants="number"
    )


def test_a_call_that_is_nothing_without_its_number_waits(running: Book) -> None:
    heard = running.heard(calls.Substitution(HOME, "15", "4"))
    now, question = doubt_question(replace(heard, doubt=Doubt("entering", ("15", "50"))), 0)
    assert now is None
    assert question is not None
    assert question.heard is not None
    assert question.heard.call == calls.Substitution(HOME, "15", "4")


def test_a_certain_call_is_not_asked_about(running: Book) -> None:
    heard = running.heard(calls.Score(HOME, 2, "15"))
    assert doubt_question(heard, 0) == (heard, None)


@pytest.mark.parametrize(
    ("readings", "doubt"),
    [
        (
            [calls.Foul(HOME, "15"), calls.Foul(HOME, "50"), calls.Foul(HOME, "15")],
            Doubt("number", ("15", "50")),
        ),
        (
            [calls.Substitution(HOME, "15", "4"), calls.Substitution(HOME, "15", "14")],
            Doubt("leaving", ("4", "14")),
        ),
        ([calls.DoubleFoul("13", "5"), calls.DoubleFoul("30", "5")], Doubt("home", ("13", "30"))),
        ([calls.Foul(HOME, "15")], None),
        ([calls.Foul(HOME, "15"), calls.Foul(GUEST, "15")], None),
        ([calls.Foul(HOME, "15"), calls.Foul(GUEST, "50")], None),
        ([calls.Foul(HOME, "15"), calls.Foul(HOME)], None),
        ([calls.Foul(HOME, "15"), calls.Score(HOME, 2, "15")], None),
        ([calls.Score(HOME, 2, "15"), calls.Score(HOME, 3, "15")], None),
    ],
)
def test_only_a_number_may_be_in_doubt(readings: list[Call], doubt: Doubt | None) -> None:
    assert doubt_between(readings) == doubt


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
    doubtful = replace(running.heard(calls.Number("5")), doubt=Doubt("number", ("5", "50")))
    question = doubt_question(doubtful, 0)[1]
    assert question is not None
    seen["number"] = frozenset(question.slots)
    assert seen == ASKED
