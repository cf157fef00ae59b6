"""What is asked of the table itself. The replies are tested in words, in `test_session.py`."""

from __future__ import annotations

import pytest

from callout.game import calls
from callout.game.calls import TALK, Call
from callout.game.decide import Refusal
from callout.game.notices.kinds import Notice
from callout.game.terms import Manner, SayMuch, Team, Topic
from callout.table.speech import kinds
from callout.table.speech.delivery import Delivery
from callout.table.talk.requests import Done
from tests.table.play import Table

ANSWERS = (
    calls.Yes,
    calls.No,
    calls.Answer,
    calls.Pick,
    calls.Earlier,
    calls.Later,
    calls.Cancel,
)
"""Talk that the dialogue takes: it is not asked of the table."""

REQUESTS: tuple[Call, ...] = (
    calls.Ask(Topic.SCORE),
    calls.RefereeTold(),
    calls.SoundHorn(),
    calls.SayLevel(SayMuch.LESS),
    calls.SayHow(Manner.SLOWER),
    calls.PauseListening(),
    calls.ListenAgain(),
)


def ask(table: Table, call: Call) -> Done | None:
    return table.session.requests.do(call, table.game, table.session.now())


def test_all_talk_is_an_answer_or_a_request() -> None:
    # What is put right is looked for by the dialogue, and then booked; a time of day is made a
    # moment by the session before the game.
    assert {*ANSWERS, *map(type, REQUESTS), calls.PutRight, calls.TipAt} == set(TALK)


@pytest.mark.parametrize("call", REQUESTS, ids=lambda call: type(call).__name__)
def test_a_request_is_done_and_not_booked(table: Table, call: Call) -> None:
    assert ask(table.begun(), call) is not None
    assert len(table.session.entries) == 1


def test_what_is_for_the_book_is_no_request(table: Table) -> None:
    assert ask(table, calls.Score(Team.HOME, 2)) is None
    assert ask(table, calls.StartClock()) is None


def test_a_request_that_changes_nothing_is_refused(table: Table) -> None:
    assert ask(table, calls.ListenAgain()) == Done(refusal=Refusal(kinds.ALREADY_LISTENING))
    assert ask(table, calls.PauseListening()) == Done((Notice(kinds.PAUSED),))
    assert ask(table, calls.PauseListening()) == Done(refusal=Refusal(kinds.ALREADY_PAUSED))
    assert not table.session.listening
    assert ask(table, calls.Ask(Topic.ALOUD)) == Done(refusal=Refusal(kinds.NOTHING_TO_TELL))
    assert ask(table, calls.Ask(Topic.AGAIN)) == Done(refusal=Refusal(kinds.NOTHING_SAID))


def test_the_voice_changes_before_it_says_so(table: Table) -> None:
    done = ask(table, calls.SayHow(Manner.SLOWER))
    assert done is not None
    assert isinstance(done.commands[0], Delivery)
    assert done.notices == (Notice(kinds.SPOKE_SLOWER),)


def test_a_question_about_the_game_has_its_answer(table: Table) -> None:
    table.begun().say("home two number five")
    done = ask(table, calls.Ask(Topic.SCORE))
    assert done is not None
    assert [notice.kind for notice in done.notices] == ["tell_score"]
