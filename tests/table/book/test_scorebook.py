"""A call is in the game once it is on the disk, and not before."""

from __future__ import annotations

from callout.errors import JournalError
from callout.game import calls
from callout.game.decide import Refusal
from callout.game.decisions.refusals import ALREADY_RUNNING, NOT_STARTED
from callout.game.fold import Entry
from callout.game.sources import CLOCK
from callout.table.book.journal import Journal
from callout.table.book.scorebook import Scorebook
from callout.table.clock import SimulatedTime, at
from callout.table.speech.kinds import NOT_RECORDED
from tests.table.play import SETUP

START = calls.StartClock()


class FullDisk(Journal):
    """A journal that takes nothing."""

    def append(self, entry: Entry, replies: object = ()) -> None:
        raise JournalError("x.game: cannot write: database or disk is full")


def new(journal: type[Journal] = Journal) -> Scorebook:
    return Scorebook(journal.in_memory(SETUP), SimulatedTime(1_000_000))


def enter(book: Scorebook, call: calls.Call, source: str = "voice") -> Entry | Refusal | None:
    return book.enter(call, source, at(book.game, 1_000_000))


def test_an_entry_is_in_the_journal_and_in_the_game() -> None:
    book = new()
    entry = enter(book, START)
    assert isinstance(entry, Entry)
    assert book.entries == list(book.journal.entries()) == [entry]
    assert book.game.clock.running
    again = Scorebook(book.journal, SimulatedTime(2_000_000))
    assert (again.entries, again.game) == (book.entries, book.game)


def test_a_refused_call_changes_neither() -> None:
    book = new()
    enter(book, START)
    before = book.game
    assert enter(book, START) == Refusal(ALREADY_RUNNING)
    assert book.game is before
    assert len(book.journal.entries()) == len(book.entries) == 1


def test_each_state_of_the_game_has_decisions_of_its_own() -> None:
    book = new()
    before = book.decisions
    assert not before.refuses(START, at(book.game, 1_000_000))
    enter(book, START)
    assert book.decisions.game is book.game
    assert book.decisions.refuses(START, at(book.game, 1_000_000))


def test_what_cannot_be_written_is_not_in_the_game_and_a_clock_says_so_once() -> None:
    book = new(FullDisk)
    before = book.game
    full = Refusal(NOT_RECORDED, slots={"why": "database or disk is full"})
    assert enter(book, START, CLOCK) == full
    assert enter(book, START, CLOCK) is None
    assert enter(book, START) == full
    assert enter(book, calls.EndGame(), CLOCK) == Refusal(NOT_STARTED)
    assert (book.game, book.entries) == (before, [])
