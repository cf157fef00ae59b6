"""A game in words, through the one loop. Replies are the sentences of the design's page."""

from __future__ import annotations

import shutil
from collections.abc import Iterable
from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from callout.errors import JournalError
from callout.game import calls
from callout.game.calls import Call
from callout.game.figures.fouls import team_fouls
from callout.game.figures.score import both_scores
from callout.game.fold import Entry, fold
from callout.game.state import At, Owner, Phase
from callout.game.terms import Award, FoulKind, Team
from callout.table.book.backoff import RETRY_MS
from callout.table.book.journal import Journal
from callout.table.session import Session
from callout.table.setup.roster import Player
from callout.table.speech.announcer import Speak
from callout.table.speech.reply import Reply, Said, Sort
from callout.table.talk.questions import ANSWER_MS, Doubt
from tests.game.strategies import any_call
from tests.table.play import SETUP, Table

HOME, GUEST = Team.HOME, Team.GUEST


def spoken(reply: Reply) -> list[str]:
    return [command.text or f"({command.tone})" for command in reply.spoken]


@pytest.fixture
def running(table: Table) -> Table:
    return table.begun()


# --- the way of a call ---------------------------------------------------------------------------


def test_a_call_is_booked_kept_and_echoed(running: Table) -> None:
    reply = running.say("home two number five")
    assert reply.text == "Home two, number five. Two, nothing."
    assert both_scores(running.game) == (2, 0)
    (entry,) = reply.entries
    assert running.journal.entries()[-1].id == entry
    assert running.journal.replies()[-1] == reply.said[0]
    assert reply.said[0].entry == entry
    assert spoken(reply) == ["Home two, number five. Two, nothing."]


def test_a_refused_call_books_nothing_and_sounds_unlike_success(running: Table) -> None:
    before = running.game
    reply = running.say("start clock")
    assert (reply.text, reply.refused, reply.entries) == ("Already running.", True, ())
    assert running.game is before
    assert reply.spoken == (Speak("Already running.", "refused"),)
    assert running.journal.replies()[-1].sort is Sort.REFUSAL


def test_words_that_are_no_call_get_a_tone_and_book_nothing(running: Table) -> None:
    reply = running.say("home number two shot")
    assert (reply.text, reply.entries) == ("Say again?", ())
    assert [command.tone for command in reply.spoken] == ["unheard"]


@pytest.mark.parametrize(
    ("booked", "typed", "left"),
    [
        ("home two number five", "undo home two", "Nothing, nothing."),
        ("guest foul number thirteen", "undo last guest foul", "Team zero."),
        ("guest timeout", "undo guest timeout", "Five left."),
    ],
)
def test_a_call_named_after_undo_is_taken_off_and_not_made_again(
    running: Table, booked: str, typed: str, left: str
) -> None:
    running.say("stop clock", booked)
    running.wait(5)
    reply = running.say(typed)
    assert reply.text.startswith("Undone: ")
    assert reply.text.endswith(left)


def test_undo_and_a_kind_of_call_without_its_team_undoes_nothing(running: Table) -> None:
    running.say("home foul number five")
    running.wait(5)
    assert running.say("undo last foul").text == "Which team? Say home or guest with it."
    assert len(running.session.game.charges) == 1


def test_several_calls_in_one_breath_are_several_entries_in_their_order(running: Table) -> None:
    reply = running.say("home two number five guest foul number thirteen")
    assert len(reply.entries) == 2
    assert reply.text.startswith("Home two, number five.")
    assert team_fouls(running.game, GUEST) == 1


def test_a_call_counts_from_the_moment_it_was_made(running: Table) -> None:
    made = running.session.now()
    running.wait(2)
    running.session.take(calls.Score(HOME, 2), "voice", made)
    assert running.game.goals[0].left_tenths == made.left_tenths == 4_700


class FullDisk(Journal):
    """A journal that can be read but takes nothing more."""

    def append(self, entry: Entry, replies: object = ()) -> None:
        raise JournalError("x.game: cannot write: database or disk is full")

    def note(self, replies: object) -> None:
        raise JournalError("x.game: cannot write: database or disk is full")


def test_what_is_not_on_the_disk_is_never_confirmed() -> None:
    table = Table(journal=FullDisk.in_memory(SETUP))
    before = table.game
    reply = table.say("start clock")
    assert reply.text == "Not recorded: database or disk is full."
    assert (reply.refused, reply.entries) == (True, ())
    assert table.game is before
    # Even what cannot be kept is answered: the scorer hears that the table still works.
    assert table.say("score check").text == "Score: home nothing, guest nothing."


class FailingDisk(Journal):
    """A journal on a disk that is full for a while."""

    full = False

    def append(self, entry: Entry, replies: Iterable[Said] = ()) -> None:
        if self.full:
            raise JournalError("x.game: cannot write: database or disk is full")
        super().append(entry, replies)


def test_a_full_disk_is_told_once_where_something_falls_due_by_itself() -> None:
    journal = FailingDisk.in_memory(SETUP)
    table = Table(journal=journal).begun()
    journal.full = True
    reply = table.wait(470 + 60)
    assert [said.text for said in reply.of(Sort.REFUSAL)] == [
        "Not recorded: database or disk is full."
    ]
    assert table.game.phase is Phase.RUNNING
    wake = table.session.wake_ms()
    assert wake is not None
    assert wake > table.time.wall_ms()
    # By hand it is told each time, and somebody who calls does not wait for the next try.
    assert "Not recorded" in table.say("home two").text
    assert "Not recorded" in table.say("home two").text
    journal.full = False
    reply = table.say("home three")
    assert reply.text.startswith("End of first quarter.")
    assert reply.text.endswith("Home three. Three, nothing.")
    table.say("start clock")
    journal.full = True
    assert "Not recorded" in table.wait(480).text


def test_what_fell_due_on_a_full_disk_is_booked_some_seconds_after_there_is_room() -> None:
    journal = FailingDisk.in_memory(SETUP)
    table = Table(journal=journal).begun()
    journal.full = True
    table.wait(475)
    journal.full = False
    assert "End of first quarter." in table.wait(RETRY_MS / 1000).text


def test_a_folder_that_was_removed_is_told_once(tmp_path: Path) -> None:
    folder = tmp_path / "hall"
    folder.mkdir()
    table = Table(journal=Journal.create(folder / "x.game", SETUP)).begun()
    shutil.rmtree(folder)
    reply = table.wait(480)
    assert len(reply.of(Sort.REFUSAL)) == 1
    assert reply.text.startswith("Not recorded: ")
    folder.mkdir()
    assert "End of first quarter." in table.wait(RETRY_MS / 1000).text
    table.journal.close()


# --- questions -------------------------------------------------------------------------------


def test_a_question_and_its_answer(running: Table) -> None:
    reply = running.say("end period")
    assert (reply.text, reply.entries) == ("Seven fifty left. End the period?", ())
    assert [said.sort for said in reply.said] == [Sort.QUESTION]
    assert [command.tone for command in reply.spoken] == ["question"]
    running.say("yes")
    assert running.game.phase is Phase.INTERVAL


def test_a_question_that_gets_no_answer_says_what_stays(running: Table) -> None:
    running.say("end period")
    assert running.wait(ANSWER_MS / 1000 - 0.1).text == ""
    assert running.wait(0.1).text == "The period goes on."
    assert running.game.phase is Phase.RUNNING


def test_yes_is_no_call_while_nothing_is_asked(running: Table) -> None:
    assert running.say("yes").text == "Say again?"


def number_doubt() -> Doubt:
    readings = calls.Score(HOME, 2, "15"), calls.Score(HOME, 2, "50")
    return Doubt(readings, ("home two fifteen", "home two fifty"))


def test_a_number_in_doubt_is_booked_open_and_asked_for(running: Table) -> None:
    doubt = number_doubt()
    reply = running.session.take(doubt.calls[0], "voice", doubt=doubt)
    assert reply.text == "Home two. Two, nothing. Fifteen, or fifty?"
    assert running.say("fifty").text == "Home two, number five zero. Two, nothing."


def test_two_calls_that_sound_alike_are_both_named(running: Table) -> None:
    doubt = Doubt((calls.HeldBall(), calls.Foul(HOME)), ("held ball", "home foul"))
    reply = running.session.take(doubt.calls[0], "voice", doubt=doubt)
    assert reply.text == "Held ball, or home foul?"
    assert reply.entries == ()
    assert "Home foul. Team one." in running.say("the second one").text


def test_nothing_is_asked_about_what_was_refused(table: Table) -> None:
    first = calls.Foul(HOME, "15", FoulKind.UNSPORTSMANLIKE)
    doubt = Doubt((first, replace(first, number="50")), ("fifteen", "fifty"))
    reply = table.session.take(first, "voice", doubt=doubt)
    assert reply.refused
    assert table.session.dialogue.question is None


def test_an_open_number_is_asked_for_at_the_next_long_stop(running: Table) -> None:
    running.say("home two")
    assert "without" not in running.say("stop clock").text
    reply = running.say("home timeout")
    assert reply.text.endswith("One without a number. The last is home's.")
    assert "without" not in running.say("guest timeout").text


def test_what_is_open_is_named_when_the_game_ends_and_then_the_approval(running: Table) -> None:
    # Source: NFHS 2-2-4, the officials approve the final score; the rest common practice.
    running.say("home two", "mark that")
    reply = running.say("end game", "yes")
    assert reply.text.endswith(
        "Number open: first quarter, seven fifty, home basket. Marked: first quarter, seven fifty. "
        "When the officials approve the score, say officials approve."
    )
    assert "approve" not in running.wait(60).text


def test_many_open_numbers_are_counted_when_the_game_ends(running: Table) -> None:
    for _ in range(4):
        running.wait(20)
        running.say("home two")
    reply = running.say("end game", "yes")
    assert "Four without a number. The last is home's. When the officials" in reply.text


def test_what_was_marked_is_named_at_the_end_of_its_period(running: Table) -> None:
    running.say("mark that")
    assert "Marked: first quarter" in running.wait(480).text
    running.say("start clock")
    assert "Marked" not in running.wait(480).text


def test_who_types_no_call_learns_how_to_ask(running: Table) -> None:
    assert "question mark" in running.say("mumble", source="key").text
    assert running.say("mumble").text == "Say again?"


# --- the clock's own calls ---------------------------------------------------------------------


def test_the_clock_ends_the_period_by_itself(running: Table) -> None:
    reply = running.wait(480)
    assert "End of first quarter." in reply.text
    assert running.game.phase is Phase.INTERVAL
    assert running.journal.entries()[-1].source == "clock"
    assert running.journal.entries()[-1].at.left_tenths == 0


def test_one_tone_at_ten_seconds_and_then_nothing_unasked(running: Table) -> None:
    assert spoken(running.wait(459.9)) == []
    assert running.session.now().left_tenths == 101
    assert spoken(running.wait(0.1)) == ["(last_seconds)"]
    assert spoken(running.wait(9.8)) == []


def test_no_such_tone_where_less_is_left_as_the_clock_starts(running: Table) -> None:
    running.say("stop clock")
    running.session.take(calls.SetClock(80), "script")
    running.say("start clock")
    assert "(last_seconds)" not in spoken(running.wait(5))


def test_where_the_gym_s_clock_is_the_game_s_ours_asks() -> None:
    table = Table(replace(SETUP, owner=Owner.FOLLOW))
    table.say("start clock")
    reply = table.wait(480)
    assert reply.text == "Time is up. End the period?"
    assert table.wait(10).text == "The period goes on."
    assert table.wait(60).text == ""
    table.say("set clock thirty seconds")
    table.say("yes")
    assert table.wait(30).text == "Time is up. End the period?"
    table.say("yes")
    assert table.game.phase is Phase.INTERVAL


def test_whether_the_period_is_over_is_not_asked_beyond_its_end(table: Table) -> None:
    table.say("start clock")
    table.wait(475)
    assert table.say("end period").text == "Five seconds left. End the period?"
    ended = table.wait(5).text
    assert ended.startswith("End of first quarter.")
    assert table.wait(1).text == ""
    assert table.say("yes").text == "The period is over."
    assert table.say("yes").refused
    assert table.game.phase is Phase.INTERVAL
    again = Session(table.journal, table.session.speaker.replies, table.time)
    assert again.game == table.game


def test_an_unanswered_question_about_the_end_is_dropped_without_a_word(table: Table) -> None:
    table.say("start clock")
    table.wait(475)
    table.say("end period")
    texts = [said.text for said in table.wait(20).said]
    assert "The period goes on." not in texts
    assert table.session.dialogue.question is None


def test_who_calls_the_end_when_asked_whether_time_is_up_ends_the_period() -> None:
    table = Table(replace(SETUP, owner=Owner.FOLLOW))
    table.say("start clock")
    table.wait(481)
    assert table.say("end period").text.startswith("End of first quarter.")


def test_it_wakes_for_what_is_due_next(running: Table) -> None:
    def in_s() -> float | None:
        moment = running.session.wake_ms()
        return None if moment is None else (moment - running.time.wall_ms()) / 1000

    assert in_s() == 460
    running.wait(460)
    assert in_s() == 10
    running.say("end period")
    assert in_s() == 8
    running.say("no")
    running.say("stop clock")
    assert in_s() is None or in_s() == pytest.approx(0, abs=3)


# --- talk that is not for the book ---------------------------------------------------------------


def test_say_again_says_the_newest_thing_again(table: Table) -> None:
    assert table.say("say again").text == "Nothing was said yet."
    table.say("start clock", "home two number five", "guest two number thirteen")
    assert table.say("say again").text == "Guest two, number one three. Two, two."
    assert table.say("say again").text == "Guest two, number one three. Two, two."


def test_asked_and_answered(running: Table) -> None:
    running.say("home two number five")
    before = running.game
    assert running.say("score check").text == "Score: home two, guest nothing."
    assert running.say("count on guest thirteen").text == "Guest one three has zero fouls."
    assert running.game is before


def test_how_much_is_said(running: Table) -> None:
    assert running.say("urgent only").text == "Urgent only."
    running.wait(3)
    silent = running.say("home two number five")
    assert (silent.text, silent.speech) == ("", (Speak("", "accepted"),))
    assert running.say("say more").text == "More."
    assert running.say("guest two number thirteen").text == "Two, two."
    running.say("say more", "say more")
    assert running.say("say more").text == "That is as far as it goes."


def test_paused_the_ear_takes_nothing_but_being_told_to_listen(running: Table) -> None:
    assert running.say("pause listening").text == "Not listening."
    assert running.say("home two number five").text == ""
    assert running.say("a word or two").text == ""
    assert both_scores(running.game) == (0, 0)
    running.say("home two number five", source="key")
    assert both_scores(running.game) == (2, 0)
    assert running.say("listen again").text == "Listening."
    assert running.say("listen again").text == "Listening already."
    running.say("guest two number thirteen")
    assert both_scores(running.game) == (2, 2)
    running.say("pause listening")
    assert running.say("pause listening", source="key").text == "Not listening already."


def test_the_horn_sounds_at_a_stop_and_is_asked_about_in_play(running: Table) -> None:
    assert running.say("sound horn").text == "The clock is running. Sound the horn?"
    assert spoken(running.say("yes")) == ["(horn)"]
    running.say("stop clock")
    assert spoken(running.say("sound horn")) == ["(horn)"]
    assert len(running.journal.entries()) == 2


def test_the_referee_is_told(running: Table) -> None:
    running.say("stop clock")
    assert running.say("referee told").text == "Nothing is waiting."
    for _ in range(5):
        running.say("guest foul number thirteen")
    assert running.session.speaker.announcer.pending
    assert running.say("referee told").text == "Told."
    assert not [p for p in running.session.announcer.pending if p.notice.kind == "player_out"]


def test_numbers_that_sound_alike_are_told_before_a_new_game_that_is_heard() -> None:
    # That noise hides the end of "thirteen": tests/bench/RESULTS.md, common calls.
    some = replace(SETUP.home, players=tuple(map(Player, ("13", "15", "30"))))
    other = replace(SETUP.guest, players=(Player("50"),))
    table = Table(replace(SETUP, home=some, guest=other))
    told = "Home thirteen and thirty sound alike. Say one three or three zero."
    assert table.session.opening(heard=True).text == told
    assert table.session.opening().text == ""


def test_numbers_that_are_not_legal_are_told_before_a_new_game() -> None:
    # NFHS 3-4: no digit above five on a shirt.
    eight = replace(SETUP.home, players=(Player("8"),))
    table = Table(replace(SETUP, home=eight))
    assert table.session.opening().text == "Eight is not a legal number here. Tell the referee."
    table.say("start clock")
    assert "not a legal number" not in table.session.opening().text


# --- going on with a game ------------------------------------------------------------------------


def test_a_game_goes_on_from_its_journal(tmp_path: Path) -> None:
    path = tmp_path / "x.game"
    first = Table(journal=Journal.create(path, SETUP))
    first.say("start clock", "tip home", "home two number five", "undo that", "home three")
    before = first.game
    first.journal.close()
    again = Table(journal=Journal.open(path))
    again.time.set(first.time.wall_ms())
    assert again.game == before
    again.wait(1)
    assert again.say("number five").text == "Home three, number five. Three, nothing."
    # It still knows what was called last, so a crew that repeats is asked.
    assert again.say("home three number five").text == "Another home three?"
    again.journal.close()


@settings(max_examples=40, deadline=None)
@given(
    st.lists(
        st.tuples(any_call(), st.sampled_from(["voice", "key", "pedal"]), st.integers(0, 30_000)),
        max_size=25,
    )
)
def test_the_live_game_is_always_the_fold_of_its_journal(talk: list[tuple[Call, str, int]]) -> None:
    table = Table()
    table.say("start clock")
    said: list[Said] = list(table.journal.replies())
    for call, source, wait_ms in talk:
        table.time.set(table.time.wall_ms() + wait_ms)
        before = len(table.journal.entries())
        reply = table.session.take(call, source)
        said += reply.said
        assert len(table.journal.entries()) == before + len(reply.entries)
    session = table.session
    assert fold(session.book.start, table.journal.entries()) == session.game
    assert list(table.journal.replies()) == said
    again = Session(table.journal, session.speaker.replies, table.time)
    assert again.game == session.game


def test_the_time_of_a_moment_may_be_given(running: Table) -> None:
    assert running.session.now() == At(4_700, running.time.wall_ms())


def test_the_horn_sounds_for_all_when_the_period_ends_by_itself() -> None:
    table = Table()
    table.say("start clock")
    reply = table.wait(8 * 60)
    assert Speak("", "horn", aloud=True) in reply.speech


def test_nothing_ends_or_sounds_by_itself_where_the_gym_s_clock_is_the_game_s() -> None:
    table = Table(replace(SETUP, owner=Owner.FOLLOW))
    table.say("start clock")
    reply = table.wait(9 * 60)
    assert table.game.phase is Phase.RUNNING
    assert Speak("", "horn", aloud=True) not in reply.speech


def test_the_horn_is_asked_about_while_the_clock_runs() -> None:
    table = Table()
    table.say("start clock")
    asked = table.say("sound horn")
    assert asked.of(Sort.QUESTION)
    assert not any(each.tone == "horn" for each in asked.spoken)
    assert Speak("", "horn", aloud=True) in table.say("yes").speech
    table.say("stop clock")
    assert table.say("sound horn").speech == (Speak("", "horn", aloud=True),)


def test_the_newest_notice_is_said_to_the_officials_for_who_cannot() -> None:
    table = Table()
    assert "Nothing is waiting." in table.say("tell officials").text
    table.say("start clock", "sub waiting", "stop clock")
    reply = table.say("tell officials")
    assert Speak("Sub waiting. Horn.", "attention", aloud=True) in reply.speech


def test_a_key_that_came_down_before_the_period_s_end_stops_the_clock_before_it() -> None:
    table = Table()
    table.say("start clock")
    table.wait(479.9)
    moment = table.session.now()
    table.time.set(table.time.wall_ms() + 400)
    table.session.take(calls.StopClock(), "key", moment)
    assert table.session.now().left_tenths == 1
    assert table.game.phase is Phase.STOPPED


def test_a_number_said_first_is_that_of_the_call_it_begins(running: Table) -> None:
    """A foul of minutes ago waits for its number, and must not get this one."""
    running.say("guest foul")
    running.wait(40)
    assert running.say("number five home two").text == "Home two, number five. Two, nothing."
    assert running.say("number thirteen guest two").text == "Guest two, number one three. Two, two."
    assert running.game.charges[-1].number is None
    asked = running.say("number fourteen")
    assert asked.text == "One four for guest's foul at seven fifty?"
    assert running.say("yes").text == "Guest foul, number one four, first. Team one."


def test_what_is_said_of_shots_is_never_less_than_was_called(running: Table) -> None:
    running.say("stop clock")
    foul = running.say("guest foul fourteen two shots")
    assert foul.text == "Two shots, home. Guest foul, number one four, first. Team one."
    assert running.say("two shots home").text == "Two shots, home."
    assert running.say("guest two shots").refused
    assert running.say("foul on home number five one and one").text.startswith("One and one, guest")
    assert [owed.award for owed in running.game.owed] == [Award.TWO, Award.ONE_AND_ONE]


def test_no_answer_reads_like_what_a_call_brings(running: Table) -> None:
    """An answer that sounds like an echo hides a call that was heard as a question."""
    running.say("home two number five", "guest foul fourteen", "tip home")
    asked = ("score check", "count on guest fourteen", "team fouls", "timeouts left",
             "whose arrow", "time left")  # fmt: skip
    told = {running.say(words).text for words in asked}
    booked = ("home two", "guest foul fifty", "home timeout", "set arrow home", "foul on home five")
    echoes = {running.say(words).text for words in booked}
    firsts = {text.split(".")[0].split(",")[0] for text in echoes}
    assert "Guest one four has one foul." in told
    assert not [text for text in told if text.split(".")[0].split(",")[0] in firsts]
    assert not [text for text in told if text.startswith(("Home two", "Guest one four,", "Arrow"))]


def test_a_shirt_that_the_code_forbids_is_heard_booked_and_told_of_once(running: Table) -> None:
    """Source: NFHS 3.4.3B."""
    told = running.say("home two number seven")
    assert "Seven is not a legal number here. Tell the referee." in told.text
    assert "No seven for home. Two, nothing, number open." in told.text
    assert "legal" not in running.say("home foul number seven").text
    added = running.say("add home number seven")
    assert "Home seven added, with two from before." in added.text
    assert running.game.goals[-1].number == running.game.charges[-1].number == "7"


def test_asked_for_one_who_is_not_listed(running: Table) -> None:
    assert running.say("count on guest twelve").text == "No twelve for guest."
    running.say("guest foul twelve")
    told = running.say("how many fouls has guest twelve").text
    assert told == "Twelve is not on guest's list. Fouls seen: one."
