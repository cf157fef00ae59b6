"""The talk: answers, pieces, and what becomes of a question that gets no answer."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from callout.game import calls
from callout.game.calls import Call
from callout.game.decide import Decisions
from callout.game.figures.fouls import team_fouls
from callout.game.figures.score import both_scores
from callout.game.terms import Award, FoulKind, SayMuch, Team, Topic
from callout.table.talk.answers import ANOTHER, NEITHER, answering
from callout.table.talk.booking_questions import question_for
from callout.table.talk.dialogue import Step, expire, hear
from callout.table.talk.questions import ANSWER_MS, Doubt
from tests.game.strategies import any_call
from tests.table.play import Book

HOME, GUEST = Team.HOME, Team.GUEST


@pytest.fixture
def running(book: Book) -> Book:
    return book.begun()


def kinds(step: Step) -> list[str]:
    return [notice.kind for notice in step.notices]


def refused(step: Step) -> str | None:
    return step.refusal.kind if step.refusal else None


def test_a_plain_call_goes_through(running: Book) -> None:
    step = running.hear(calls.Score(HOME, 2, "5"))
    assert [heard.call for heard in step.calls] == [calls.Score(HOME, 2, "5")]
    assert (step.asks, step.then, step.refusal, step.notices) == (None, None, None, ())


def test_yes_does_what_was_asked_about(running: Book) -> None:
    step = running.hear(calls.EndPeriod())
    assert step.asks is not None
    assert (step.asks.kind, step.asks.slots) == ("ask_end_period", {"left_tenths": 4_700})
    assert step.calls == ()
    running.wait(3)
    step = running.hear(calls.Yes())
    assert [heard.call for heard in step.calls] == [calls.EndPeriod()]
    # It counts from when it was called, not from when it was confirmed.
    assert step.calls[0].at.left_tenths == 4_700
    assert running.dialogue.question is None


@pytest.mark.parametrize("answer", [calls.No(), calls.Cancel()])
def test_no_leaves_it_and_says_so(running: Book, answer: Call) -> None:
    running.hear(calls.SetScore(HOME, 12))
    step = running.hear(answer)
    assert step.calls == ()
    assert kinds(step) == ["kept_set_score"]
    assert step.notices[0].slots == {"team": HOME, "points": 12, "was": 0}
    assert running.dialogue.question is None


def test_without_an_answer_it_is_a_no(running: Book) -> None:
    running.hear(calls.EndPeriod())
    asked_ms = running.now_ms
    assert expire(running.dialogue, asked_ms + ANSWER_MS - 1) is None
    step = expire(running.dialogue, asked_ms + ANSWER_MS)
    assert step is not None
    assert kinds(step) == ["kept_end_period"]
    assert step.dialogue.question is None
    assert expire(step.dialogue, asked_ms + 2 * ANSWER_MS) is None


@pytest.mark.parametrize("answer", [calls.Yes(), calls.No(), calls.Answer("5")])
def test_an_answer_to_nothing_is_refused(running: Book, answer: Call) -> None:
    step = running.hear(answer)
    assert refused(step) == "nothing_asked"
    assert step.calls == ()


def test_an_answer_of_the_wrong_sort_leaves_the_question_open(running: Book) -> None:
    running.hear(calls.EndPeriod())
    step = running.hear(calls.Answer("15"))
    assert refused(step) == "not_an_answer"
    assert step.refusal is not None
    assert step.refusal.slots == {"wants": "yes"}
    assert running.dialogue.question is not None


def test_cancel_without_a_question_takes_back_the_newest_entry(running: Book) -> None:
    running.hear(calls.Score(HOME, 2, "5"))
    step = running.hear(calls.Cancel())
    assert [heard.call for heard in step.calls] == [calls.Undo()]
    assert both_scores(running.game) == (0, 0)


@pytest.mark.parametrize("source", ["voice", "key"])
@pytest.mark.parametrize(
    ("call", "kept"),
    [
        (calls.EndPeriod(), "end_period"),
        (calls.EndGame(), "end_game_early"),
        (calls.SetScore(HOME, 12), "set_score"),
        (calls.SetClock(100), "clock"),
        (calls.Forfeit(HOME), "forfeit"),
        (calls.SoundHorn(), "horn"),
        (calls.NoBasket(), "old_basket"),
        (calls.Number("13"), "old_number"),
        (calls.Shot(True), "team"),
    ],
)
def test_undo_drops_the_call_that_is_asked_about_and_nothing_older(
    running: Book, call: Call, kept: str, source: str
) -> None:
    """Common practice, no source: who is asked and says "undo that" means what he called last."""
    running.hear(calls.Score(HOME, 2, "5"))
    running.hear(calls.Foul(GUEST))
    running.wait(20)
    running.hear(call, source)
    step = running.hear(calls.Undo(), source)
    assert (kinds(step), step.calls) == ([f"kept_{kept}"], ())
    assert running.dialogue.question is None
    # Said again it takes back what was booked.
    assert [heard.call for heard in running.hear(calls.Undo(), source).calls] == [calls.Undo()]
    assert (both_scores(running.game), running.game.charges) == ((2, 0), ())


def test_undo_drops_one_more_that_is_asked_about(running: Book) -> None:
    running.hear(calls.Score(HOME, 2, "5"))
    running.wait(2)
    running.hear(calls.Score(HOME, 2, "5"))
    assert kinds(running.hear(calls.Undo())) == ["kept_another"]
    assert both_scores(running.game) == (2, 0)


def test_undo_of_what_is_booked_is_an_undo_though_its_number_is_asked_about(running: Book) -> None:
    running.hear(calls.Score(GUEST, 2, "5"))
    in_doubt(running, two("15"), two("50"))
    running.hear(calls.Undo())
    assert both_scores(running.game) == (0, 2)


def test_undo_takes_back_what_an_offer_of_the_table_followed(running: Book) -> None:
    """The technical foul was offered: the late name was called, and is booked."""
    running.take(calls.StopClock())
    running.hear(calls.AddPlayer(HOME, "44"))
    asked = running.dialogue.question
    assert asked is not None
    assert asked.kind == "technical"
    step = running.hear(calls.Undo())
    assert [heard.call for heard in step.calls] == [calls.Undo()]
    assert not running.game.side(HOME).has("44")


def test_undo_once_more_is_no_change_of_mind(running: Book) -> None:
    running.hear(calls.Score(HOME, 2, "5"))
    running.hear(calls.Foul(GUEST, "5"))
    for _ in range(3):
        running.wait(1)
        step = running.hear(calls.Undo())
    assert (step.asks and step.asks.kind, step.notices) == ("ask_once_more", ())


def test_what_would_be_refused_is_not_asked_about(running: Book) -> None:
    step = running.hear_only(calls.SetScore(HOME, 0))
    assert step.asks is None
    assert len(step.calls) == 1


@pytest.mark.parametrize(
    "call",
    [
        calls.Ask(Topic.SCORE),
        calls.StopClock(),
        calls.DeadBall(),
        calls.RefereeTold(),
        calls.SayLevel(SayMuch.LESS),
        calls.Mark(),
    ],
)
def test_some_calls_leave_a_question_open(running: Book, call: Call) -> None:
    running.hear(calls.SetScore(HOME, 12))
    step = running.hear_only(call)
    assert [heard.call for heard in step.calls] == [call]
    assert running.dialogue.question is not None


def test_any_other_call_closes_it_and_goes_on(running: Book) -> None:
    running.hear(calls.SetScore(HOME, 12))
    step = running.hear(calls.Foul(GUEST, "5"))
    assert kinds(step) == ["kept_set_score"]
    assert [heard.call for heard in step.calls] == [calls.Foul(GUEST, "5")]
    assert running.dialogue.question is None


def test_one_question_gives_way_to_another(running: Book) -> None:
    running.hear(calls.SetScore(HOME, 12))
    step = running.hear(calls.EndPeriod())
    assert kinds(step) == ["kept_set_score"]
    assert step.asks is not None
    assert step.asks.kind == "ask_end_period"


# --- a crew repeating ------------------------------------------------------------------------


def goals(book: Book) -> list[tuple[Team, int, str | None]]:
    return [(goal.team, goal.points, goal.number) for goal in book.game.goals]


def test_a_repeated_goal_is_booked_once_or_twice_as_answered(running: Book) -> None:
    running.hear(calls.Score(HOME, 2, "5"))
    running.wait(2)
    running.hear(calls.Score(HOME, 2, "5"))
    assert both_scores(running.game) == (2, 0)
    running.hear(calls.Yes())
    assert both_scores(running.game) == (4, 0)
    running.wait(2)
    running.hear(calls.Score(HOME, 2, "5"))
    assert kinds(running.hear(calls.No())) == ["kept_another"]
    assert both_scores(running.game) == (4, 0)


def test_called_a_third_time_it_is_asked_again_and_nothing_else_said(running: Book) -> None:
    running.hear(calls.Score(HOME, 2, "5"))
    running.hear(calls.Score(HOME, 2, "5"))
    step = running.hear(calls.Score(HOME, 2, "5"))
    assert step.asks is not None
    assert (step.asks.kind, step.notices) == ("ask_another", ())


@pytest.mark.parametrize("piece", [calls.Number("5"), calls.Answer("5")])
def test_a_number_after_a_repeated_goal_is_that_of_the_one_booked(
    running: Book, piece: Call
) -> None:
    running.hear(calls.Score(HOME, 2))
    running.hear(calls.Score(HOME, 2))
    step = running.hear(piece)
    assert kinds(step) == ["kept_another"]
    assert goals(running) == [(HOME, 2, "5")]


def test_a_repeat_may_tell_the_number_that_was_missing(running: Book) -> None:
    running.hear(calls.Score(HOME, 2))
    running.hear(calls.Score(HOME, 2, "5"))
    running.hear(calls.No())
    assert goals(running) == [(HOME, 2, "5")]


@pytest.mark.parametrize(("first", "second"), [("10", "5"), (None, "77")])
def test_a_repeat_changes_no_number_and_gives_none_that_is_not_there(
    running: Book, first: str | None, second: str
) -> None:
    running.hear(calls.Score(HOME, 2, first))
    running.hear(calls.Score(HOME, 2, second))
    assert kinds(running.hear(calls.No())) == ["kept_another"]
    assert goals(running) == [(HOME, 2, first)]


@pytest.mark.parametrize("piece", [calls.Number("10"), calls.Answer("10")])
def test_a_number_in_place_of_an_answer_is_that_of_the_first_alone(
    running: Book, piece: Call
) -> None:
    """It once was given twice: to the goal in question, and to an older one that had none."""
    running.hear(calls.Score(HOME, 2))
    running.wait(5)
    running.hear(calls.Score(HOME, 2))
    running.hear(calls.Score(HOME, 2, "5"))
    running.hear(piece)
    assert goals(running) == [(HOME, 2, None), (HOME, 2, "10")]


# --- a foul told in full -----------------------------------------------------------------------


def fouls(book: Book) -> list[tuple[Team, str | None, Award]]:
    return [(charge.team, charge.number, charge.award) for charge in book.game.charges]


@pytest.mark.parametrize(
    "first",
    [
        calls.Foul(GUEST),
        calls.Foul(GUEST, foul=FoulKind.OFFENSIVE),
        calls.Foul(GUEST, foul=FoulKind.TECHNICAL),
    ],
)
def test_a_foul_told_again_with_its_number_is_asked_about_and_gets_it(
    running: Book, first: calls.Foul
) -> None:
    """Common practice, no source: the official gives the number some ten seconds later."""
    running.take(calls.StopClock())
    running.hear(first)
    running.wait(10)
    step = running.hear(replace(first, number="13"))
    assert step.asks is not None
    assert (step.asks.kind, step.asks.slots["number"]) == ("ask_another_foul", "13")
    assert len(fouls(running)) == 1
    unanswered = expire(running.dialogue, running.now_ms + ANSWER_MS)
    assert unanswered is not None
    running.follow(unanswered)
    assert [number for _, number, _ in fouls(running)] == ["13"]
    running.hear(calls.Undo())
    assert [number for _, number, _ in fouls(running)] == [None]


def test_a_foul_told_again_with_number_and_throws_gets_both(running: Book) -> None:
    running.hear(calls.Foul(GUEST))
    running.wait(2)
    running.hear(calls.Foul(GUEST, "13", award=Award.TWO))
    running.hear(calls.No())
    assert fouls(running) == [(GUEST, "13", Award.TWO)]


def test_throws_told_with_the_same_foul_again_are_not_lost(running: Book) -> None:
    running.hear(calls.Foul(GUEST, "13"))
    running.wait(2)
    running.hear(calls.Foul(GUEST, "13", award=Award.TWO))
    running.hear(calls.No())
    assert fouls(running) == [(GUEST, "13", Award.TWO)]


def test_another_foul_takes_a_yes(running: Book) -> None:
    running.hear(calls.Foul(GUEST))
    running.wait(2)
    running.hear(calls.Foul(GUEST, "13"))
    running.hear(calls.Yes())
    assert fouls(running) == [(GUEST, None, Award.NONE), (GUEST, "13", Award.NONE)]


def test_a_foul_told_a_third_time_is_asked_about_again(running: Book) -> None:
    running.hear(calls.Foul(GUEST))
    for _ in range(2):
        running.wait(2)
        step = running.hear(calls.Foul(GUEST, "13"))
        assert (step.calls, step.asks and step.asks.kind) == ((), "ask_another_foul")
    running.hear(calls.No())
    assert fouls(running) == [(GUEST, "13", Award.NONE)]


@pytest.mark.parametrize("piece", [calls.Number("14"), calls.Answer("14")])
def test_a_number_in_place_of_an_answer_is_the_first_foul_s(running: Book, piece: Call) -> None:
    running.hear(calls.Foul(GUEST))
    running.wait(2)
    running.hear(calls.Foul(GUEST, "13"))
    running.hear(piece)
    assert fouls(running) == [(GUEST, "14", Award.NONE)]


def test_a_foul_whose_number_came_by_itself_may_be_told_in_full(running: Book) -> None:
    running.hear(calls.Foul(GUEST))
    running.hear(calls.Number("13"))
    running.wait(6)
    assert running.hear(calls.Foul(GUEST, "13")).asks is not None
    assert kinds(running.hear(calls.No())) == ["kept_another_foul"]
    assert running.hear(calls.Foul(GUEST, "14")).asks is None


@pytest.mark.parametrize("answer", [calls.Yes(), calls.No()])
def test_a_foul_called_before_the_horn_gets_its_number_after_it(
    running: Book, answer: Call
) -> None:
    running.hear(calls.Foul(GUEST))
    running.take(calls.EndPeriod())
    running.wait(3)
    running.hear(calls.Foul(GUEST, "13"))
    step = running.hear(answer)
    if isinstance(answer, calls.No):
        assert fouls(running) == [(GUEST, "13", Award.NONE)]
    else:
        assert step.asks is not None
        assert step.asks.kind == "ask_before_horn"


# --- after the horn --------------------------------------------------------------------------


def foul_counts(book: Book) -> tuple[int, int]:
    """Guest's team fouls in the first and in the second period."""
    return team_fouls(book.game, GUEST, 1), team_fouls(book.game, GUEST, 2)


@pytest.fixture
def horn(running: Book) -> Book:
    running.take(calls.EndPeriod())
    return running


@pytest.mark.parametrize(
    ("answer", "counts"),
    [
        (calls.Yes(), (1, 0)),
        (calls.No(), (0, 1)),
        (calls.Cancel(), (0, 0)),
        (calls.Score(HOME, 2, "5"), (0, 1)),
    ],
)
def test_a_foul_after_the_horn_counts_as_answered_and_is_never_lost(
    horn: Book, answer: Call, counts: tuple[int, int]
) -> None:
    horn.hear(calls.Foul(GUEST, "5"))
    assert foul_counts(horn) == (0, 0)
    horn.hear(answer)
    assert foul_counts(horn) == counts


def test_without_an_answer_it_came_after_the_horn(horn: Book) -> None:
    horn.hear(calls.Foul(GUEST, "5"))
    step = expire(horn.dialogue, horn.now_ms + ANSWER_MS)
    assert step is not None
    assert step.notices == ()
    horn.follow(step)
    assert foul_counts(horn) == (0, 1)


@pytest.mark.parametrize("piece", [calls.Number("13"), calls.Answer("13")])
def test_the_foul_is_pieced_together_while_the_question_is_open(horn: Book, piece: Call) -> None:
    horn.hear(calls.Foul(GUEST))
    assert horn.hear(piece).asks is not None
    assert horn.hear(calls.SetAward(Award.TWO)).asks is not None
    (heard,) = horn.hear(calls.Yes()).calls
    assert heard.call == calls.Foul(GUEST, "13", award=Award.TWO, before_horn=True)


@pytest.mark.parametrize(
    ("first", "again", "whole"),
    [
        (calls.Foul(GUEST), calls.Foul(GUEST, "13"), (GUEST, "13", Award.NONE)),
        (calls.Foul(GUEST), calls.Foul(GUEST, "13", award=Award.TWO), (GUEST, "13", Award.TWO)),
        (calls.Foul(GUEST, award=Award.TWO), calls.Foul(GUEST, "13"), (GUEST, "13", Award.TWO)),
        (calls.Foul(GUEST, "13"), calls.Foul(GUEST, "13"), (GUEST, "13", Award.NONE)),
        (calls.Foul(GUEST), calls.Foul(GUEST), (GUEST, None, Award.NONE)),
    ],
)
@pytest.mark.parametrize(("answer", "period"), [(calls.Yes(), 1), (calls.No(), 2)])
def test_a_foul_told_in_full_while_it_is_asked_about_is_one_foul(
    horn: Book, first: Call, again: Call, whole: object, answer: Call, period: int
) -> None:
    """Common practice, no source: the official gives the number some seconds later."""
    horn.hear(first)
    horn.wait(3)
    step = horn.hear(again)
    assert (step.calls, step.asks and step.asks.kind) == ((), "ask_before_horn")
    horn.hear(answer)
    assert fouls(horn) == [whole]
    assert [charge.period for charge in horn.game.charges] == [period]


@pytest.mark.parametrize(
    ("first", "second", "source"),
    [
        (calls.Foul(GUEST, "5"), calls.Foul(GUEST, "13"), "voice"),
        (calls.Foul(GUEST), calls.Foul(HOME, "5"), "voice"),
        (calls.Foul(GUEST), calls.Foul(GUEST, "13", FoulKind.TECHNICAL), "voice"),
        (calls.Foul(GUEST), calls.Foul(GUEST), "key"),
    ],
)
def test_another_foul_while_one_is_asked_about_is_a_second_one(
    horn: Book, first: Call, second: Call, source: str
) -> None:
    horn.hear(first, source)
    assert len(horn.hear(second, source).calls) == 1
    horn.hear(calls.Yes(), source)
    assert len(fouls(horn)) == 2


def test_a_foul_told_again_in_doubt_is_asked_about_its_number_alone(horn: Book) -> None:
    horn.hear(calls.Foul(GUEST))
    in_doubt(horn, calls.Foul(GUEST, "13"), calls.Foul(GUEST, "30"))
    horn.hear(calls.Yes())
    assert fouls(horn) == [(GUEST, None, Award.NONE)]
    horn.hear(calls.Answer("30"))
    assert fouls(horn) == [(GUEST, "30", Award.NONE)]


def test_a_foul_in_doubt_told_again_is_no_longer_in_doubt(horn: Book) -> None:
    in_doubt(horn, calls.Foul(GUEST, "13"), calls.Foul(GUEST, "30"))
    horn.hear(calls.Foul(GUEST, "30"))
    step = horn.hear(calls.Yes())
    assert (fouls(horn), step.then) == ([(GUEST, "30", Award.NONE)], None)


# --- whose throw -----------------------------------------------------------------------------


def test_a_throw_without_a_team_takes_the_one_that_is_named(running: Book) -> None:
    step = running.hear(calls.Shot(True, number="5"))
    assert step.asks is not None
    assert (step.asks.kind, step.asks.slots) == ("ask_team", {"made": True})
    assert refused(running.hear(calls.Yes())) == "not_an_answer"
    running.hear(calls.MakeTeam(GUEST))
    assert goals(running) == [(GUEST, 1, "5")]


def test_a_throw_whose_team_nobody_names_is_not_booked(running: Book) -> None:
    running.hear(calls.Shot(True))
    assert kinds(running.hear(calls.No())) == ["kept_team"]


@pytest.mark.parametrize(
    ("said", "booked"),
    [
        (calls.Shot(True, HOME, "5"), [(HOME, 1, "5")]),
        (calls.Shot(True, HOME), [(HOME, 1, None)]),
        # Another throw than the one that lacked its team: that nobody is owed one is not known yet.
        (calls.Shot(False, HOME), []),
    ],
)
def test_a_throw_called_again_with_its_team_needs_no_other_answer(
    running: Book, said: Call, booked: list[object]
) -> None:
    running.hear(calls.Shot(True))
    running.hear(said)
    assert goals(running) == booked
    assert (running.dialogue.question is None) is bool(booked)


def test_a_throw_of_a_team_that_is_owed_none_is_booked_with_a_yes(running: Book) -> None:
    assert running.hear(calls.Shot(True, HOME, "5")).calls == ()
    running.hear(calls.Yes())
    assert goals(running) == [(HOME, 1, "5")]
    running.hear(calls.Foul(HOME, "5"))
    running.hear(calls.Shot(True, HOME, "5"))
    assert kinds(running.hear(calls.No())) == ["kept_unowed_throw"]
    assert goals(running) == [(HOME, 1, "5")]


# --- doubt ------------------------------------------------------------------------------------


def in_doubt(book: Book, *readings: Call) -> Step:
    return book.follow(hear(book.dialogue, book.in_doubt(*readings), Decisions(book.game)))


def two(number: str) -> Call:
    return calls.Score(HOME, 2, number)


def test_points_count_at_once_and_the_number_when_answered(running: Book) -> None:
    step = in_doubt(running, two("15"), two("50"))
    assert goals(running) == [(HOME, 2, None)]
    assert step.then is not None
    assert step.then.slots == {"numbers": ("15", "50")}
    running.hear(calls.Answer("50"))
    assert goals(running) == [(HOME, 2, "50")]


@pytest.mark.parametrize("answer", [calls.No(), calls.Cancel(), None])
def test_without_an_answer_the_number_stays_open(running: Book, answer: Call | None) -> None:
    in_doubt(running, calls.Foul(GUEST, "13"), calls.Foul(GUEST, "30"))
    if answer is None:
        step = expire(running.dialogue, running.now_ms + ANSWER_MS)
        assert step is not None
        running.follow(step)
    else:
        step = running.hear(answer)
    assert kinds(step) == ["kept_number"]
    assert [charge.number for charge in running.game.charges] == [None]


@pytest.mark.parametrize(
    ("first", "again"),
    [
        ((calls.Foul(HOME, "15"), calls.Foul(HOME, "50")), calls.Foul(HOME, "50")),
        ((two("15"), two("50")), two("50")),
    ],
)
def test_the_call_said_again_with_its_number_is_the_answer(
    running: Book, first: tuple[Call, Call], again: Call
) -> None:
    """Common practice, no source: who is asked which number says the whole call once more."""
    in_doubt(running, *first)
    running.wait(2)
    step = running.hear(again)
    assert [heard.call for heard in step.calls] == [calls.Number("50")]
    assert (step.notices, step.asks) == ((), None)

    def numbers() -> list[str | None]:
        game = running.game
        return [goal.number for goal in game.goals] + [charge.number for charge in game.charges]

    assert numbers() == ["50"]
    running.hear(calls.Undo())
    assert numbers() == [None]


def test_the_call_said_again_in_doubt_counts_together_with_the_first_sound(running: Book) -> None:
    teen, ty = calls.Foul(HOME, "15"), calls.Foul(HOME, "50")
    doubtful(running, (teen, 0.6), (ty, 0.4))
    assert [answering(running.dialogue.question, each) for each in (teen, ty)] == [1.0, 0.4 / 0.6]
    step = doubtful(running, (teen, 0.3), (ty, 0.7))
    assert (step.calls, step.asks and step.asks.kind) == ((), "ask_number")
    running.hear(ty)
    assert [charge.number for charge in running.game.charges] == ["50"]


@pytest.mark.parametrize(
    "other",
    [
        calls.Foul(GUEST, "50"),
        calls.Foul(HOME, "50", FoulKind.TECHNICAL),
        calls.Score(HOME, 2, "50"),
    ],
)
def test_another_call_than_the_one_that_lacks_its_number_is_no_answer(
    running: Book, other: Call
) -> None:
    in_doubt(running, calls.Foul(HOME, "15"), calls.Foul(HOME, "50"))
    running.wait(5)
    step = running.hear(other)
    assert kinds(step) == ["kept_number"]
    assert [heard.call for heard in step.calls] == [other]


def test_a_number_that_was_not_asked_about_may_be_another_foul_s(running: Book) -> None:
    in_doubt(running, calls.Foul(HOME, "15"), calls.Foul(HOME, "50"))
    running.wait(5)
    step = running.hear(calls.Foul(HOME, "5"))
    assert (kinds(step), step.asks and step.asks.kind) == (["kept_number"], "ask_another_foul")


def test_a_free_throw_said_again_is_the_next_throw(running: Book) -> None:
    """Common practice, no source: one player takes both throws, and the words are the same."""
    running.take(calls.Foul(GUEST, "5", award=Award.TWO))
    in_doubt(running, calls.Shot(True, HOME, "15"), calls.Shot(True, HOME, "50"))
    running.hear(calls.Shot(True, HOME, "50"))
    assert both_scores(running.game) == (2, 0)


def test_a_foul_at_the_horn_said_again_with_its_number_is_the_answer(horn: Book) -> None:
    in_doubt(horn, calls.Foul(GUEST, "13"), calls.Foul(GUEST, "30"))
    horn.hear(calls.Yes())
    horn.hear(calls.Foul(GUEST, "30"))
    assert [(charge.number, charge.period) for charge in horn.game.charges] == [("30", 1)]


def test_a_piece_in_doubt_is_booked_once_answered(running: Book) -> None:
    running.hear(calls.Score(HOME, 2))
    assert in_doubt(running, calls.Number("15"), calls.Number("50")).asks is not None
    assert goals(running) == [(HOME, 2, None)]
    running.hear(calls.Answer("15"))
    assert goals(running) == [(HOME, 2, "15")]


def test_a_substitution_in_doubt_takes_the_answer_in_its_place(running: Book) -> None:
    readings = calls.Substitution(HOME, "50", "4"), calls.Substitution(HOME, "15", "4")
    in_doubt(running, *readings)
    (heard,) = running.hear(calls.Answer("15")).calls
    assert heard.call == calls.Substitution(HOME, "15", "4")
    assert heard.doubt is None


def test_a_question_about_a_player_in_doubt_books_no_number(running: Book) -> None:
    """Otherwise "fouls on guest fifteen" in doubt, then "fifteen", gave home's goal a number."""
    running.hear(calls.Score(HOME, 2))
    readings = [calls.Ask(Topic.PLAYER_FOULS, GUEST, number) for number in ("13", "30")]
    step = in_doubt(running, *readings)
    assert (step.calls, step.asks is not None) == ((), True)
    answer = running.heard(calls.Answer("13"))
    (heard,) = hear(running.dialogue, answer, Decisions(running.game)).calls
    assert (heard.call, heard.doubt) == (readings[0], None)


def test_a_repeated_goal_in_doubt_is_asked_about_twice(running: Book) -> None:
    running.hear(two("5"))
    step = in_doubt(running, two("15"), two("50"))
    assert step.asks is not None
    assert step.asks.kind == "ask_another"
    step = running.hear(calls.Yes())
    assert step.then is not None
    assert goals(running) == [(HOME, 2, "5"), (HOME, 2, None)]
    running.hear(calls.Answer("50"))
    assert goals(running) == [(HOME, 2, "5"), (HOME, 2, "50")]


def test_a_foul_after_the_horn_in_doubt_is_booked_open_if_nobody_answers(horn: Book) -> None:
    in_doubt(horn, calls.Foul(GUEST, "13"), calls.Foul(GUEST, "30"))
    horn.hear(calls.No())
    assert [charge.number for charge in horn.game.charges] == [None]
    horn.hear(calls.Answer("30"))
    assert [charge.number for charge in horn.game.charges] == ["30"]


@pytest.mark.parametrize(
    ("answer", "source", "number"),
    [
        (calls.Pick(1), "voice", "15"),
        (calls.Pick(2), "pedal", "50"),
        (calls.Yes(), "pedal", "15"),
        (calls.No(), "pedal", "50"),
        (calls.No(), "voice", None),
    ],
)
def test_a_number_is_picked_by_its_place_or_by_two_keys(
    running: Book, answer: Call, source: str, number: str | None
) -> None:
    in_doubt(running, two("15"), two("50"))
    running.hear(answer, source)
    assert goals(running) == [(HOME, 2, number)]


def test_yes_says_nothing_where_there_are_two_things_to_pick(running: Book) -> None:
    in_doubt(running, two("15"), two("50"))
    assert refused(running.hear(calls.Yes())) == "not_an_answer"
    assert refused(running.hear(calls.Pick(3))) == "not_an_answer"
    running.hear(calls.Pick(2))
    assert goals(running) == [(HOME, 2, "50")]


def test_yes_is_enough_where_the_number_is_asked_about_alone(running: Book) -> None:
    in_doubt(running, two("15"), calls.Score(HOME, 2))
    running.hear(calls.Yes())
    assert goals(running) == [(HOME, 2, "15")]


@pytest.mark.parametrize(
    ("answer", "source"),
    [
        (calls.Foul(HOME, "5"), "voice"),
        (calls.Pick(2), "voice"),
        (calls.No(), "key"),
        (calls.Answer("5"), "voice"),
        (calls.Number("5"), "voice"),
    ],
)
def test_of_two_calls_the_one_that_is_picked_is_booked_as_of_its_time(
    running: Book, answer: Call, source: str
) -> None:
    step = in_doubt(running, calls.HeldBall(), calls.Foul(HOME, "5"))
    assert step.asks is not None
    assert (step.asks.kind, step.asks.slots) == ("ask_which", {"words": ("0", "1")})
    assert step.calls == ()
    asked = running.dialogue.question
    running.wait(3)
    (heard,) = running.hear(answer, source).calls
    assert asked is not None
    assert asked.heard is not None
    assert (heard.call, heard.at) == (calls.Foul(HOME, "5"), asked.heard.at)


def test_a_call_and_its_place_are_one_answer(running: Book) -> None:
    in_doubt(running, calls.HeldBall(), calls.Foul(HOME, "5"))
    step = in_doubt(running, calls.Pick(2), calls.Foul(HOME, "5"))
    assert [heard.call for heard in step.calls] == [calls.Foul(HOME, "5")]
    assert running.dialogue.question is None


def test_a_place_that_may_have_been_another_is_asked_about_again(running: Book) -> None:
    in_doubt(running, calls.HeldBall(), calls.Foul(HOME, "5"))
    step = in_doubt(running, calls.Pick(2), calls.HeldBall())
    assert (step.calls, step.asks and step.asks.kind) == ((), "ask_which")


def test_a_number_is_picked_by_its_place_though_that_was_in_doubt(running: Book) -> None:
    in_doubt(running, two("15"), two("50"))
    in_doubt(running, calls.Pick(2), calls.Answer("50"))
    assert goals(running) == [(HOME, 2, "50")]


def test_a_clock_call_may_be_the_one_that_is_picked(running: Book) -> None:
    in_doubt(running, calls.StopClock(), calls.Foul(HOME))
    assert kinds(running.hear(calls.StopClock())) == []
    assert running.dialogue.question is None
    assert not running.game.clock.running


@pytest.mark.parametrize("answer", [calls.No(), calls.Cancel()])
def test_of_two_calls_none_may_be_it(running: Book, answer: Call) -> None:
    in_doubt(running, calls.HeldBall(), calls.Foul(HOME))
    step = running.hear(answer)
    assert (kinds(step), step.calls) == (["kept_which"], ())


def test_a_number_that_both_calls_have_picks_none_of_them(running: Book) -> None:
    in_doubt(running, two("5"), calls.Foul(HOME, "5"))
    assert refused(running.hear(calls.Answer("5"))) == "not_an_answer"


def test_another_call_than_those_asked_about_is_booked_for_itself(running: Book) -> None:
    in_doubt(running, calls.HeldBall(), calls.Foul(HOME))
    step = running.hear(two("5"))
    assert kinds(step) == ["kept_which"]
    assert goals(running) == [(HOME, 2, "5")]


def test_what_is_picked_may_have_a_question_of_its_own(running: Book) -> None:
    in_doubt(running, calls.Mark(), calls.EndPeriod())
    step = running.hear(calls.Pick(2))
    assert step.asks is not None
    assert step.asks.kind == "ask_end_period"


def test_which_calls_answer_what_is_asked(running: Book) -> None:
    def answering_now(*answers: Call) -> list[float]:
        return [answering(running.dialogue.question, each) for each in answers]

    assert answering_now(calls.Yes()) == [0.0]
    in_doubt(running, two("15"), two("50"))
    assert answering_now(calls.Answer("15"), calls.Number("50"), calls.Pick(2)) == [1.0] * 3
    assert answering_now(calls.Answer("16"), calls.No()) == [ANOTHER, NEITHER]
    assert answering_now(two("15"), calls.Score(GUEST, 2, "15"), two("5")) == [1.0, 0.0, 0.0]
    assert answering_now(calls.Pick(3), calls.Yes()) == [0.0] * 2
    running.hear(calls.No())
    running.hear(calls.EndPeriod())
    assert answering_now(calls.Yes(), calls.Answer("15")) == [1.0, 0.0]


def test_one_call_that_may_be_none_is_answered_by_yes_or_no(running: Book) -> None:
    """ "Foul on home eleven?": it may have been the question about his fouls."""
    for answer, booked in ((calls.Yes(), 1), (calls.No(), 0)):
        foul = calls.Foul(HOME, "11")
        doubt = Doubt((foul,), ("foul on home eleven",), (1.0,), maybe_none=True)
        heard = replace(running.heard(foul), doubt=doubt)
        step = running.follow(hear(running.dialogue, heard, Decisions(running.game)))
        assert (step.calls, step.then) == ((), None)
        assert step.asks is not None
        assert step.asks.slots == {"words": ("foul on home eleven",)}
        assert answering(running.dialogue.question, answer) == 1.0
        before = len(running.game.charges)
        running.hear(answer)
        assert len(running.game.charges) - before == booked
        running.wait(5)


def test_a_number_that_may_be_no_call_is_not_booked_before_the_answer(running: Book) -> None:
    readings = calls.Foul(HOME, "11"), calls.Foul(HOME, "4")
    doubt = Doubt(readings, ("a", "b"), (0.6, 0.4), maybe_none=True)
    heard = replace(running.heard(readings[0]), doubt=doubt)
    running.follow(hear(running.dialogue, heard, Decisions(running.game)))
    assert not running.game.charges
    running.hear(calls.Pick(2))
    assert running.game.charges[-1].number == "4"


def test_a_number_by_itself_goes_unasked_only_to_what_was_called_just_now(running: Book) -> None:
    running.hear(calls.Foul(GUEST))
    running.wait(14)
    running.hear(calls.Number("14"))
    assert running.game.charges[-1].number == "14"
    running.hear(calls.Foul(GUEST))
    running.wait(16)
    step = running.hear(calls.Number("14"))
    assert step.asks is not None
    assert step.asks.kind == "ask_old_number"
    assert (step.asks.slots["team"], step.asks.slots["line"]) == (GUEST, "foul")
    running.hear(calls.No())
    assert running.game.charges[-1].number is None
    running.hear(calls.Number("14"), "key")
    running.hear(calls.Yes(), "key")
    assert running.game.charges[-1].number == "14"


def test_a_number_after_a_move_goes_unasked_to_what_was_moved(running: Book) -> None:
    """However long ago it was called: it is being put right now."""
    running.hear(calls.Score(HOME, 2, "5"))
    running.wait(30)
    running.hear(calls.MakeTeam(GUEST))
    running.wait(3)
    running.hear(calls.Number("14"))
    assert goals(running) == [(GUEST, 2, "14")]
    running.hear(calls.Undo())
    running.wait(11)
    running.hear(calls.Number("13"))
    assert goals(running) == [(GUEST, 2, "13")]


def test_a_number_long_after_a_move_is_asked_about(running: Book) -> None:
    running.hear(calls.Score(HOME, 2, "5"))
    running.hear(calls.MakeTeam(GUEST))
    running.wait(16)
    step = running.hear(calls.Number("14"))
    assert step.asks is not None
    assert step.asks.kind == "ask_old_number"


@pytest.mark.parametrize(
    ("call", "line"), [(calls.Score(HOME, 2), "basket"), (calls.Shot(True, HOME), "throw")]
)
def test_what_an_old_number_is_for_is_named(running: Book, call: Call, line: str) -> None:
    running.take(call)
    running.wait(20)
    asks = running.hear(calls.Number("5")).asks
    assert asks is not None
    assert asks.slots["line"] == line


def test_a_number_that_nothing_waits_for_is_refused_and_not_asked_about(running: Book) -> None:
    assert question_for(running.heard(calls.Number("5")), running.game) is None


def test_what_sounded_likelier_at_first_is_the_likelier_answer(running: Book) -> None:
    readings = calls.HeldBall(), calls.Foul(HOME)
    doubt = Doubt(readings, ("a", "b"), (0.6, 0.3))
    heard = replace(running.heard(readings[0]), doubt=doubt)
    running.follow(hear(running.dialogue, heard, Decisions(running.game)))
    assert [answering(running.dialogue.question, each) for each in readings] == [1.0, 0.5]


def doubtful(book: Book, *likely: tuple[Call, float]) -> Step:
    """What comes of one sound that may have been several calls, each as likely as given."""
    readings, chances = zip(*likely, strict=True)
    doubt = Doubt(readings, tuple(map(str, readings)), chances)
    heard = replace(book.heard(readings[0]), doubt=doubt)
    return book.follow(hear(book.dialogue, heard, Decisions(book.game)))


def test_an_answer_in_doubt_is_asked_about_once_more(running: Book) -> None:
    """Both times speak for what was said: at the third it may be certain."""
    stop, start = calls.StopClock(), calls.StartClock()
    first = doubtful(running, (stop, 0.6), (start, 0.4))
    running.wait(5)
    step = doubtful(running, (start, 0.7), (stop, 0.3))
    assert (step.calls, step.asks) == ((), first.asks)
    assert running.dialogue.question is not None
    assert running.dialogue.question.until_ms == running.now_ms + ANSWER_MS
    assert [answering(running.dialogue.question, each) for each in (stop, start)] == [
        0.3 / 0.7,
        1.0,
    ]
    (heard,) = running.hear(stop).calls
    assert heard.call == stop
    assert running.dialogue.question is None


def test_a_number_answered_in_doubt_is_asked_about_once_more(running: Book) -> None:
    asked = doubtful(running, (two("15"), 0.6), (two("50"), 0.4))
    assert (goals(running), asked.asks) == ([(HOME, 2, None)], None)
    step = doubtful(running, (calls.Answer("50"), 0.8), (calls.Answer("15"), 0.2))
    assert step.asks is not None
    assert (step.asks.kind, goals(running)) == ("ask_number", [(HOME, 2, None)])
    running.hear(calls.Answer("50"))
    assert goals(running) == [(HOME, 2, "50")]


def test_a_doubt_of_other_calls_is_a_question_of_its_own(running: Book) -> None:
    doubtful(running, (calls.HeldBall(), 0.6), (calls.Foul(HOME), 0.4))
    step = doubtful(running, (calls.Score(GUEST, 1), 0.6), (calls.Score(GUEST, 3), 0.4))
    assert kinds(step) == ["kept_which"]
    assert running.dialogue.question is not None
    assert running.dialogue.question.choices == (calls.Score(GUEST, 1), calls.Score(GUEST, 3))


# --- whatever is said --------------------------------------------------------------------------


@given(st.lists(st.tuples(any_call(), st.sampled_from(["voice", "key", "clock"])), max_size=12))
def test_any_talk_leads_to_calls_or_a_question_or_a_refusal(
    talk: list[tuple[Call, str]],
) -> None:
    book = Book()
    book.hear(calls.StartClock())
    book.hear(calls.Score(HOME, 2))
    for call, source in talk:
        step = book.hear_only(call, source)
        answered = isinstance(call, calls.Yes | calls.No | calls.Answer | calls.Cancel)
        assert step.calls or step.asks or step.refusal or (answered and step.notices)
        assert all(not isinstance(heard.call, calls.Yes | calls.Cancel) for heard in step.calls)
        # Either the question is open that was asked, or none was.
        assert step.asks is None or step.dialogue.question is not None
        for heard in step.calls:
            book.try_to_book(heard)


# --- a period that ends while it is asked about ---------------------------------------------------


@pytest.fixture
def last_seconds(running: Book) -> Book:
    """Five seconds left, and whether the period is over is asked."""
    running.hear(calls.Score(HOME, 2))
    running.wait(465)
    running.hear(calls.EndPeriod())
    running.wait(5)
    return running


def test_a_period_that_ends_by_itself_is_no_question_any_more(last_seconds: Book) -> None:
    assert last_seconds.dialogue.question is not None
    last_seconds.take(calls.ClockExpired(), "clock")
    assert expire(last_seconds.dialogue, last_seconds.now_ms + ANSWER_MS - 1) is None
    step = expire(last_seconds.dialogue, last_seconds.now_ms + ANSWER_MS)
    assert step is not None
    assert (step.notices, step.calls, step.dialogue.question) == ((), (), None)


@pytest.mark.parametrize(
    "answer", [calls.Yes(), calls.No(), calls.Cancel(), calls.Undo(), calls.EndPeriod()]
)
def test_an_answer_that_was_on_its_way_is_confirmed_and_changes_nothing(
    last_seconds: Book, answer: Call
) -> None:
    last_seconds.take(calls.ClockExpired(), "clock")
    before = last_seconds.game
    last_seconds.wait(3)
    step = last_seconds.hear(answer)
    assert (kinds(step), step.refusal) == (["agreed_end_period"], None)
    assert last_seconds.game is before
    assert refused(last_seconds.hear(calls.Yes())) == "nothing_asked"


def test_yes_then_begins_the_period_that_was_called_for(running: Book) -> None:
    running.wait(465)
    running.hear(calls.StartPeriod())
    running.wait(5)
    running.take(calls.ClockExpired(), "clock")
    assert running.game.period == 1
    running.hear(calls.Yes())
    assert running.game.period == 2


@pytest.mark.parametrize("piece", [calls.Number("5"), calls.Answer("5")])
def test_any_other_call_then_is_a_call_as_ever(last_seconds: Book, piece: Call) -> None:
    last_seconds.take(calls.ClockExpired(), "clock")
    step = last_seconds.hear(piece)
    assert (step.notices, step.asks and step.asks.kind) == ((), "ask_old_number")
    step = last_seconds.hear(calls.Foul(GUEST))
    assert (kinds(step), step.asks and step.asks.kind) == (["kept_old_number"], "ask_before_horn")


def test_which_answers_are_expected_then(last_seconds: Book) -> None:
    last_seconds.take(calls.ClockExpired(), "clock")
    question = last_seconds.dialogue.question
    answers = calls.Yes(), calls.No(), calls.Answer("5"), calls.Pick(1)
    assert [answering(question, each) for each in answers] == [1.0, 1.0, 0.0, 0.0]


def test_who_calls_the_end_again_is_not_told_that_the_period_goes_on(last_seconds: Book) -> None:
    step = last_seconds.hear(calls.EndPeriod(), "key")
    assert kinds(step) == []
    assert last_seconds.game.phase.value == "interval"


# --- a clock started in an interval ---------------------------------------------------------------


@pytest.fixture
def interval(running: Book) -> Book:
    running.take(calls.EndPeriod())
    running.wait(10)
    return running


def test_yes_starts_it_as_of_its_time(interval: Book) -> None:
    assert interval.hear(calls.StartClock(), "key").calls == ()
    asked_ms = interval.now_ms
    interval.wait(3)
    (started,) = interval.hear(calls.Yes(), "key").calls
    assert (started.call, started.at.wall_ms) == (calls.StartClock(), asked_ms)
    assert interval.game.period == 2


def test_whoever_starts_it_again_means_it(interval: Book) -> None:
    interval.hear(calls.StartClock(), "key")
    interval.wait(2)
    (started,) = interval.hear(calls.StartClock(), "key").calls
    assert started.at.wall_ms == interval.now_ms
    assert interval.dialogue.question is None


def test_another_question_lets_no_period_begin_unasked(interval: Book) -> None:
    interval.hear(calls.Foul(HOME, "5"))
    step = interval.hear(calls.StartClock(), "key")
    assert step.asks is not None
    assert step.asks.kind == "ask_start_early"
    assert interval.game.period == 1


def test_an_overtime_needs_a_yes_however_often_the_clock_is_started(running: Book) -> None:
    for _ in range(3):
        running.take(calls.EndPeriod())
        running.take(calls.StartPeriod())
    running.take(calls.Score(HOME, 2))
    running.take(calls.EndPeriod())
    for _ in range(2):
        step = running.hear(calls.StartClock(), "key")
        assert step.asks is not None
        assert (step.asks.kind, step.notices) == ("ask_overtime", ())
    running.hear(calls.Yes(), "key")
    assert running.game.period == 5


def test_a_throw_whose_team_is_named_may_be_one_too_many(running: Book) -> None:
    running.take(calls.StopClock())
    running.take(calls.Foul(GUEST, "5", award=Award.ONE))
    running.take(calls.Shot(True, HOME))
    running.hear(calls.Shot(True))
    step = running.hear(calls.MakeTeam(HOME))
    assert step.asks is not None
    assert step.asks.kind == "ask_extra_throw"
