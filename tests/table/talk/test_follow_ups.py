"""The technical foul that the rules foresee for a call is asked about once it is booked."""

from __future__ import annotations

import pytest

from callout.game import calls
from callout.game.calls import Call, Foul
from callout.game.decide import Decisions
from callout.game.terms import FoulKind, Offender, Team
from callout.table.talk.answers import is_agreed
from callout.table.talk.follow_ups import follow_up
from tests.table.play import Book

HOME, GUEST = Team.HOME, Team.GUEST


def offered(book: Book, call: Call, source: str = "voice") -> Foul | None:
    question = follow_up(book.heard(call, source), Decisions(book.game))
    if question is None:
        return None
    assert question.heard is not None
    assert isinstance(question.heard.call, Foul)
    return question.heard.call


@pytest.mark.parametrize(("league", "due"), [("nfhs-2026", True), ("fiba-2024", False)])
def test_a_late_name_brings_one_technical_a_team(league: str, due: bool) -> None:
    # NFHS 3-2, at most one for each team's list; FIBA interpretation 7-2: none.
    book, late = Book(profile=league), calls.AddPlayer(HOME, "44")
    assert offered(book, late) is None
    book.begun()
    foul = offered(book, late)
    assert (foul is not None) is due
    assert offered(book, late, "clock") is None
    book.take(late)
    assert offered(book, calls.AddPlayer(HOME, "45")) is None


def test_a_time_out_too_many_brings_one() -> None:
    # NFHS 5-11: it is granted, with a technical.
    book = Book().begun()
    for _ in range(5):
        assert offered(book, calls.Timeout(GUEST)) is None
        book.take(calls.Timeout(GUEST))
    assert offered(book, calls.Timeout(GUEST)) == Foul(
        GUEST, foul=FoulKind.TECHNICAL, on=Offender.TEAM
    )
    assert offered(Book().begun(), calls.StopClock()) is None


@pytest.mark.parametrize(
    ("call", "agreed"),
    [
        (Foul(HOME, foul=FoulKind.TECHNICAL, on=Offender.TEAM), True),
        (Foul(HOME, foul=FoulKind.TECHNICAL, on=Offender.COACH), False),
        (Foul(GUEST, foul=FoulKind.TECHNICAL, on=Offender.TEAM), False),
        (calls.StopClock(), False),
    ],
)
def test_the_technical_called_by_its_name_is_a_yes(call: Call, agreed: bool) -> None:
    book = Book().begun()
    question = follow_up(book.heard(calls.AddPlayer(HOME, "44")), Decisions(book.game))
    assert question is not None
    assert is_agreed(question, call) is agreed
