"""Which tone sounds with an entry, and when. Source: the design of what is said back."""

from __future__ import annotations

import pytest

from callout.game import calls
from callout.game.calls import Call
from callout.game.kind import Rank
from callout.game.terms import Team
from callout.table.speech.announcer import Utterance
from callout.table.speech.tones import last_seconds_ms, tone_of
from tests.table.play import Book

GOAL = calls.Score(Team.HOME, 2, "5")
ACT, TELL, ECHO = (
    Utterance("Words.", rank, made_ms=0) for rank in (Rank.ACT, Rank.TELL, Rank.ECHO)
)
MUTE_ACT = Utterance("", Rank.ACT, made_ms=0)


@pytest.mark.parametrize(
    ("call", "source", "said", "tone"),
    [
        (GOAL, "voice", (ECHO, ACT), "attention"),
        (calls.StopClock(), "voice", (ACT,), "attention"),
        (GOAL, "voice", (ECHO, MUTE_ACT), ""),
        (calls.StopClock(), "voice", (), "clock_stopped"),
        (GOAL, "voice", (), "accepted"),
        (GOAL, "voice", (TELL, ECHO), ""),
        (GOAL, "voice", (TELL, TELL, ECHO), "accepted"),
        (GOAL, "clock", (), ""),
    ],
)
def test_a_tone_sounds_where_words_do_not_confirm_the_call(
    book: Book, call: Call, source: str, said: tuple[Utterance, ...], tone: str
) -> None:
    book.take(calls.StartClock())
    book.wait(5)
    assert tone_of(book.take(call, source), said) == tone


def test_a_start_of_the_clock_has_a_tone_of_its_own(book: Book) -> None:
    assert tone_of(book.take(calls.StartClock()), (ECHO,)) == "clock_started"


def test_the_last_seconds_begin_at_ten_once(book: Book) -> None:
    assert last_seconds_ms(book.game, None) is None, "the clock does not run"
    started = book.take(calls.StartClock()).at.wall_ms
    left_ms = book.game.clock.left_tenths * 100
    moment = last_seconds_ms(book.game, None)
    assert moment == started + left_ms - 10_000
    assert last_seconds_ms(book.game, moment) is None, "it has sounded"


@pytest.mark.parametrize("left_tenths", [100, 80])
def test_no_last_seconds_where_the_clock_starts_in_them(book: Book, left_tenths: int) -> None:
    book.take(calls.StartClock())
    book.wait(5)
    book.take(calls.StopClock())
    book.take(calls.SetClock(left_tenths))
    book.take(calls.StartClock())
    assert last_seconds_ms(book.game, None) is None
