"""What comes again and what waits. The expectations are those of the design on what is said back:
never over the referee's report; at a stop a tone first, words once the foul is booked or after 3 s;
an act-now notice comes again until it was told or done; nothing unasked in play."""

from __future__ import annotations

import pytest

from callout.game.calls import SetClock
from callout.table.announcer import AGAIN_MS, HOLD_MS
from callout.table.reply import Reply
from callout.table.session import commands_of

from .book import Table


def spoken(reply: Reply) -> list[str]:
    return [command.text or f"({command.tone})" for command in commands_of(reply)]


@pytest.fixture
def running(table: Table) -> Table:
    return table.begun()


@pytest.fixture
def out(running: Table) -> Table:
    """A table at which a player has just been charged with the fifth foul."""
    running.say("stop clock")
    for _ in range(5):
        running.say("guest foul number thirteen")
        running.wait(5)
    running.say("referee told")
    running.say("undo that")
    running.wait(20)
    reply = running.say("guest foul number thirteen")
    assert "Guest one three is out, fifth foul. Tell the referee." in reply.text
    return running


OUT = "Guest one three is out, fifth foul. Tell the referee."


def test_a_notice_comes_again_until_the_referee_was_told(out: Table) -> None:
    assert out.wait(AGAIN_MS / 1000 - 0.1).repeated == ()
    assert OUT in out.wait(0.1).repeated
    assert OUT in out.wait(AGAIN_MS / 1000).repeated
    assert out.say("referee told").text == "Told."
    assert OUT not in out.wait(30).repeated


@pytest.mark.parametrize("done", ["guest sub five in thirteen out", "undo that"])
def test_a_notice_ends_when_the_thing_is_done(out: Table, done: str) -> None:
    out.say(done)
    assert OUT not in out.wait(30).repeated


def test_in_play_nothing_comes_again_and_at_the_next_stop_it_does(out: Table) -> None:
    out.say("start clock")
    assert out.wait(60).repeated == ()
    out.say("stop clock")
    assert out.wait(HOLD_MS / 1000 - 0.1).repeated == ()
    assert OUT in out.wait(0.2).repeated


def test_shots_owed_end_with_the_first_throw(running: Table) -> None:
    running.say("stop clock", "guest foul number thirteen shooting two")
    assert running.wait(12).repeated == ("Two shots, home.",)
    running.say("shot missed")
    assert running.wait(30).repeated == ()


def test_at_a_stop_a_tone_and_the_words_after_three_seconds(running: Table) -> None:
    running.say("guest timeout waiting")
    running.wait(5)
    reply = running.say("stop clock")
    assert spoken(reply)[-1] == "(attention)" or "(attention)" in spoken(running.wait(2.9))
    said = spoken(running.wait(3.5))
    assert "Guest wants a time-out. Horn." in said
    assert running.say("say again").text.startswith("Guest wants a time-out.")


def test_at_a_stop_the_words_come_with_the_foul(running: Table) -> None:
    running.say("guest timeout waiting")
    running.wait(5)
    running.say("stop clock")
    running.wait(2)
    reply = running.say("home foul number five")
    assert "Guest wants a time-out. Horn." in spoken(reply) + spoken(running.wait(0.9))


def test_for_the_horn_it_is_said_again_only_if_the_ball_is_still_dead(running: Table) -> None:
    running.say("guest timeout waiting", "stop clock")
    again = "If the ball is still dead: Guest wants a time-out. Horn."
    assert running.wait(12).repeated == (again,)
    assert again in running.wait(AGAIN_MS / 1000).repeated
    running.say("guest timeout")
    assert running.wait(20).repeated == ()


def test_in_the_last_ten_seconds_nothing_comes_again(running: Table) -> None:
    running.say("stop clock")
    running.session.take(SetClock(150), "script")
    running.say("guest foul number thirteen shooting two", "start clock", "dead ball")
    running.wait(5)
    assert running.session.now().left_tenths == 100
    assert running.wait(9.9).repeated == ()


def test_the_more_urgent_interrupts_and_the_echo_is_dropped(running: Table) -> None:
    running.say("stop clock")
    running.wait(5)
    assert spoken(running.say("home foul number five")) == [
        "Home foul, number five, first. Team one."
    ]
    reply = running.say("home foul number five shooting two")
    assert spoken(reply) == ["Two shots, guest. Home foul, number five, second. Team two."]
    assert len(reply.speech) == 2
