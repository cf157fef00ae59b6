"""What comes again and what waits. The expectations are those of the design on what is said back:
never over the referee's report; at a stop a tone first, words once the foul is booked or after 3 s;
an act-now notice comes again until it was told or done; nothing unasked in play."""

from __future__ import annotations

from dataclasses import replace

import pytest

from callout.game.calls import EndPeriod, SetClock, StartClock
from callout.game.kind import Rank
from callout.table.speech.announcer import AGAIN_MS, HOLD_MS, Hush, Speak
from callout.table.speech.reply import Reply
from tests.table.play import SETUP, Table


def spoken(reply: Reply) -> list[str]:
    return [command.text or f"({command.tone})" for command in reply.spoken]


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


def test_a_notice_comes_once_more_at_a_stop_unless_the_referee_was_told(out: Table) -> None:
    # Each is told twice and then at the next dead ball only: common practice, no source.
    assert out.wait(AGAIN_MS / 1000 - 0.1).repeated == ()
    assert OUT in out.wait(0.1).repeated
    assert OUT not in out.wait(10 * AGAIN_MS / 1000).repeated
    for _ in range(2):
        out.say("start clock")
        out.wait(30)
        out.say("stop clock")
        assert out.wait(60).repeated == (OUT,)
    out.say("start clock")
    out.wait(5)
    out.say("stop clock")
    assert out.say("referee told").text == "Told."
    assert out.wait(30).repeated == ()


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
    assert running.wait(60).repeated == ()
    running.say("start clock", "stop clock")
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
    begun += spoken(running.say("guest foul number thirteen shooting one"))
    begun += [text for _, text in said_at(running, 12)]
    urgent = [text for text in begun if "Horn" in text or "shot" in text or "is out" in text]
    assert urgent[:3] == [
        "Guest one three is out, fifth foul. Tell the referee.",
        "One shot, home.",
        "Time-out guest. Subs both. Horn.",
    ]


def test_four_who_wait_for_one_horn_are_one_sentence(running: Table) -> None:
    # Common practice, no source: the table signals once, and then tells the officials for whom.
    running.say("guest timeout waiting", "home timeout waiting")
    running.say("home sub waiting", "guest sub waiting")
    running.wait(20)
    stop = running.say("stop clock")
    whole = "Time-outs guest, then home. Subs both. Horn."
    assert stop.text == f"{whole} Stopped, seven thirty."
    said = [text for _, text in said_at(running, 5)]
    assert said.count(whole) == 1
    assert not [text for text in said if "Horn" in text and text != whole]
    again = running.wait(12)
    assert again.repeated == (f"If the ball is still dead: {whole}",)


def test_what_is_done_before_its_turn_is_left_out_of_the_sentence(running: Table) -> None:
    running.say("guest timeout waiting", "home sub waiting", "guest sub waiting")
    running.wait(20)
    running.say("stop clock")
    running.wait(1)
    running.say("guest timeout")
    horns = [text for _, text in said_at(running, 6) if "Horn" in text]
    assert horns[:1] == ["Subs both. Horn."]
    running.say("subs in")
    assert not [text for _, text in said_at(running, 20) if "sub" in text.lower()]


@pytest.mark.parametrize(
    ("waiting", "words"),
    [
        (("guest timeout waiting", "sub waiting"), "Time-out guest. Sub waiting. Horn."),
        (("home sub waiting", "guest timeout waiting"), "Time-out guest. Sub home. Horn."),
        (("home sub waiting", "sub waiting"), "Sub home. Horn."),
        (("home timeout waiting", "guest timeout waiting"), "Time-outs home, then guest. Horn."),
    ],
)
def test_the_sentence_names_each_once(running: Table, waiting: tuple[str, ...], words: str) -> None:
    running.say(*waiting)
    running.wait(20)
    running.say("stop clock")
    assert words in [text for _, text in said_at(running, 5)]


def test_what_is_asked_for_while_the_referee_reports_waits_too(running: Table) -> None:
    running.say("stop clock")
    running.wait(1)
    reply = running.say("guest timeout waiting")
    assert spoken(reply)[-1] == "Guest time-out waiting."
    assert reply.text == "Guest wants a time-out. Horn."
    assert (13.0, "Guest wants a time-out. Horn.") in said_at(running, 3)


def test_after_the_report_nothing_waits(running: Table) -> None:
    running.say("stop clock", "home foul number five")
    running.wait(2)
    assert "Guest wants a time-out. Horn." in spoken(running.say("guest timeout waiting"))


@pytest.mark.parametrize(
    ("call", "text"),
    [
        ("guest sub waiting", "Guest sub waiting. Horn."),
        ("sub waiting", "Sub waiting. Horn."),
        ("guest timeout waiting", "Guest wants a time-out. Horn."),
    ],
)
def test_who_may_come_at_once_is_told_once(running: Table, call: str, text: str) -> None:
    # Common practice, no source: each second of speech is one in which the table hears nothing.
    running.say("stop clock", "home foul number five")
    running.wait(5)
    reply = running.say(call)
    assert reply.text == text
    assert said_in(reply, text)
    assert [each for _, each in said_at(running, 5)] == []


def test_one_more_who_waits_for_the_same_horn_is_confirmed(running: Table) -> None:
    running.say("stop clock", "home foul number five", "guest sub waiting")
    running.wait(5)
    assert running.say("guest sub waiting").text == "Guest sub waiting."


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
    # NFHS 6-4: a jump ball; 5-7-3: team fouls carry over (read in an online copy).
    for _ in range(3):
        running.say("end period", "yes", "start period")
    reply = running.say("end period", "yes")
    assert "Scores level. Overtime. Jump ball. Team fouls carry over." in reply.text


def test_an_arrow_set_against_the_book_is_told(running: Table) -> None:
    assert running.say("set arrow guest").text == "Arrow, guest."
    reply = running.say("set arrow home")
    assert "The book had the arrow at guest. Tell the referee." in reply.text
    assert running.say("referee told").text == "Told."


# --- when what is urgent is done: each row of the table by what is called ------------------------

BALL = "Two shots and the ball, home."
GOAL_STOPS = "That basket stops the clock."


def at(period: int, left_tenths: int, profile: str = "fiba-2024") -> Table:
    """A table in the midst of a period, its clock running; FIBA's where nothing else is said."""
    table = Table(replace(SETUP, profile=profile))
    for _ in range(period - 1):
        table.session.take(StartClock(), "script")
        table.session.take(EndPeriod(), "script")
        table.wait(120)
    table.session.take(StartClock(), "script")
    table.wait(1)
    table.session.take(SetClock(left_tenths), "script")
    table.wait(1)
    return table


def said_in(reply: Reply, text: str) -> bool:
    return any(text in command.text for command in reply.spoken) or any(
        text in again for again in reply.repeated
    )


@pytest.mark.parametrize(
    "lines",
    [
        ("shot good number five",),
        ("shot missed",),
        ("home two number five",),
        ("start clock",),
        ("referee told",),
        ("undo that",),
    ],
)
def test_shots_and_ball_end_by_throws_a_goal_or_the_clock(lines: tuple[str, ...]) -> None:
    # FIBA 37.2: an unsportsmanlike foul brings two throws and the ball.
    table = at(1, 5_000)
    table.say("stop clock")
    assert BALL in table.say("guest unsportsmanlike number fourteen").text
    table.say(*lines)
    later = table.wait(30)
    table.say("start clock")
    table.wait(20)
    table.say("stop clock")
    assert not said_in(later + table.wait(60), BALL)


def test_shots_and_ball_end_where_play_went_on_with_a_clock_that_is_never_stopped() -> None:
    # rec-running-clock: the clock runs on through whistles; the throws were not booked.
    table = at(1, 7_200, "rec-running-clock")
    table.say("guest technical number fourteen")
    table.wait(60)
    reply = table.say("home foul number five")
    assert not said_in(reply + table.wait(60), BALL)


def test_shots_and_ball_end_with_the_period() -> None:
    table = at(1, 100, "rec-running-clock")
    table.say("guest technical number fourteen")
    table.wait(5)
    assert not said_in(table.wait(60), BALL)


def test_penalties_of_both_teams_leave_the_ball_to_the_last() -> None:
    # NFHS, from memory: they are administered in the order in which the fouls occurred.
    table = at(1, 4_000, "nfhs-2026")
    table.say("stop clock")
    table.wait(60)
    table.say("home technical number five")
    table.wait(5)
    reply = table.say("guest technical number fourteen")
    assert "Two shots, guest. Two shots and the ball, home." in reply.text
    later = table.wait(60)
    assert not said_in(later, "Two shots and the ball, guest.")
    assert sorted(later.repeated) == [BALL, "Two shots, guest."]
    again = table.say("undo that")
    assert "Two shots and the ball, guest." in again.text


def test_that_a_basket_stops_the_clock_is_not_said_of_one_that_is_stopped() -> None:
    # FIBA 50.2: in the last two minutes a goal stops the clock.
    table = at(4, 1_100)
    assert GOAL_STOPS in table.say("guest two number thirteen").text
    table.say("stop clock")
    assert not said_in(table.wait(30), GOAL_STOPS)


@pytest.mark.parametrize("then", ["home two number five", "home foul number five", "dead ball"])
def test_that_a_basket_stops_the_clock_comes_once_more_unless_play_went_on(then: str) -> None:
    table = at(4, 1_100)
    table.say("guest two number thirteen")
    assert table.wait(30).repeated == (GOAL_STOPS,)
    table = at(4, 1_100)
    table.say("guest two number thirteen")
    table.wait(4)
    table.say(then)
    assert table.wait(30).repeated.count(GOAL_STOPS) == (1 if "two" in then else 0)


def test_a_coach_who_is_out_is_told_at_stops_until_the_next_period(running: Table) -> None:
    # NFHS 10-6 penalty, from memory: the second direct technical puts the head coach out.
    coach = "Guest's coach is out. Tell the referee."
    running.say("stop clock", "guest coach technical", "guest coach technical")
    assert running.wait(60).repeated.count(coach) == 1
    running.say("start clock")
    assert not said_in(running.wait(30), coach)
    running.say("stop clock")
    assert running.wait(60).repeated == (coach,)
    running.say("end period", "yes")
    assert running.wait(50).repeated == ()
    running.say("start clock", "stop clock")
    assert running.wait(60).repeated == ()


def test_a_coach_who_is_not_out_after_all_is_told_no_more(running: Table) -> None:
    running.say("stop clock", "guest coach technical", "guest coach technical", "undo that")
    assert running.wait(60).repeated == ()
    running.say("start clock", "stop clock", "guest coach technical", "referee told")
    assert running.wait(60).repeated == ()


def test_what_is_taken_back_leaves_the_same_notice_of_before(running: Table) -> None:
    running.say("stop clock", "guest technical number five", "guest technical number thirteen")
    running.say("undo that")
    pending = running.session.announcer.pending
    assert [each.text for each in pending if each.notice.kind.again] == [BALL]


def test_a_player_who_is_out_falls_silent_while_the_clock_runs() -> None:
    table = at(1, 7_200, "rec-running-clock")
    for _ in range(5):
        table.say("guest foul number thirteen")
        table.wait(20)
    assert not said_in(table.wait(60), "is out")
    table.say("stop clock")
    assert [text for text in table.wait(60).repeated if "is out" in text] == [OUT]


def test_a_player_out_while_others_change_is_still_told(running: Table) -> None:
    running.say("stop clock", "guest sub three in five out")
    for _ in range(5):
        running.say("guest foul number thirteen")
    running.say("referee told")
    running.say("undo that")
    running.say("guest foul number thirteen", "guest sub five in three out")
    assert OUT in running.wait(30).repeated


@pytest.mark.parametrize("profile", ["nfhs-2026", "fiba-2024", "nba-2026"])
def test_no_horn_is_sounded_for_a_substitute_between_periods_or_at_the_end(profile: str) -> None:
    # Common practice, no source: in an interval they come in by themselves.
    table = Table(replace(SETUP, profile=profile))
    table.say("start clock", "home sub waiting")
    for _ in range(4):
        reply = table.say("guest sub waiting")
        reply += table.session.take(EndPeriod(), "script") + table.wait(150)
        reply += table.say("guest sub waiting", "start period") + table.wait(20)
        assert not said_in(reply, "Sub waiting")
        assert not said_in(reply, "sub waiting. Horn")
        table.say("start clock")
    reply = table.say("end game", "yes") + table.wait(60)
    assert not said_in(reply, "sub waiting. Horn")


def test_an_interval_is_not_filled_with_what_was_told(table: Table) -> None:
    """23 sentences were said here once in one minute of a FIBA interval, all told before."""
    table = at(1, 1_000)
    table.say("stop clock")
    told: list[str] = []
    for number in ("three", "five", "fourteen"):
        reply = table.say(f"guest disqualifying number {number}")
        reply += table.say("shot good number five", "shot good") + table.wait(10)
        told += [each.text for each in reply.spoken if "is out" in each.text]
    assert len(set(told)) == 3
    table.session.take(EndPeriod(), "script")
    said = [each.text for each in table.wait(60).spoken if each.text]
    assert [text for text in said if "is out" in text or "shots" in text] == []


def test_a_tone_confirms_the_call_before_several_notices(running: Table) -> None:
    # NFHS 3-2 and 3-4: a name added late, and a number that has a digit above five.
    running.wait(20)
    reply = running.say("add guest number seven")
    ranks = [said.rank for said in reply.said]
    assert ranks[:2] == [Rank.TELL, Rank.TELL]
    assert Rank.ECHO in ranks
    assert reply.spoken[0].tone == "accepted"
    running.wait(20)
    assert running.say("home two number five").spoken[0].tone == ""
