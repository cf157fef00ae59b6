"""What comes again and what waits. The expectations are those of the design on what is said back:
never over the referee's report; at a stop a tone first, words once the foul is booked or after 3 s;
an act-now notice comes again until it was told or done; nothing unasked in play."""

from __future__ import annotations

import pytest

from callout.game.calls import SetClock
from callout.table.announcer import AGAIN_MS, HOLD_MS, Hush, Speak
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
    assert spoken(reply) == ["(attention)", "Stopped, seven forty five."]
    assert spoken(running.wait(2.9)) == []
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
    assert running.wait(HOLD_MS / 1000 + 12).repeated == (again,)
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


def test_the_more_urgent_interrupts_and_is_said_before_the_echo(running: Table) -> None:
    running.say("stop clock")
    running.wait(5)
    assert spoken(running.say("home foul number five")) == [
        "Home foul, number five, first. Team one."
    ]
    reply = running.say("home foul number five shooting two")
    assert reply.speech == (Hush(), Speak("Two shots, guest.", "attention"))
    later = spoken(running.wait(3))
    assert later == ["Home foul, number five, second. Team two."]


def said_at(table: Table, seconds: float) -> list[tuple[float, str]]:
    """What the voice begins to say while time passes, and when."""
    found = []
    for _ in range(round(10 * seconds)):
        found += [(table.time.wall_ms() / 1000, text) for text in spoken(table.wait(0.1))]
    return [(round(at - 1000, 1), text) for at, text in found]


def test_a_burst_is_said_in_its_order(running: Table) -> None:
    """A foul puts a player out while two substitutes and a time-out wait."""
    running.say("stop clock")
    for _ in range(4):
        running.say("guest foul number thirteen")
    running.say("referee told", "start clock")
    running.wait(20)
    running.say("stop clock")
    begun = spoken(running.say("home sub waiting", "guest sub waiting", "guest timeout waiting"))
    running.wait(1)
    begun += spoken(running.say("guest foul number thirteen shooting two"))
    begun += [text for _, text in said_at(running, 12)]
    urgent = [text for text in begun if "Horn" in text or "shots" in text or "is out" in text]
    assert urgent[:5] == [
        "Guest one three is out, fifth foul. Tell the referee.",
        "Two shots, home.",
        "Guest wants a time-out. Horn.",
        "Home sub waiting. Horn.",
        "Guest sub waiting. Horn.",
    ]


def test_what_is_asked_for_while_the_referee_reports_waits_too(running: Table) -> None:
    running.say("stop clock")
    running.wait(1)
    assert spoken(running.say("guest timeout waiting"))[-1] == "Guest time-out waiting."
    assert (13.0, "Guest wants a time-out. Horn.") in said_at(running, 3)


def test_after_the_report_nothing_waits(running: Table) -> None:
    running.say("stop clock", "home foul number five")
    running.wait(2)
    assert "Guest wants a time-out. Horn." in spoken(running.say("guest timeout waiting"))


def test_what_was_done_meanwhile_is_not_said_late(running: Table) -> None:
    running.say("guest sub waiting")
    running.wait(5)
    running.say("stop clock")
    running.wait(1)
    running.say("subs in")
    assert not [text for _, text in said_at(running, 20) if "sub waiting" in text]


def test_a_question_that_was_answered_is_not_asked_to_its_end(running: Table) -> None:
    running.say("set clock two twenty")
    running.wait(0.3)
    reply = running.say("yes")
    assert reply.speech[0] == Hush()
    assert spoken(reply) == ["Clock two twenty."]
    assert spoken(running.wait(10)) == []


def test_a_loudspeaker_says_no_words_into_an_ear_that_a_key_has_opened(running: Table) -> None:
    running.say("sub waiting", "stop clock")
    running.wait(5)
    speaker = running.session.speaker
    assert speaker.be_quiet() == (Hush(),)
    aloud = Speak("Sub waiting. Horn.", "attention", aloud=True)
    assert aloud not in running.say("tell officials", source="key").speech
    assert speaker.go_on() == (aloud,)


def test_no_choice_is_read_while_the_scorer_speaks(running: Table) -> None:
    running.session.speaker.be_quiet()
    assert [running.session.read(text).speech for text in ("Home.", "Guest.")] == [(), ()]
    assert running.session.speaker.go_on() == ()
    assert spoken(running.session.read("Home.")) == ["Home."]


def test_the_board_is_read_in_parts_and_to_its_end(running: Table) -> None:
    running.say("tip home")
    running.wait(5)
    first = spoken(running.say("board check"))
    assert [*first, *(text for _, text in said_at(running, 20))] == [
        "Home nothing, guest nothing.",
        "First quarter, seven forty five.",
        "Fouls zero, zero.",
        "Time-outs five, five.",
        "Arrow, guest.",
    ]


def test_at_a_periods_end_the_board_is_read_but_not_where_only_what_is_urgent_is(
    running: Table,
) -> None:
    running.say("tip home", "end period", "yes")
    assert "Time-outs five, five." in [text for _, text in said_at(running, 20)]
    running.say("urgent only", "start clock", "yes")
    reply = running.say("end period", "yes")
    assert reply.text == "Teams change ends. Turn the pointer, still home."


def test_before_an_overtime_it_is_said_what_it_begins_with(running: Table) -> None:
    # NFHS 6-4: a jump ball; 5-7-3: team fouls carry over (transcription).
    for _ in range(3):
        running.say("end period", "yes", "start period")
    reply = running.say("end period", "yes")
    assert "Scores level. Overtime. Jump ball. Team fouls carry over." in reply.text


def test_an_arrow_set_against_the_book_is_told(running: Table) -> None:
    assert running.say("set arrow guest").text == "Arrow, guest."
    reply = running.say("set arrow home")
    assert "The book had the arrow at guest. Tell the referee." in reply.text
    assert running.say("referee told").text == "Told."
