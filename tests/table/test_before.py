"""The checklist before a game in words, through its session, by a clock that is passed in.

Sources of the times beside the checks; words and order are common practice, no source.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from datetime import datetime
from functools import cache
from pathlib import Path

import pytest

from callout.edges.live.devices import load_keys
from callout.game import calls
from callout.game.calls import Call
from callout.game.profile.before import Look
from callout.game.state import Phase
from callout.game.terms import Team
from callout.language.check import load_language
from callout.language.grammar import BEFORE_PART, Grammar, language_folder
from callout.language.parser import Parsed, Unparsed
from callout.language.scope import Scope
from callout.paper.text import book_text
from callout.table.before import BeforeSession, Tried
from callout.table.book.journal import Journal
from callout.table.clock import SimulatedTime, day_time_ms
from callout.table.hands.composing import Keying, Keys
from callout.table.hands.keymap import Hand
from callout.table.language import (
    Parsers,
    keys_of,
    menu_of,
    parsers_of,
    patterns_of,
    replies_of,
    scope_of,
)
from callout.table.session import Session
from callout.table.setup.roster import parse_roster
from callout.table.setup.setup import Listed, Setup
from callout.table.speech.reply import Reply
from tests.english import WORDS, english_grammar

NFHS = Setup(
    "nfhs-2026",
    Listed("Harbour Kites", parse_roster("4 5 10 11 12 13 15")),
    Listed("Quarry Foxes", parse_roster("3 5 14 15 20 33")),
)
FIBA = replace(NFHS, profile="fiba-2024", guest=Listed("Quarry Foxes"))
START_MS = 1_000_000_000


@cache
def before_grammar(language: str = "en") -> Grammar:
    return load_language(language_folder(language), BEFORE_PART)


class Desk:
    """A crew before a game: what it says, and the clock on the wall."""

    def __init__(self, path: Path, setup: Setup = NFHS, language: str = "en") -> None:
        self.path, self.grammar = path, before_grammar(language)
        self.time = SimulatedTime(START_MS)
        self.journal = Journal.create(path, setup)
        self.shown: list[str] = []
        self.session = self._session()
        self.opened = self.session.opening().text

    def _session(self) -> BeforeSession:
        tries = {Look.VOICE: lambda: Tried(True, "a headset"), Look.KEYS: self._no_keys}
        replies = replies_of(self.grammar)
        return BeforeSession(self.journal, replies, self.time, tries, self.shown.append)

    def _no_keys(self) -> Tried:
        return Tried(False, "no pedal was found")

    def say(self, words: str) -> str:
        """What is answered to words."""
        parsers = parsers_of(self.grammar, scope_of(self.journal.setup))
        parser = parsers.now(self.session.dialogue.question is not None)
        return self.session.hear(parser, parsers.typed(words), "voice").text

    def press(self, *keys: str) -> str:
        """What is answered to keys, one after the other."""
        hands, keying, reply = Keys(patterns_of(self.grammar), self.session.may), Keying(), Reply()
        for key in keys:
            target = keys_of(self.grammar).keys[key]
            asked = self.session.dialogue.question is not None
            step = hands.press(keying, target, 10**6 * self.time.wall_ms(), asked)
            keying = step.keying
            for keyed in step.calls:
                reply += self.session.take(keyed.call, "key")
        return reply.text

    def wait(self, seconds: int) -> str:
        """What is said while so much time passes, each thing at its own moment."""
        end, said = self.time.wall_ms() + 1000 * seconds, list[str]()
        while (wake := self.session.wake_ms()) is not None and wake <= end:
            self.time.set(max(wake, self.time.wall_ms()))
            said.append(self.session.tick().text)
        self.time.set(end)
        return " ".join(filter(None, (*said, self.session.tick().text)))

    def killed(self, seconds: int) -> None:
        """The program dies, and is started again after so much time."""
        self.journal.close()
        self.time.set(self.time.wall_ms() + 1000 * seconds)
        self.journal = Journal.open(self.path)
        self.session = self._session()
        self.opened = self.session.opening().text

    def until(self, item: str) -> str:
        """Everything before an item is done; what was said last."""
        said = ""
        while item not in said:
            said = self.say("done")
            assert "Nothing is left" not in said
        return said


@pytest.fixture
def desk(tmp_path: Path) -> Iterator[Desk]:
    made = Desk(tmp_path / "game")
    yield made
    made.journal.close()


@pytest.fixture
def fiba(tmp_path: Path) -> Iterator[Desk]:
    made = Desk(tmp_path / "game", FIBA)
    yield made
    made.journal.close()


# --- the way through ------------------------------------------------------------------------------


def test_it_asks_for_the_tip_first_and_reads_one_item_after_the_other(desk: Desk) -> None:
    assert desk.opened == "When is the tip? Say the minutes to it."
    assert desk.say("20 minutes to the tip") == (
        "Tip in twenty minutes. Be at the table, and stay until the score is approved. "
        "Due in ten minutes."
    )
    assert desk.say("done").startswith("Done: at the table. Your partner:")
    assert desk.say("not yet").startswith(
        "Left open: partner. Lists are here: home seven, guest six."
    )
    assert "Left: partner, power and cords, board" in desk.say("what is left")
    assert desk.say("say again").startswith("Left: partner")


def test_at_the_end_what_was_left_open_is_asked_again_and_then_all_is_done(desk: Desk) -> None:
    desk.say("tip in 20 minutes")
    desk.until("Your partner")
    desk.say("skip")
    assert desk.until("Your partner").endswith("who calls.")
    assert desk.say("that is done") == "Done: partner. All is done. Go on to the game."
    assert desk.say("done") == "Nothing is left."


def test_keys_do_all_of_it(desk: Desk) -> None:
    assert desk.press("t", "2", "0", "enter").startswith("Tip in twenty minutes.")
    assert desk.press("d").startswith("Done: at the table.")
    assert desk.press("s").startswith("Left open: partner.")
    assert desk.press("l").startswith("Left: partner")
    assert desk.press("u").startswith("Undone: item left open. Your partner:")
    assert desk.press("f", "p a", "4", "enter") == "Home four starts."


def test_every_call_has_a_key_or_answers_a_question() -> None:
    assert {f.name for f in before_grammar().calls if not f.keys} == {"answer"}


def test_an_undo_leads_back_to_the_item(desk: Desk) -> None:
    desk.until("Power on")
    assert desk.say("done").startswith("Done: power and cords.")
    assert desk.say("undo that").startswith("Undone: item done. Power on.")


def test_devices_are_tried_and_the_screen_says_what_was_found(desk: Desk) -> None:
    assert desk.until("Voice:").endswith("It works here.")
    assert desk.until("Keys and pedal").endswith("Not here. The screen says why.")
    assert desk.shown == ["a headset", "no pedal was found"]


def test_cautions_are_part_of_it(tmp_path: Path) -> None:
    """The issue's point on cautions: cords, hearing, injury, weather, minors' data."""
    desk = Desk(tmp_path / "youth", replace(NFHS, profile="youth-6-minute"))
    said = " ".join(desk.say("done") for _ in desk.session.game.profile.before.order)
    desk.journal.close()
    for words in ("Tape cords down", "volume low first", "Those who are trained decide",
                  "who stops play for lightning", "Children's names stay", "chop the clock in",
                  "who keeps the book", "agree who sounds it"):  # fmt: skip
        assert words in said


# --- deadlines and warnings -----------------------------------------------------------------------


def test_a_list_that_lacks_is_announced_with_its_team_and_the_minutes(fiba: Desk) -> None:
    # FIBA 7.1: lists forty minutes before; two minutes ahead: common practice, no source.
    fiba.say("45 minutes to the tip")
    assert "Lists are due in two minutes: guest." in fiba.wait(181)
    assert "Lists are due now: guest. Tell the referee." in fiba.wait(120)
    fiba.until("Lists of both teams. Missing: guest.")
    assert "Lists are here: home seven, guest one." in fiba.say("add guest number 8")
    assert fiba.session.announcer.pending == ()


def test_a_list_that_comes_in_time_is_not_announced(fiba: Desk) -> None:
    fiba.say("45 minutes to the tip")
    fiba.say("add guest number 8")
    assert "Lists" not in fiba.wait(301)


def test_starters_are_due_and_done_when_they_are_named(desk: Desk) -> None:
    # NFHS 3-2: ten minutes before.
    desk.say("13 minutes to the tip")
    for number in (4, 5, 10, 11):
        desk.say(f"home starter {number}")
    assert "Starters are due in two minutes: home, guest." in desk.wait(61)
    desk.say("home starter 12")
    desk.say("yes")
    assert "Starters are due now: guest. Tell the referee." in desk.wait(120)


def test_the_interval_names_the_time_and_whom_to_tell(fiba: Desk) -> None:
    # FIBA 49.3: 3:00 and 1:30 before the first quarter.
    fiba.say("4 minutes to the tip")
    assert fiba.session.shown_tenths == 2400
    assert fiba.wait(60).endswith("Three minutes to the first quarter. Tell the referees.")
    assert fiba.wait(90).endswith("Ninety seconds to the first quarter. Tell the referees.")
    assert fiba.say("time left") == "One thirty to the tip."
    assert "Interval is over. Horn." in fiba.wait(90)


# --- starting fives -------------------------------------------------------------------------------


def test_five_are_read_back_and_answered_with_yes_or_no(desk: Desk) -> None:
    for number in (4, 5, 13, 11):
        desk.say(f"home starter {number}")
    assert desk.say("home starter 15").endswith(
        "Home starts four, five, one three, eleven, one five. Right?"
    )
    assert desk.say("no") == "Say who starts, or who does not start."
    assert desk.say("home starter 12").startswith(
        "Home has five starters already. Take one off first."
    )
    assert desk.say("home 15 does not start") == "Home one five does not start."
    assert desk.say("home starter 12").endswith(
        "Home starts four, five, one three, eleven, twelve. Right?"
    )
    assert desk.say("yes") == "Home: five start."
    assert desk.session.game.starters_read == (Team.HOME,)


def test_fewer_than_five_may_be_agreed_to(desk: Desk) -> None:
    """A team may be short of players; the officials decide whether it plays."""
    assert desk.say("guest starters") == "Guest has named no starters."
    desk.say("guest starter 3")
    assert desk.say("guest starters") == "Guest starts three. Right?"
    assert desk.say("yes") == "Guest: one start."


def test_what_was_seen_and_is_no_longer_so_is_left_again(desk: Desk) -> None:
    for team, numbers in (("home", (4, 5, 10, 11, 12)), ("guest", (3, 5, 14, 15, 20))):
        for number in numbers:
            desk.say(f"{team} starter {number}")
        desk.say("yes")
    desk.say("tip in 20 minutes")
    desk.until("Officials:")
    assert "starters" not in desk.say("what is left")
    desk.say("home 12 does not start")
    assert "starters" in desk.say("what is left")
    # The same five as before are read back, too: somebody has just changed them.
    assert "Home starts four, five, ten, eleven, twelve. Right?" in desk.say("home starter 12")
    desk.say("yes")
    assert "starters" not in desk.say("what is left")


def test_the_time_of_the_tip_is_asked_again_once_it_is_undone(desk: Desk) -> None:
    desk.say("tip in 20 minutes")
    assert desk.say("undo that") == (
        "Undone: time of the tip. When is the tip? Say the minutes to it."
    )
    assert desk.say("what is left").startswith("Left: time of the tip, at the table")
    assert desk.say("put that back").startswith("Put back: time of the tip. Be at the table")


# --- a program that dies, and the game after it ---------------------------------------------------


def test_after_a_kill_it_goes_on_where_it_was_and_names_what_is_late(fiba: Desk) -> None:
    fiba.say("45 minutes to the tip")
    fiba.until("Your partner")
    fiba.killed(seconds=360)
    assert "Last booked: Done: at the table." in fiba.opened
    assert "Thirty nine even to the tip. Lists are due now: guest. Tell the referee." in fiba.opened
    assert fiba.opened.endswith(
        "Your partner: agree who keeps the book, who the clock, and who calls."
    )


def test_a_warning_that_nobody_heard_is_not_given_late(fiba: Desk) -> None:
    fiba.say("4 minutes to the tip")
    fiba.killed(seconds=120)
    assert "Three minutes" not in fiba.opened + fiba.wait(20)
    assert "Ninety seconds" in fiba.wait(11)


def test_the_live_session_of_the_same_game_goes_on_with_clock_and_warnings(fiba: Desk) -> None:
    fiba.say("4 minutes to the tip")
    fiba.say("done")
    checks = fiba.session.game.checks
    live = Session(fiba.journal, replies_of(english_grammar()), fiba.time)
    live.opening()
    parsers = parsers_of(english_grammar(), scope_of(fiba.journal.setup))
    assert live.hear(parsers.calls, "time left", "voice").text == "Four even to the tip."
    fiba.time.set(START_MS + 60_000)
    assert live.tick().text == "Three minutes to the first quarter. Tell the referees."
    fiba.time.set(START_MS + 240_000)
    live.take(calls.StartClock(), "voice")
    assert live.game.phase is Phase.RUNNING
    assert live.game.checks[: len(checks)] == checks


def test_the_book_as_text_has_what_was_done_and_when(desk: Desk) -> None:
    desk.say("20 minutes to the tip")
    desk.wait(60)
    desk.say("done")
    desk.say("not yet")
    text = book_text(desk.session.game, desk.journal.setup, 4800, WORDS)
    assert "20:00 before the tip, tip: seen by the program" in text
    assert "19:00 before the tip, arrive: done" in text
    assert "19:00 before the tip, partner: left open" in text


# --- what is wrong --------------------------------------------------------------------------------


def test_a_tip_that_is_past_is_refused(desk: Desk) -> None:
    past = datetime.fromtimestamp((START_MS - 600_000) / 1000)
    assert desk.say(f"tip at {past:%H:%M}") == "That time is past."
    soon = datetime.fromtimestamp((START_MS + 600_000) / 1000)
    assert desk.say(f"tip at {soon:%H:%M}").startswith("Tip in ")


@pytest.mark.parametrize(
    ("now", "hour", "shown", "expected"),
    [
        ((18, 40), None, 4500, (0, 19, 30)),  # Seven thirty, said in the evening.
        ((8, 40), None, 5700, (0, 9, 30)),
        ((19, 40), None, 4500, (0, 19, 30)),  # Ten minutes ago, and not tomorrow morning.
        ((13, 0), 2, None, (0, 14, 0)),
        ((11, 30), 12, None, (0, 12, 0)),
        ((20, 0), 19, None, (0, 19, 0)),
        ((23, 50), None, 150, (1, 0, 15)),  # After midnight.
    ],
)
def test_a_time_of_day_is_the_next_one_on_a_clock_of_twelve_hours(
    now: tuple[int, int], hour: int | None, shown: int | None, expected: tuple[int, int, int]
) -> None:
    """Arithmetic of clocks; a table is not manned more than eleven hours before."""
    day = datetime(2026, 11, 28)
    now_ms = round(1000 * day.replace(hour=now[0], minute=now[1]).timestamp())
    at, hours, minutes = expected
    wanted = day.replace(day=28 + at, hour=hours, minute=minutes)
    assert day_time_ms(hour, shown, now_ms) == round(1000 * wanted.timestamp())


@pytest.mark.parametrize(
    ("now", "tip", "day"),
    [
        ((7, 0), (19, 30), 28),  # Set up in the morning for the evening.
        ((9, 45), (23, 30), 28),
        ((19, 40), (19, 30), 28),  # Ten minutes ago.
        ((0, 30), (23, 0), 27),  # An hour and a half ago, and not tonight.
        ((23, 50), (0, 15), 29),
        ((19, 40), (12, 0), 28),
    ],
)
def test_on_a_clock_of_24_hours_the_evening_is_today_s(
    now: tuple[int, int], tip: tuple[int, int], day: int
) -> None:
    """Arithmetic of clocks; a table is not manned at night for the game of the next noon."""
    today = datetime(2026, 11, 28)
    now_ms = round(1000 * today.replace(hour=now[0], minute=now[1]).timestamp())
    wanted = today.replace(day=day, hour=tip[0], minute=tip[1])
    shown = 600 * tip[0] + 10 * tip[1]
    assert day_time_ms(None, shown, now_ms, halves=False) == round(1000 * wanted.timestamp())


def test_words_of_the_game_are_no_calls_before_it(desk: Desk) -> None:
    assert desk.say("home two number five") == "Say again?"
    assert desk.say("start clock") == "Say again?"


# --- its own small language -----------------------------------------------------------------------


@pytest.mark.parametrize("language", ["en", "es"])
def test_its_menu_for_one_switch_and_its_keys_are_its_own(language: str) -> None:
    grammar = before_grammar(language)
    assert set(menu_of(grammar)) >= {"first", "asked", "team"}
    reached = {
        grammar.calls[leads.index].name
        for group in menu_of(grammar).values()
        for leads in group.values()
        if not isinstance(leads, str)
    }
    assert {file.name for file in grammar.calls} - reached <= {"answer", "tip_hour"}


def test_no_call_before_the_game_is_listened_for_in_it() -> None:
    """Else the ear would hear calls of a game worse."""
    in_game = parsers_of(english_grammar(), scope_of(NFHS)).with_answers
    before = parsers_of(before_grammar(), scope_of(NFHS)).calls
    for words in ("done", "not yet", "next", "twenty minutes to the tip", "tip at seven thirty"):
        assert isinstance(in_game.parse(words), Unparsed)
        assert isinstance(before.parse(words), Parsed)


def test_a_person_s_own_keys_talk_and_make_what_may_be_made_before_a_game(tmp_path: Path) -> None:
    path = tmp_path / "mine.toml"
    path.write_text(
        '[keys]\n"+" = "tap to talk"\n[pedal]\ndevice = "pedal"\n'
        'a = "talk"\nb = "home two"\nc = ["stop clock", "undo that"]\n',
        encoding="utf-8",
    )
    found = load_keys(path, before_grammar(), NFHS)
    assert found.keys["+"] is Hand.TAP
    assert found.keys["d"] == keys_of(before_grammar()).keys["d"]
    undo = keys_of(before_grammar()).keys["u"]
    assert found.pedal == {"a": Hand.TALK, "c": undo}


def test_spanish_says_and_hears_it(tmp_path: Path) -> None:
    desk = Desk(tmp_path / "es", FIBA, "es")
    assert desk.opened == "¿Cuándo empieza? Di cuántos minutos faltan."
    assert desk.say("faltan 45 minutos").startswith("Empieza en cuarenta y cinco minutos.")
    assert desk.say("hecho").startswith("Hecho: en la mesa.")
    assert "Faltan dos minutos para las listas: visitante." in desk.wait(181)
    assert desk.say("qué falta").startswith("Queda: compañero de mesa")
    desk.journal.close()


def test_digits_may_be_typed() -> None:
    parsers = Parsers(before_grammar(), Scope())
    result = parsers.calls.parse(parsers.typed("tip at 7:30"))
    assert isinstance(result, Parsed)
    expected: tuple[Call, ...] = (calls.TipAt(shown=4500),)
    assert result.calls == expected
