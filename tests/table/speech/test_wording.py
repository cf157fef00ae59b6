"""A mistake in the words ends no game: what was called is in the book before a word is made."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

import pytest

from callout.errors import JournalError
from callout.game.calls import Call, Score, SetScore
from callout.game.figures.score import both_scores
from callout.game.notices.kinds import BALL_DEAD, Notice
from callout.game.terms import Team
from callout.language.replies import Level, Replies
from callout.table.book.journal import Journal
from callout.table.session import Session
from callout.table.speech import reminders
from callout.table.speech.announcer import Speak
from callout.table.speech.kinds import BOOKED
from callout.table.speech.wording import found_of, words_of
from tests.table.play import SETUP, Table, language

HOME = Team.HOME
NFHS = language()[0]


@dataclass(frozen=True)
class Failing(Replies):
    """Replies that fail for some kinds, at some levels; and look into the journal meanwhile."""

    kinds: frozenset[str] = frozenset()
    levels: frozenset[Level] = frozenset(Level)
    journal: Journal | None = None
    seen: tuple[int, ...] | list[int] = ()

    def say(self, kind: str, slots: Mapping[str, object], level: Level = Level.NORMAL) -> str:
        if self.journal is not None and isinstance(self.seen, list):
            self.seen.append(len(self.journal.entries()))
        if kind in self.kinds and level in self.levels:
            raise RuntimeError("no words")
        return super().say(kind, slots, level)


def failing(*kinds: str, levels: frozenset[Level] = frozenset(Level)) -> Failing:
    return Failing(NFHS.file, NFHS.words, NFHS.team_names, frozenset(kinds), levels)


def begun(replies: Replies, journal: Journal | None = None) -> Table:
    table = Table(journal=journal)
    table.session = Session(table.journal, replies, table.time)
    return table.begun()


def test_no_score_ends_a_game(table: Table) -> None:
    table.begun()
    table.session.take(SetScore(HOME, 297), "script")
    assert table.say("home three number five").text.endswith("Three hundred, nothing.")
    for _ in range(232):
        table.session.take(Score(HOME, 3, "5"), "script")
    last = table.session.take(Score(HOME, 3, "5"), "script")
    assert last.text == "Home three, number five. Nine hundred ninety nine, nothing."
    beyond = table.session.take(Score(HOME, 3, "5"), "script")
    assert (beyond.text, len(beyond.entries)) == ("Home three, number five.", 1)
    assert both_scores(Table(journal=table.journal).game) == (1002, 0)
    assert table.say("score check").text == "That cannot be answered."
    assert list(table.session.foresee())


def test_an_entry_is_on_the_disk_before_a_word_of_it_is_made(tmp_path: Path) -> None:
    with Journal.create(tmp_path / "x.game", SETUP) as journal:
        looks = Failing(NFHS.file, NFHS.words, NFHS.team_names, journal=journal, seen=[])
        table = begun(looks, journal)
        assert isinstance(looks.seen, list)
        looks.seen.clear()
        table.session.take(Score(HOME, 2, "5"), "script")
        assert looks.seen
        assert set(looks.seen) == {2}


def test_what_has_no_words_is_confirmed_by_a_tone_and_the_rest_is_said(
    caplog: pytest.LogCaptureFixture,
) -> None:
    table = begun(failing("goal"))
    reply = table.say("home two number five")
    assert (reply.text, len(reply.entries), reply.refused) == ("", 1, False)
    assert reply.spoken == (Speak("", "accepted"),)
    assert "no words for goal" in caplog.text
    assert both_scores(table.game) == (2, 0)
    assert "Guest foul" in table.say("guest foul number thirteen").text


def test_what_fails_at_one_level_is_said_at_one_that_says_less() -> None:
    table = begun(failing("goal", levels=frozenset({Level.NORMAL})))
    assert table.say("home two number five").text == "Two, nothing."


def test_where_nothing_can_be_found_to_say_it_is_booked_all_the_same() -> None:
    def fails() -> tuple[Notice, ...]:
        raise ZeroDivisionError

    (notice,) = found_of(BOOKED, fails)
    assert words_of(NFHS, notice, Level.URGENT) == "Booked."
    assert found_of(BOOKED, lambda: (Notice(BALL_DEAD),)) == (Notice(BALL_DEAD),)


def test_where_the_voice_fails_what_was_booked_is_shown_and_a_tone_confirms_it(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    table = Table().begun()
    monkeypatch.setattr(reminders, "settle", lambda *given: 1 / 0)
    reply = table.session.take(Score(HOME, 2, "5"), "script")
    assert reply.text == "Home two, number five. Two, nothing."
    assert reply.spoken == (Speak("", "accepted"),)
    assert len(reply.entries) == 1


class Forgets(Journal):
    """A journal of a program that was ended right after an entry, before its words were kept."""

    def note(self, replies: object) -> None:
        raise JournalError("x.game: cannot write: ended")


def test_a_program_ended_between_entry_and_words_says_them_when_it_is_taken_up() -> None:
    table = Table(journal=Forgets.in_memory(SETUP)).begun()
    table.say("stop clock", "guest foul number thirteen shooting two")
    assert table.journal.replies() == ()
    again = Table(journal=table.journal)
    again.time.set(table.time.wall_ms() + 60_000)
    reply = again.session.opening()
    assert (
        "Last booked: Two shots, home. Guest foul, number one three, first. Team one." in reply.text
    )
    waiting = [pending.notice.kind for pending in again.session.announcer.pending]
    assert waiting == ["shots_owed"]


GAME = (
    "home two number five", "home two number five", "yes", "stop clock",
    "guest foul number thirteen two shots", "guest sub waiting", "home sub waiting", "shot good",
    "guest timeout", "score check", "undo that", "end period", "yes", "start period",
    "start clock", "set home score twelve", "home three", "number ten", "end game", "no",
    "say less", "referee told", "guest two number four",
)  # fmt: skip
"""Calls, questions and their answers, corrections and refusals."""


def booked(table: Table) -> list[Call]:
    """The calls of a game whose every line is said, with time for what falls due."""
    for line in GAME:
        # Long enough for a notice to come again, too short for a question to end.
        table.wait(11 if "sub waiting" in line else 3)
        table.say(line)
    table.wait(61)
    return [entry.call for entry in table.journal.entries()]


def breaks(*given: object, **named: object) -> object:
    raise ZeroDivisionError("a mistake in the words")


@pytest.mark.parametrize(
    "where",
    [
        "callout.language.replies.Replies.say",
        "callout.table.speech.wording.notices",
        "callout.table.speech.wording.answers",
        "callout.table.speech.speaker.due_of",
        "callout.table.speech.speaker.words_of",
        "callout.table.speech.speaker.speech.say",
        "callout.table.speech.reminders.settle",
        "callout.table.speech.reminders.due_again",
        "callout.table.speech.reminders.watch",
        "callout.table.speech.speaker.Speaker._utterance",
    ],
)
def test_no_mistake_in_what_is_said_costs_an_entry(
    where: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    whole = booked(Table().begun())
    assert len(whole) > 12
    monkeypatch.setattr(where, breaks)
    assert booked(Table().begun()) == whole
