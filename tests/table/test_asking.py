"""What is asked before it is booked. The cases are the sentences of the design on asking."""

from __future__ import annotations

import pytest

from callout.game import calls
from callout.game.calls import Call
from callout.game.notice import Notice
from callout.game.state import Owner
from callout.game.terms import Award, Team, Topic
from callout.table.asking import ASKED, CARRY_ON, question_for, with_value
from callout.table.dialogue import open_question
from callout.table.doubt import doubt_question
from callout.table.repeats import another

from .book import Book

HOME, GUEST = Team.HOME, Team.GUEST


def asked(book: Book, call: Call, source: str = "voice") -> str | None:
    question = question_for(book.heard(call, source), book.game)
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


def test_only_a_foul_after_the_horn_is_asked_about(running: Book) -> None:
    running.take(calls.EndPeriod())
    assert asked(running, calls.Foul(GUEST, "5")) == "before_horn"
    assert asked(running, calls.Foul(GUEST, "5", before_horn=True)) is None
    running.take(calls.StartPeriod())
    assert asked(running, calls.Foul(GUEST, "5")) is None


def test_a_foul_before_the_game_has_no_horn_before_it(book: Book) -> None:
    assert asked(book, calls.Foul(GUEST, "5")) is None


# --- the questions themselves ------------------------------------------------------------------


def test_a_value_is_put_into_a_call() -> None:
    assert with_value(calls.Ask(Topic.SCORE), "topic", Topic.TIME) == calls.Ask(Topic.TIME)


def test_every_question_has_the_slots_that_are_listed_for_it(running: Book) -> None:
    """The list that the replies are checked against, held against the questions themselves."""
    seen: dict[str, frozenset[str]] = {"expired": frozenset()}

    def ask(call: Call) -> None:
        heard, talk = running.heard(call), running.dialogue
        again = another(heard, running.game, talk.last, talk.recent)
        question = again or question_for(heard, running.game)
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
    running.take(calls.Timeout(GUEST))
    running.wait(1)
    ask(calls.Timeout(GUEST))
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
