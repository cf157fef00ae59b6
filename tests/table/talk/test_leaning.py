"""What answers tell about numbers that sound alike. Source: the design, doubt between calls."""

from __future__ import annotations

import math

import pytest

from callout.edges.ear.hypotheses import Word
from callout.edges.ear.messages import HeardCall, OtherWords, Utterance
from callout.edges.ear.spoken_calls import Understood, understand
from callout.game import calls
from callout.game.terms import Team
from callout.language.parser import Parser
from callout.table.talk.leaning import FURTHEST, STEP, leaned, weight
from callout.table.talk.repeats import REPEAT_MS
from tests.table.play import Table, language

HOME = Team.HOME
NEARLY_SURE = 0.935
"""The share of the likelier reading: less than `costs.CERTAIN`."""


@pytest.fixture
def running(table: Table) -> Table:
    return table.begun()


def heard(table: Table, share: float) -> Understood:
    """What the ear makes of a goal by fifteen, or maybe by fifty, at this moment."""
    words = ("home", "two", "number", "fifteen")
    spoken = tuple(Word(word, float(at), at + 0.5) for at, word in enumerate(words))
    others = (OtherWords((*words[:-1], "fifty"), math.log(share / (1 - share))),)
    call = HeardCall(spoken, 9.0, 9.0, others)
    parser: Parser = language()[1].now(False)
    prior = table.session.prior
    (found,) = understand(parser, Utterance(0.0, 3.0, "", (call,)), lambda each, _: prior(each))
    return found


def answered(table: Table, share: float, answer: str) -> Understood:
    """The same once more, after it was asked about and answered."""
    found = heard(table, share)
    assert found.doubt is not None
    assert found.call is not None
    table.session.take(found.call, "voice", doubt=found.doubt)
    table.say(answer)
    table.wait(REPEAT_MS / 1000 + 1)
    return heard(table, share)


def test_a_question_answered_alike_again_and_again_is_asked_no_more(running: Table) -> None:
    """By hand: five answers move its odds from 2.67 to 2.96 nats, four to 2.91; 0.95 are 2.94."""
    statuses = [heard(running, NEARLY_SURE).status]
    while statuses[-1] == "unsure" and len(statuses) < 10:
        statuses.append(answered(running, NEARLY_SURE, "fifteen").status)
    assert statuses == [*["unsure"] * 5, "call"]
    assert heard(running, NEARLY_SURE).call == calls.Score(HOME, 2, "15")


def test_what_sounds_half_like_another_is_still_asked_after_three_answers(running: Table) -> None:
    for _ in range(3):
        found = answered(running, 0.6, "fifteen")
    assert found.status == "unsure"
    assert found.certainty > 0.75


def test_who_means_the_other_number_is_not_booked_wrongly(running: Table) -> None:
    """What is likelier by its sound alone is wrong in this voice."""
    found = answered(running, 0.55, "fifty")
    assert found.call == calls.Score(HOME, 2, "50")


def test_other_numbers_and_calls_without_one_are_as_likely_as_before(running: Table) -> None:
    answered(running, 0.6, "fifteen")
    prior = running.session.prior
    assert prior(calls.Foul(HOME, "4")) == prior(calls.Foul(HOME)) == prior(calls.StopClock()) == 1
    assert prior(calls.Foul(HOME, "15")) > 1 > prior(calls.Foul(HOME, "50"))


@pytest.mark.parametrize("answer", ["eleven", "no"])
def test_an_answer_that_was_not_offered_teaches_nothing(running: Table, answer: str) -> None:
    answered(running, 0.6, answer)
    assert running.session.dialogue.leaning == {}


def test_a_step_is_that_of_logistic_regression() -> None:
    """Source: the gradient of the logarithm of a softmax: 1 less the share, or minus the share."""
    moved = leaned({}, {"15": 3.0, "50": 1.0}, "50")
    assert moved == pytest.approx({"15": -0.75 * STEP, "50": 0.75 * STEP})
    assert weight(moved, calls.Foul(HOME, "50")) == pytest.approx(math.exp(0.75 * STEP))


def test_no_weight_goes_further_than_its_limit() -> None:
    moved = dict[str, float]()
    for _ in range(100):
        moved = dict(leaned(moved, {"15": 0.9, "50": 0.1}, "50"))
    assert moved == {"15": -FURTHEST, "50": FURTHEST}
