"""The same thing may be called in many ways: the facts are the same."""

from __future__ import annotations

from dataclasses import replace

import pytest

from callout.game import calls
from callout.game.calls import Call
from callout.game.decide import Decisions
from callout.game.fold import Entry, fold, new_game
from callout.game.profile.file import load_profile
from callout.game.put_right import PastEntries
from callout.game.state import At
from callout.game.terms import Award, FoulKind, Team, Topic
from callout.practice.facts import Called, Fact, called_by, fact_of
from tests.conftest import GUEST, HOME

START = new_game(load_profile("nfhs-2026"), replace(HOME), replace(GUEST))


def entries(*made: Call, source: str = "key") -> list[Entry]:
    """The journal after these calls, a second apart."""
    book: list[Entry] = []
    for nth, call in enumerate(made):
        game, at = fold(START, book), At(1_000, 1_000 * nth)
        decided = Decisions(game, PastEntries(START, book, game)).on(call, at)
        assert isinstance(decided, tuple), decided
        book.append(Entry(len(book) + 1, call, source, at, decided))
    return book


def facts(*made: Call) -> list[Fact]:
    return [each.fact for each in called_by(entries(*made), "voice", "key")]


GOAL = Fact("goal", Team.HOME, "5", "2")


@pytest.mark.parametrize(
    "made",
    [
        [calls.Score(Team.HOME, 2, "5")],
        [calls.Score(Team.GUEST, 2, "5"), calls.MakeTeam(Team.HOME)],
        [calls.Score(Team.HOME, 3, "5"), calls.MakePoints(2)],
        [calls.Score(Team.HOME, 2, "4"), calls.MakeNumber("5")],
        [calls.Score(Team.HOME, 3), calls.Undo(), calls.Score(Team.HOME, 2, "5")],
        [calls.Score(Team.HOME, 2, "4"), calls.Correct(10, number="5")],
    ],
)
def test_a_goal_is_the_same_however_it_was_called(made: list[Call]) -> None:
    assert [each for each in facts(*made) if each.kind == "goal"] == [GOAL]


def test_a_number_that_follows_joins_its_line_and_is_a_fact_of_its_own() -> None:
    found = called_by(entries(calls.Score(Team.HOME, 2), calls.Number("5")), "voice", "key")
    assert found == [Called(GOAL, 0, 1), Called(Fact("number", number="5"), 1_000, 2)]


def test_a_basket_that_was_taken_off_is_none() -> None:
    assert facts(calls.Score(Team.HOME, 2), calls.NoBasket()) == []


def test_throws_that_follow_from_the_rules_were_not_called() -> None:
    technical = calls.Foul(Team.GUEST, "8", FoulKind.TECHNICAL)
    assert [each.kind for each in facts(technical)] == ["foul"]
    signalled = replace(technical, award=Award.TWO)
    assert [each.kind for each in facts(signalled)] == ["foul", "shots"]
    assert facts(calls.Foul(Team.GUEST, "8"), calls.SetAward(Award.TWO)) == [
        Fact("foul", Team.GUEST, "8", "personal"),
        Fact("shots", what="two"),
    ]


def test_what_the_program_called_is_not_the_users() -> None:
    book = entries(calls.StartClock(), calls.Tip(Team.HOME), source="script")
    assert called_by(book, "voice", "key") == []
    (undone,) = called_by(
        [*entries(calls.Score(Team.HOME, 2), source="script"),
         entries(calls.Score(Team.HOME, 2), calls.Undo())[1]], "voice", "key")  # fmt: skip
    assert undone.fact == Fact("undo")


def test_what_was_said_is_told_from_what_was_pressed() -> None:
    said = called_by(entries(calls.HeldBall(), source="voice"), "voice", "key")
    assert [each.spoken for each in said] == [True]


def test_an_ear_that_tells_words_early_is_put_right_and_keys_are_not() -> None:
    spoken = entries(calls.HeldBall(), calls.HeldBall(), source="voice")
    pressed = entries(calls.HeldBall(), calls.HeldBall())
    moments = [
        [each.wall_ms for each in called_by(book, "voice", "key", 40)] for book in (spoken, pressed)
    ]
    assert moments == [[40, 1_040], [0, 1_000]]


FACTS = [
    (calls.StartClock(), "start"),
    (calls.StopClock(), "stop"),
    (calls.TimeoutOver(), "timeout over"),
    (calls.SubWaiting(), "sub"),
    (calls.SubsIn(), "subs in"),
    (calls.HeldBall(), "held ball"),
    (calls.Undo(), "undo"),
    (calls.Ask(Topic.SCORE), "score"),
    (calls.Tip(Team.HOME), "tip"),
    (calls.Timeout(Team.HOME), "timeout"),
    (calls.Number("5"), "number"),
]


@pytest.mark.parametrize(("call", "kind"), FACTS, ids=lambda each: str(each))
def test_every_call_of_practice_is_a_fact(call: Call, kind: str) -> None:
    assert fact_of(call).kind == kind


def test_another_call_is_refused() -> None:
    with pytest.raises(ValueError, match="call of practice"):
        fact_of(calls.Mark())
