"""When a notice is done with, by the game alone."""

from __future__ import annotations

import pytest

from callout.game import calls
from callout.game.calls import Call
from callout.game.notices.kinds import KINDS, Notice
from callout.game.terms import Award, Team
from callout.table.speech.pending_notices import at_a_stop, done, may_come
from tests.table.play import Book

HOME, GUEST = Team.HOME, Team.GUEST


@pytest.fixture
def stopped(book: Book) -> Book:
    book.take(calls.StartClock())
    book.wait(5)
    book.take(calls.StopClock())
    return book


def is_done(book: Book, kind: str, team: Team | None, number: str = "", entry: int = 0) -> bool:
    slots = {"team": team, "number": number, "award": Award.TWO}
    return done(Notice(KINDS[kind], slots), entry, book.game)


def test_shots_are_done_with_the_first_throw(stopped: Book) -> None:
    entry = stopped.take(calls.Foul(GUEST, "5", award=Award.TWO)).id
    assert not is_done(stopped, "shots_owed", HOME, entry=entry)
    assert is_done(stopped, "shots_owed", GUEST, entry=entry)
    stopped.take(calls.Shot(False))
    assert is_done(stopped, "shots_owed", HOME, entry=entry)


@pytest.mark.parametrize(
    ("asked", "kind", "ends"),
    [
        (calls.TimeoutWaiting(HOME), "timeout_due", calls.Timeout(HOME)),
        (calls.TimeoutWaiting(HOME), "timeout_due", calls.TimeoutWithdrawn(HOME)),
        (calls.SubWaiting(HOME), "sub_due", calls.SubsIn()),
        (calls.SubWaiting(HOME), "sub_due", calls.SubWithdrawn(HOME)),
        (calls.SubWaiting(HOME), "sub_due", calls.Substitution(HOME, "5", "4")),
    ],
)
def test_a_request_is_done_when_granted_or_withdrawn(
    stopped: Book, asked: Call, kind: str, ends: Call
) -> None:
    stopped.take(asked)
    assert not is_done(stopped, kind, HOME)
    assert is_done(stopped, kind, GUEST)
    stopped.take(ends)
    assert is_done(stopped, kind, HOME)


def test_a_player_who_is_out_has_left_when_another_came_in(stopped: Book) -> None:
    for _ in range(5):
        entry = stopped.take(calls.Foul(GUEST, "5"))
    assert not is_done(stopped, "player_out", GUEST, "5", entry.id)
    stopped.take(calls.Substitution(GUEST, "13", "5"))
    assert is_done(stopped, "player_out", GUEST, "5", entry.id)


def test_what_came_of_an_entry_taken_back_is_done(stopped: Book) -> None:
    for _ in range(5):
        entry = stopped.take(calls.Foul(GUEST, "5"))
    stopped.take(calls.Undo())
    assert is_done(stopped, "player_out", GUEST, "5", entry.id)
    assert is_done(stopped, "bonus", GUEST, "", entry.id)


def test_a_foul_given_to_another_player_ends_it_too(stopped: Book) -> None:
    for _ in range(5):
        stopped.take(calls.Foul(GUEST, "5"))
    stopped.take(calls.MakeNumber("13"))
    assert is_done(stopped, "player_out", GUEST, "5")


def test_all_is_done_when_the_game_is_over(stopped: Book) -> None:
    assert not is_done(stopped, "bonus", GUEST)
    stopped.take(calls.EndGame())
    assert is_done(stopped, "bonus", GUEST)


def test_at_a_stop_the_referee_reports(book: Book) -> None:
    for call, stops in (
        (calls.StartClock(), False),
        (calls.StopClock(), True),
        (calls.Foul(GUEST, "5"), False),
        (calls.StartClock(), False),
        (calls.DeadBall(), True),
        (calls.StopClock(), False),
    ):
        before = book.game
        entry = book.take(call)
        assert at_a_stop(entry, before, book.game) is stops, call
        book.wait(1)


@pytest.mark.parametrize(
    ("kind", "before", "running", "stands"),
    [
        ("shots_owed", False, False, True),
        ("sub_due", False, False, True),
        ("player_out", False, False, True),
        ("clock_stops", False, True, False),
    ],
)
def test_when_a_notice_may_come_again(
    book: Book, kind: str, before: bool, running: bool, stands: bool
) -> None:
    """In play nothing is said unasked but what play itself asks for."""
    notice = Notice(KINDS[kind], {"team": HOME})
    assert may_come(notice, book.game, book.now_ms) is before
    book.take(calls.StartClock())
    book.wait(5)
    assert may_come(notice, book.game, book.now_ms) is running
    book.take(calls.StopClock())
    assert may_come(notice, book.game, book.now_ms) is stands
    book.take(calls.EndGame())
    assert not may_come(notice, book.game, book.now_ms)


def test_at_a_dead_ball_on_a_running_clock_what_is_out_is_silent(book: Book) -> None:
    book.take(calls.StartClock())
    book.take(calls.DeadBall())
    assert may_come(Notice(KINDS["sub_due"], {"team": HOME}), book.game, book.now_ms)
    assert not may_come(Notice(KINDS["player_out"], {"team": HOME}), book.game, book.now_ms)
    book.wait(475)
    assert not may_come(Notice(KINDS["sub_due"], {"team": HOME}), book.game, book.now_ms)
