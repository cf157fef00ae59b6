"""How likely a call is before it is heard. Source: the design, doubt between calls."""

from __future__ import annotations

import math

import pytest

from callout.game import calls
from callout.game.terms import Team, Topic
from callout.table.talk.booking_questions import NUMBER_MS
from callout.table.talk.prior import (
    ASIDE,
    COMPLETING,
    EXPECTED,
    REFUSED,
    STRANGE,
    UNDONE,
    UNDONE_MS,
)
from callout.table.talk.repeats import REPEAT_MS
from tests.table.play import Table

HOME = Team.HOME


@pytest.fixture
def running(table: Table) -> Table:
    return table.begun()


def test_what_would_be_refused_is_seldom_said(running: Table) -> None:
    prior = running.session.prior
    assert prior(calls.StartClock()) == REFUSED
    assert [running.session.may(each) for each in (calls.StartClock(), calls.StopClock())] == [
        False,
        True,
    ]
    assert prior(calls.StopClock()) == 1.0
    assert prior(calls.Score(HOME, 2)) == 1.0


def test_what_was_just_called_may_be_repeated_though_it_is_refused(running: Table) -> None:
    # Or a partner's "stop clock" would be taken for "start clock".
    running.say("stop clock")
    assert running.session.prior(calls.StopClock()) == 1.0
    running.wait(REPEAT_MS / 1000 + 0.1)
    assert running.session.prior(calls.StopClock()) == REFUSED


def test_a_number_that_is_not_on_the_list_is_less_likely(running: Table) -> None:
    prior = running.session.prior
    assert prior(calls.Foul(HOME, "5")) == 1.0
    assert prior(calls.Foul(HOME, "99")) == prior(calls.Score(HOME, 2, "99")) == STRANGE
    assert prior(calls.Foul(HOME)) == 1.0


def test_talk_is_never_unlikely(running: Table) -> None:
    assert running.session.prior(calls.RefereeTold()) == 1.0


def test_what_books_no_play_is_less_likely_by_a_nat(running: Table) -> None:
    """Talk near the microphone sounds like it: "mark is at the door"."""
    prior = running.session.prior
    asides = (calls.Mark(), calls.Ask(Topic.TIMEOUTS), calls.HandOver())
    assert [prior(each) for each in asides] == [ASIDE] * 3
    assert math.log(ASIDE) == pytest.approx(-1.0, abs=0.01)


def test_the_answer_to_a_question_is_expected(running: Table) -> None:
    prior = running.session.prior
    running.say("end period")
    assert prior(calls.Yes()) == EXPECTED
    assert prior(calls.Score(HOME, 2)) == 1.0
    assert prior(calls.Answer("5")) == prior(calls.Pick(1)) == REFUSED


def test_a_call_is_weighed_while_it_is_asked_which_entry_is_meant(running: Table) -> None:
    """The entries that are asked about have no shares of a sound."""
    for said in ("home two number five", "home two number ten"):
        running.say(said)
        running.wait(REPEAT_MS / 1000 + 1)
    running.say("home basket was three")
    prior, question = running.session.prior, running.session.dialogue.question
    assert question is not None
    assert (question.kind, question.likely) == ("this_one", ())
    assert prior(calls.Yes()) == EXPECTED
    assert prior(calls.Score(HOME, 2, "5")) == 1.0
    assert prior(calls.Number("5")) == REFUSED
    running.say("number five")
    assert running.session.dialogue.leaning == {}


@pytest.mark.parametrize("said", ["home two", "home foul"])
def test_a_number_is_expected_while_a_fresh_call_waits_for_it(running: Table, said: str) -> None:
    prior = running.session.prior
    assert prior(calls.Number("5")) == REFUSED
    running.say(said)
    assert prior(calls.Number("5")) == COMPLETING
    assert prior(calls.Number("99")) == COMPLETING * STRANGE
    running.say("number five")
    running.say("undo that")
    assert prior(calls.Number("5")) == COMPLETING * UNDONE
    running.wait(NUMBER_MS / 1000 + 0.1)
    assert prior(calls.Number("5")) == 1.0


def test_what_was_just_taken_back_is_less_likely_for_some_seconds(running: Table) -> None:
    prior = running.session.prior
    running.say("home two number five")
    running.say("undo that")
    five = calls.Score(HOME, 2, "5")
    assert prior(five) == UNDONE
    assert prior(calls.Score(HOME, 2, "4")) == 1.0
    running.wait(UNDONE_MS / 1000 + 1)
    assert prior(five) == 1.0


def test_while_lines_are_asked_about_one_by_one_no_other_call_is_an_answer(running: Table) -> None:
    for number in ("five", "ten"):
        running.say(f"home two number {number}")
        running.wait(5)
    assert running.say("home basket was number eleven").text.endswith("This one?")
    prior = running.session.prior
    assert prior(calls.Yes()) == prior(calls.No()) == prior(calls.Earlier()) == EXPECTED
    assert prior(calls.Answer("5")) == prior(calls.Pick(1)) == REFUSED
    assert prior(calls.StopClock()) == prior(calls.Score(HOME, 2)) == 1.0
