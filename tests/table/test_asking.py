"""What is asked before it is booked. The cases are the sentences of the design on asking."""

from __future__ import annotations

import pytest

from callout.game import calls
from callout.game.calls import Call
from callout.game.notice import Notice
from callout.game.state import Owner
from callout.game.terms import Award, FoulKind, Team, Topic
from callout.table.asking import (
    ASKED,
    CARRY_ON,
    last_goal,
    question_for,
    with_value,
)
from callout.table.dialogue import open_question
from callout.table.doubt import doubt_question

from .book import Book

HOME, GUEST = Team.HOME, Team.GUEST


def asked(book: Book, call: Call, source: str = "voice") -> str | None:
    question = question_for(book.heard(call, source), book.game, book.dialogue.last)
    return question and question.kind


@pytest.fixture
def running(book: Book) -> Book:
    return book.begun()


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


# --- the same foul again ----------------------------------------------------------------------


@pytest.mark.parametrize(
    ("again", "after_s", "source", "asked_about"),
    [
        (calls.Foul(GUEST, "5"), 3.0, "voice", True),
        (calls.Foul(GUEST, "5", award=Award.TWO), 3.0, "voice", True),
        (calls.Foul(GUEST, "5"), 4.1, "voice", False),
        (calls.Foul(GUEST, "5"), 3.0, "key", False),
        (calls.Foul(GUEST, "14"), 3.0, "voice", False),
        (calls.Foul(HOME, "5"), 3.0, "voice", False),
        (calls.Foul(GUEST), 3.0, "voice", False),
        (calls.Foul(GUEST, "5", FoulKind.TECHNICAL), 3.0, "voice", False),
    ],
)
def test_the_same_foul_called_twice_in_a_breath_is_asked_about(
    running: Book, again: Call, after_s: float, source: str, asked_about: bool
) -> None:
    """Common practice, no source: a partner repeats the official's report aloud."""
    running.hear(calls.Foul(GUEST, "5"))
    running.wait(after_s)
    step = running.hear(again, source)
    assert (step.asks is not None and step.asks.kind == "ask_another_foul") == asked_about


def test_a_foul_that_was_taken_back_may_be_called_again(running: Book) -> None:
    running.hear(calls.Foul(GUEST, "5"))
    running.hear(calls.Undo())
    assert running.hear(calls.Foul(GUEST, "5")).asks is None


# --- the questions themselves ------------------------------------------------------------------


def test_a_value_is_put_into_a_call() -> None:
    assert with_value(calls.Ask(Topic.SCORE), "topic", Topic.TIME) == calls.Ask(Topic.TIME)


def test_every_question_has_the_slots_that_are_listed_for_it(running: Book) -> None:
    """The list that the replies are checked against, held against the questions themselves."""
    seen: dict[str, frozenset[str]] = {"expired": frozenset()}

    def ask(call: Call) -> None:
        talk = running.dialogue
        question = question_for(running.heard(call), running.game, talk.last, talk.foul)
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
    running.take(calls.Foul(HOME))
    running.wait(1)
    ask(calls.Foul(HOME))
    running.take(calls.EndPeriod())
    ask(calls.Foul(GUEST))
    for doubted in (
        (calls.Foul(HOME, "5"), calls.Foul(HOME, "50")),
        (calls.Number("5"), calls.Number("50")),
        (calls.HeldBall(), calls.Mark()),
    ):
        question = doubt_question(running.in_doubt(*doubted), 0)[1]
        assert question is not None
        seen[question.kind] = frozenset(question.slots)
    # Those of a game that is taken up again are held against it in test_resume.
    assert seen == {kind: slots for kind, slots in ASKED.items() if kind not in CARRY_ON}
