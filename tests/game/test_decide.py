"""The way from a call to its rule."""

from __future__ import annotations

import pytest

from callout.game import calls
from callout.game.calls import TALK, Call, Score
from callout.game.decide import RULES, Decisions, Refusal, decide
from callout.game.decisions.base import Decision
from callout.game.decisions.refusals import NOT_FOR_THE_BOOK
from callout.game.events import Scored
from callout.game.state import At, Game
from callout.game.terms import Manner, SayMuch, Topic
from tests.game.play import HOME, Play

SAID: tuple[Call, ...] = (
    calls.Ask(Topic.SCORE),
    calls.Yes(),
    calls.No(),
    calls.Answer("5"),
    calls.Pick(1),
    calls.Earlier(),
    calls.Later(),
    calls.Cancel(),
    calls.PutRight(HOME),
    calls.RefereeTold(),
    calls.SoundHorn(),
    calls.SayLevel(SayMuch.LESS),
    calls.SayHow(Manner.SLOWER),
    calls.PauseListening(),
    calls.ListenAgain(),
    calls.TipAt(7),
)


def test_all_talk_is_tried() -> None:
    assert [type(call) for call in SAID] == list(TALK)


@pytest.mark.parametrize("call", SAID, ids=lambda call: type(call).__name__)
def test_talk_is_not_for_the_book(running: Play, call: Call) -> None:
    assert decide(running.game, call, running.at()) == Refusal(NOT_FOR_THE_BOOK)


def test_a_call_goes_to_its_own_rule(running: Play) -> None:
    call = Score(HOME, 2, "5")
    decision = decide(running.game, call, running.at())
    assert decision == RULES[Score](running.game, call, running.at())
    assert decision == (Scored(20, HOME, 2, "5", 1, 4800),)


def test_deciding_changes_nothing(running: Play) -> None:
    before = repr(running.game)
    decide(running.game, Score(HOME, 2, "5"), running.at())
    assert repr(running.game) == before


@pytest.fixture
def counted(monkeypatch: pytest.MonkeyPatch) -> list[Call]:
    """Every basket that is decided."""
    made: list[Call] = []
    rule = RULES[Score]

    def decided(game: Game, call: Score, at: At) -> Decision:
        made.append(call)
        return rule(game, call, at)

    monkeypatch.setitem(RULES, Score, decided)
    return made


def test_a_call_is_decided_once_in_one_state_of_the_game(
    running: Play, counted: list[Call]
) -> None:
    decisions, at = Decisions(running.game), running.at()
    two, three = Score(HOME, 2, "5"), Score(HOME, 3, "5")
    assert decisions.on(two, at) is decisions.on(two, at)
    assert decisions.on(two, at) == decide(running.game, two, at)
    assert not decisions.refuses(two, at)
    assert not decisions.refuses(three, at)
    assert counted == [two, two, three]
    later = At(at.left_tenths - 10, at.wall_ms + 1_000)
    assert decisions.on(two, later) == decide(running.game, two, later) != decisions.on(two, at)


def test_talk_is_never_refused_though_it_is_not_for_the_book(running: Play) -> None:
    decisions = Decisions(running.game)
    assert decisions.on(calls.Yes(), running.at()) == Refusal(NOT_FOR_THE_BOOK)
    assert not decisions.refuses(calls.Yes(), running.at())
    assert decisions.refuses(calls.StartClock(), running.at())
