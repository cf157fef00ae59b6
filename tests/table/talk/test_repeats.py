"""One more, or the same heard twice. Common practice, no source: a partner repeats calls aloud."""

from __future__ import annotations

import pytest

from callout.game import calls
from callout.game.calls import Call, Correct, Foul
from callout.game.decide import Decisions, Refusal
from callout.game.profile.file import load_profile
from callout.game.put_right import PastEntries
from callout.game.state import At
from callout.game.terms import Award, FoulKind, Team
from callout.table.talk.questions import Heard
from callout.table.talk.repeats import LastCall, another, last_goal
from tests.game.play import Play
from tests.table.play import Book

HOME, GUEST = Team.HOME, Team.GUEST


def asked(book: Book, call: Call, source: str = "voice") -> str | None:
    talk = book.dialogue
    question = another(book.heard(call, source), book.game, talk.last, talk.recent)
    return question.kind if question else None


@pytest.fixture
def running(book: Book) -> Book:
    return book.begun()


# --- a goal ------------------------------------------------------------------------------------


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


def test_no_repeat_of_a_basket_that_was_taken_off(running: Book) -> None:
    running.take(calls.Score(HOME, 2, "5"))
    running.wait(1)
    running.take(calls.NoBasket())
    assert asked(running, calls.Score(HOME, 2, "5")) is None
    running.take(calls.Undo())
    assert asked(running, calls.Score(HOME, 2, "5")) == "another"


def test_a_free_throw_is_no_field_goal(running: Book) -> None:
    assert last_goal(running.take(calls.Shot(True, HOME))) is None
    running.take(calls.Score(HOME, 1))
    assert asked(running, calls.Score(HOME, 1)) is None


# --- a foul ------------------------------------------------------------------------------------


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


@pytest.mark.parametrize(
    ("between", "again", "after_s", "source", "asked_about"),
    [
        ((), calls.Foul(GUEST, "5"), 15.0, "voice", True),
        ((), calls.Foul(GUEST, "5"), 15.1, "voice", False),
        ((), calls.Foul(GUEST, "5", award=Award.TWO), 10.0, "voice", True),
        ((calls.SetAward(Award.TWO),), calls.Foul(GUEST, "5"), 10.0, "voice", True),
        ((), calls.Foul(GUEST, "5"), 2.0, "key", False),
        ((), calls.Foul(HOME, "5"), 2.0, "voice", False),
        ((), calls.Foul(GUEST, "5", FoulKind.TECHNICAL), 2.0, "voice", False),
        # It is another foul once play went on, or where the first one has another number.
        ((calls.StopClock(), calls.StartClock()), calls.Foul(GUEST, "5"), 10.0, "voice", False),
        ((calls.Number("13"),), calls.Foul(GUEST, "5"), 2.0, "voice", False),
        ((calls.Foul(GUEST, "13"),), calls.Foul(GUEST, "5"), 2.0, "voice", False),
        ((calls.Undo(),), calls.Foul(GUEST, "5"), 2.0, "voice", False),
    ],
)
def test_a_foul_without_its_number_may_be_told_in_full(
    running: Book,
    between: tuple[Call, ...],
    again: Call,
    after_s: float,
    source: str,
    asked_about: bool,
) -> None:
    """Common practice, no source: a number comes within some ten seconds of the whistle."""
    running.take(calls.Foul(GUEST))
    for call in between:
        running.take(call)
    running.wait(after_s)
    assert asked(running, again, source) == ("another_foul" if asked_about else None)


def test_a_foul_that_was_taken_back_may_be_called_again(running: Book) -> None:
    running.hear(calls.Foul(GUEST, "5"))
    running.wait(1)
    running.hear(calls.Undo())
    running.wait(1)
    assert running.hear(calls.Foul(GUEST, "5")).asks is None


def test_a_foul_that_is_no_longer_in_the_book_may_be_called_again() -> None:
    play = Play(load_profile("nfhs-2026")).start().take(Foul(GUEST, "5"))
    heard = Heard(calls.Foul(GUEST, "5"), "voice", At(4_800, play.now_ms + 1_000))
    recent = (LastCall(calls.Foul(GUEST, "5"), play.now_ms, spoken=True, entry=2),)
    assert another(heard, play.game, None, recent) is not None
    off = Correct(play.game.charges[0].item, off=True)
    decision = Decisions(play.game, PastEntries(play.begin, play.entries, play.game)).on(
        off, play.at()
    )
    assert not isinstance(decision, Refusal)
    play.book(off, decision)
    assert another(heard, play.game, None, recent) is None


# --- what else changes the book anew each time -------------------------------------------------


@pytest.mark.parametrize(
    "call",
    [
        calls.AdjustClock(50),
        calls.DoubleFoul("4", "5"),
        calls.SwitchArrow(),
        calls.Timeout(GUEST),
        calls.Undo(),
    ],
)
def test_what_would_change_the_book_twice_is_asked_about(running: Book, call: Call) -> None:
    running.take(calls.Tip(HOME))
    running.take(calls.StopClock())
    running.hear(call)
    running.wait(1)
    running.hear(calls.Mark())
    running.wait(2.9)
    assert asked(running, call, "key") is None
    assert asked(running, call) == "once_more"
    running.wait(0.2)
    assert asked(running, call) is None


def test_only_the_voice_repeats_what_the_voice_called(running: Book) -> None:
    running.take(calls.Timeout(GUEST), "key")
    running.wait(1)
    assert asked(running, calls.Timeout(GUEST)) is None


def test_a_script_without_time_repeats_nothing(running: Book) -> None:
    running.hear(calls.Timeout(GUEST))
    running.wait(0.2)
    assert asked(running, calls.Timeout(GUEST)) is None


def test_once_more_needs_a_yes(running: Book) -> None:
    running.hear(calls.Timeout(GUEST))
    running.wait(2)
    step = running.hear(calls.Timeout(GUEST))
    assert (step.calls, step.asks and step.asks.kind) == ((), "ask_once_more")
    assert [each.call for each in running.hear(calls.Yes()).calls] == [calls.Timeout(GUEST)]


def test_what_cancels_an_entry_is_an_undo_too(running: Book) -> None:
    running.hear(calls.Score(HOME, 2, "5"))
    running.hear(calls.Foul(GUEST, "5"))
    running.hear(calls.Cancel())
    running.wait(1)
    step = running.hear(calls.Cancel())
    assert step.asks is not None
    assert step.asks.kind == "ask_once_more"


def test_free_throws_are_called_in_one_breath(running: Book) -> None:
    running.hear(calls.Shot(True, HOME))
    running.wait(1)
    assert asked(running, calls.Shot(True, HOME)) is None


def test_an_own_basket_is_another_goal_than_theirs(running: Book) -> None:
    running.hear(calls.Score(HOME, 2))
    running.wait(1)
    own = calls.Score(GUEST, 2, own_basket=True)
    assert asked(running, own) is None
    running.hear(own)
    running.wait(1)
    assert asked(running, own) == "another"


# --- the arrow that the clock has turned ----------------------------------------------------------


@pytest.fixture
def turned(running: Book) -> Book:
    """A throw-in by the arrow has ended: the start of the clock has turned the arrow to home."""
    for call in (calls.Tip(HOME), calls.StopClock(), calls.HeldBall(), calls.StartClock()):
        running.take(call)
    assert running.game.arrow is HOME
    return running


@pytest.mark.parametrize(
    ("after_s", "source", "kind"),
    [
        (1.0, "voice", "arrow_turned"),
        (15.0, "voice", "arrow_turned"),
        (15.0, "key", "arrow_turned"),
        (15.1, "voice", None),
    ],
)
def test_a_switch_of_the_arrow_just_after_the_clock_turned_it_is_asked_about(
    turned: Book, after_s: float, source: str, kind: str | None
) -> None:
    """NFHS 6-4: one throw-in turns it once; who turns the one on the table may say so."""
    turned.wait(after_s)
    assert asked(turned, calls.SwitchArrow(), source) == kind


def test_it_is_not_asked_about_while_another_throw_in_waits(turned: Book) -> None:
    turned.wait(5)
    turned.take(calls.HeldBall())
    assert asked(turned, calls.SwitchArrow()) is None
    turned.take(calls.SwitchArrow())
    assert turned.game.arrow is GUEST


def test_the_start_of_a_period_that_turned_it_counts_until_it_is_undone(turned: Book) -> None:
    turned.take(calls.EndPeriod())
    turned.wait(60)
    turned.take(calls.StartClock())
    turned.wait(5)
    assert asked(turned, calls.SwitchArrow()) == "arrow_turned"
    turned.take(calls.Undo())
    assert asked(turned, calls.SwitchArrow()) is None


def test_a_turn_on_a_clock_that_ran_on_counts_too() -> None:
    book = Book(profile="rec-running-clock").begun()
    book.take(calls.Tip(HOME))
    book.take(calls.HeldBall())
    book.wait(15)
    book.take(calls.SwitchArrow(), "clock")
    book.wait(5)
    assert asked(book, calls.SwitchArrow()) == "arrow_turned"
    assert [each.call for each in book.hear(calls.SwitchArrow()).calls] == []
    assert [each.call for each in book.hear(calls.Yes()).calls] == [calls.SwitchArrow()]
