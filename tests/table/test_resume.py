"""A game taken up again after its program was gone.

Source of what is asked: the design of this table; no rule book speaks of it. The times are reckoned
by hand.
"""

from __future__ import annotations

from dataclasses import replace

import pytest

from callout.game.notices.kinds import Notice
from callout.game.state import Owner, Phase
from callout.game.terms import Team
from callout.language.replies import Level
from callout.table.resume import carry_on
from callout.table.speech.reply import Reply, Sort
from callout.table.talk.question_kinds import TAKEN_UP
from tests.game.play import well_formed
from tests.table.play import SETUP, Table


def taken_up(table: Table, after_s: float = 20.0) -> tuple[Table, Reply]:
    """The same journal in another session, so many seconds later, and what it says first."""
    again = Table(table.journal.setup, table.journal)
    again.time.set(table.time.wall_ms() + round(1000 * after_s))
    return again, again.session.opening()


@pytest.fixture
def stopped(table: Table) -> Table:
    """First quarter, clock stopped at 7:30, home two, guest three."""
    table.say("start clock", "tip home", "home two number five")
    table.wait(30)
    table.say("guest three number thirty", "stop clock")
    return table


def test_a_game_whose_clock_stands_is_asked_about_in_one_sentence(stopped: Table) -> None:
    again, said = taken_up(stopped)
    assert [each.text for each in said.said] == [
        "Last booked: Stopped, seven thirty.",
        "First quarter, seven thirty, two, three, arrow guest. Carry on from here?",
    ]
    assert said.entries == ()
    assert again.say("yes").text == "Going on."
    assert again.session.dialogue.question is None
    assert again.game == stopped.game


@pytest.mark.parametrize("answer", ["no", ""])
def test_without_a_yes_nothing_is_booked(stopped: Table, answer: str) -> None:
    again, _ = taken_up(stopped)
    reply = again.say(answer) if answer else again.wait(31)
    assert "Set the clock if it is wrong." in reply.text
    assert again.game == stopped.game


def test_a_foul_from_before_the_stop_may_still_be_told_in_full(stopped: Table) -> None:
    stopped.say("guest foul")
    again, _ = taken_up(stopped, 5)
    assert "Another guest foul, number one three?" in again.say("guest foul thirteen").text
    assert again.say("no").text == "Guest foul, number one three, first. Team one."


def test_a_clock_that_ran_is_given_as_it_was_seen_and_as_it_would_be(stopped: Table) -> None:
    stopped.say("start clock")
    stopped.wait(10)
    stopped.say("home two number five")
    again, said = taken_up(stopped, 20)
    asked = said.of(Sort.QUESTION)[0].text
    assert "By now the clock runs at seven even. Carry on from seven twenty?" in asked
    again.wait(3)
    again.say("yes")
    assert again.game.phase is Phase.STOPPED
    assert again.game.clock.left_tenths == (7 * 60 + 20) * 10


@pytest.mark.parametrize("answer", ["no", ""])
def test_it_may_have_run_on(stopped: Table, answer: str) -> None:
    stopped.say("start clock")
    again, _ = taken_up(stopped, 20)
    reply = again.say(answer) if answer else again.wait(31)
    assert "The clock runs on." in reply.text
    assert again.game.clock.running
    left = again.session.now().left_tenths
    assert left == (7 * 60 + 30 - 20 - (0 if answer else 31)) * 10


def test_a_clock_that_is_said_answers_it_and_is_not_asked_about_again(stopped: Table) -> None:
    again, _ = taken_up(stopped)
    reply = again.say("set clock five fifteen")
    assert reply.text == "Clock five fifteen."
    assert again.session.dialogue.question is None
    assert again.game.clock.left_tenths == (5 * 60 + 15) * 10


def test_a_call_answers_it_and_is_booked(stopped: Table) -> None:
    again, _ = taken_up(stopped)
    reply = again.say("home two number ten")
    assert "Home two, number ten. Four, three." in reply.text
    assert again.session.dialogue.question is None


def test_a_period_that_would_be_over_is_not_ended_by_itself(stopped: Table) -> None:
    stopped.say("start clock")
    again, said = taken_up(stopped, 3_600)
    assert again.game.phase is Phase.STOPPED
    assert again.game.period == 1
    assert "First quarter, seven thirty, two, three" in said.text
    again.wait(60)
    assert again.game.phase is Phase.STOPPED


def test_an_interval_is_named_by_the_period_before_it(stopped: Table) -> None:
    stopped.say("end period", "yes")
    _, said = taken_up(stopped)
    asked = said.of(Sort.QUESTION)[0].text
    assert asked == "End of first quarter, two, three, arrow guest. Carry on from here?"


def test_before_and_after_a_game_nothing_is_asked(table: Table) -> None:
    table.say("add home number twenty")
    assert taken_up(table)[1].of(Sort.QUESTION) == ()
    table.say("start clock", "home two number five", "stop clock", "end game", "yes")
    assert table.game.phase is Phase.OVER
    assert taken_up(table)[1].of(Sort.QUESTION) == ()


def test_every_question_has_the_slots_that_are_listed_for_it(stopped: Table) -> None:
    seen = set()
    for lines in ((), ("start clock",), ("stop clock", "end period", "yes")):
        stopped.say(*lines)
        question = carry_on(stopped.game, stopped.time.wall_ms(), stopped.time.wall_ms())
        assert question is not None
        well_formed(Notice(question.kind.ask, question.slots))
        seen.add(question.kind)
    assert seen == set(TAKEN_UP)


def test_a_table_without_a_clock_is_not_asked_about_one() -> None:
    table = Table(replace(SETUP, owner=Owner.NONE))
    table.say("start clock", "home two number five")
    _, said = taken_up(table, 7_200)
    assert "Carry on from here?" in said.text
    assert said.entries == ()


def test_the_last_call_is_named_even_if_it_took_one_back(stopped: Table) -> None:
    stopped.say("undo that")
    _, said = taken_up(stopped)
    assert said.said[0].text.startswith("Last booked: Undone: guest three")


def notices(table: Table) -> list[tuple[str, int]]:
    return [(each.notice.kind, each.entry) for each in table.session.announcer.pending]


@pytest.mark.parametrize("lines", [
    ("guest foul fourteen", "shooting two"),
    ("guest timeout waiting", "stop clock"),
    ("guest timeout waiting", "stop clock", "guest timeout"),
    ("sub waiting", "stop clock", "referee told"),
    ("guest foul fourteen",) * 5,
    ("guest foul fourteen",) * 5 + ("referee told",),
    ("guest foul fourteen", "shooting two", "undo that"),
])  # fmt: skip
def test_what_somebody_must_act_on_still_waits(table: Table, lines: tuple[str, ...]) -> None:
    table.say("start clock", "tip home")
    for line in lines:
        table.wait(6)
        table.say(line)
    again, _ = taken_up(table)
    assert notices(again) == notices(table)


def test_what_waits_comes_again(table: Table) -> None:
    table.say("start clock", "guest foul fourteen", "shooting two")
    assert notices(table)
    again, _ = taken_up(table, 2)
    repeated = again.wait(12).repeated
    assert any("Two shots, home." in text for text in repeated)


def test_how_much_is_said_stays(table: Table) -> None:
    table.say("start clock", "say less", "say less")
    again, _ = taken_up(table)
    assert again.session.speaker.level is table.session.speaker.level is Level.URGENT


def test_a_pause_is_not_taken_up(table: Table) -> None:
    table.say("start clock", "pause listening")
    assert taken_up(table)[0].session.listening


def test_a_number_asked_for_is_open_and_the_goal_known(table: Table) -> None:
    table.say("start clock", "home two")
    again, _ = taken_up(table, 1)
    again.say("no")
    again.say("number five")
    assert [g.number for g in again.game.goals] == ["5"]
    assert again.game.goals[0].team is Team.HOME
