"""The journal. What is expected of SQLite is in its own documents: pragma, wal, lockingv3."""

from __future__ import annotations

import os
import sqlite3
import stat
import subprocess
import sys
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from callout.errors import JournalError
from callout.game import calls
from callout.game.events import Scored
from callout.game.fold import Entry, fold
from callout.game.notice import Rank
from callout.game.state import At
from callout.game.terms import Team
from callout.table.journal import APPLICATION_ID, Journal, is_journal
from callout.table.reply import Said, Sort
from callout.table.setup import Listed, Setup

from .book import Book

SETUP = Setup("nfhs-2026", Listed("Harbour Kites"), Listed("Quarry Foxes"))
GOAL = Scored(10, Team.HOME, 2, "5", 1, 4_610)
ENTRY = Entry(1, calls.Score(Team.HOME, 2, "5"), "voice", At(4_610, 1_700_000_000_123), (GOAL,))
SAID = Said(Sort.NOTICE, "goal", Rank.ECHO, "", "Home two, number five.", 1, 4_610, 123, 1)
REFUSED = Said(Sort.REFUSAL, "no_foul", Rank.ECHO, "R 1", "No foul.", 1, 4_600, 124)


@pytest.fixture
def path(tmp_path: Path) -> Path:
    return tmp_path / "tuesday.game"


def test_what_was_written_is_read_back(path: Path) -> None:
    with Journal.create(path, SETUP) as journal:
        journal.append(ENTRY, [SAID])
        journal.note([REFUSED])
    with Journal.open(path) as journal:
        assert journal.setup == SETUP
        assert journal.entries() == (ENTRY,)
        assert journal.replies() == (SAID, REFUSED)


def test_a_game_s_whole_book_is_the_same_after_reading(path: Path, book: Book) -> None:
    for call in (
        calls.StartClock(),
        calls.Tip(Team.HOME),
        calls.Score(Team.HOME, 3, "5"),
        calls.Foul(Team.GUEST, "14"),
        calls.Undo(),
        calls.StopClock(),
        calls.Timeout(Team.GUEST),
    ):
        book.wait(3.3)
        book.take(call)
    with Journal.create(path, SETUP) as journal:
        for entry in book.entries:
            journal.append(entry)
    with Journal.open(path) as journal:
        assert fold(book.start, journal.entries()) == book.game


def test_the_file_is_durable_locked_and_only_the_user_s(path: Path) -> None:
    with Journal.create(path, SETUP) as journal:
        database = journal._database
        assert database.execute("PRAGMA journal_mode").fetchone() == ("wal",)
        assert database.execute("PRAGMA synchronous").fetchone() == (2,)
        assert database.execute("PRAGMA application_id").fetchone() == (APPLICATION_ID,)
        if os.name == "posix":
            modes = {stat.S_IMODE(each.stat().st_mode) for each in path.parent.iterdir()}
            assert modes == {0o600}
        assert not (path.parent / f"{path.name}.new").exists()


def test_two_programs_cannot_keep_one_game(path: Path) -> None:
    code = "import sys; from pathlib import Path; from callout.table.journal import Journal\n"
    code += "try: Journal.open(Path(sys.argv[1]))\nexcept Exception as error: print(error)"
    command = [sys.executable, "-c", code, str(path)]
    with Journal.create(path, SETUP):
        done = subprocess.run(command, capture_output=True, text=True, check=True)
        assert done.stdout == f"{path}: another program keeps this game; close it there first\n"
    done = subprocess.run(command, capture_output=True, text=True, check=True)
    assert done.stdout == ""


def test_what_was_committed_outlives_a_killed_program(path: Path) -> None:
    # A process that ends without closing anything stands for the kill; the log is then read.
    code = """if True:
        import os, sys
        from pathlib import Path
        from callout.game.calls import Undo
        from callout.game.fold import Entry
        from callout.game.state import At
        from callout.table.journal import Journal
        from callout.table.setup import Listed, Setup
        setup = Setup("nfhs-2026", Listed("A"), Listed("B"))
        journal = Journal.create(Path(sys.argv[1]), setup)
        for number in range(1, 41):
            journal.append(Entry(number, Undo(), "voice", At(0, 0), ()))
            print(number, flush=True)
        os.kill(os.getpid(), 9)
    """
    command = [sys.executable, "-c", code, str(path)]
    done = subprocess.run(command, capture_output=True, text=True, check=False)
    assert done.returncode == -9, done.stderr
    with Journal.open(path) as journal:
        assert [entry.id for entry in journal.entries()] == list(range(1, 41))
        assert len(done.stdout.split()) == 40


def test_entries_are_neither_changed_nor_deleted(path: Path) -> None:
    with Journal.create(path, SETUP) as journal:
        journal.append(ENTRY)
        for order in ("DELETE FROM entry", "UPDATE entry SET source = 'key'"):
            with pytest.raises(sqlite3.IntegrityError, match="entries are never"):
                journal._database.execute(order)
        assert journal.entries() == (ENTRY,)


def test_an_entry_that_cannot_be_written_leaves_nothing(path: Path) -> None:
    with Journal.create(path, SETUP) as journal:
        journal.append(ENTRY, [SAID])
        with pytest.raises(JournalError, match=r"tuesday.game: cannot write: UNIQUE constraint"):
            journal.append(ENTRY, [SAID])
        # So little room that the next page does not fit: the disk is full.
        pages = journal._database.execute("PRAGMA page_count").fetchone()[0]
        journal._database.execute(f"PRAGMA max_page_count = {pages}")
        long = Said(Sort.REFUSAL, "no_foul", Rank.ECHO, "", "x" * 100_000, 1, 0, 0)
        with pytest.raises(JournalError, match="database or disk is full"):
            journal.note([SAID, long])
        assert (journal.entries(), journal.replies()) == ((ENTRY,), (SAID,))


def test_a_name_that_is_taken_is_refused_and_left_alone(path: Path) -> None:
    path.write_text("my notes")
    with pytest.raises(JournalError, match="expected no file of that name"):
        Journal.create(path, SETUP)
    assert path.read_text() == "my notes"


def test_a_folder_that_is_not_there(tmp_path: Path) -> None:
    with pytest.raises(JournalError, match="cannot make the journal: no such file"):
        Journal.create(tmp_path / "none" / "x.game", SETUP)
    with pytest.raises(JournalError, match="cannot be read: no such file"):
        Journal.open(tmp_path / "x.game")


def alter(path: Path, order: str) -> None:
    database = sqlite3.connect(path)
    database.execute(order)
    database.commit()
    database.close()


@pytest.mark.parametrize(
    ("order", "message"),
    [
        ("PRAGMA user_version = 9", "expected a journal of version 1, got 9; use a newer callout"),
        ("PRAGMA application_id = 7", "expected a game's journal, got another database"),
        ("UPDATE header SET setup = '{}'", "damaged header: .*expected a line 'profile: …'"),
        ("UPDATE header SET setup = '['", "damaged header: "),
        ("DELETE FROM header", "damaged header: "),
        ("DROP TABLE header", "damaged: no such table: header"),
    ],
)
def test_a_file_that_is_no_journal_of_ours_is_one_clear_line(
    path: Path, order: str, message: str
) -> None:
    Journal.create(path, SETUP).close()
    alter(path, order)
    with pytest.raises(JournalError, match=message) as caught:
        Journal.open(path)
    assert str(caught.value).startswith(f"{path}: ")
    assert "\n" not in str(caught.value)


@pytest.mark.parametrize(
    "row",
    [
        "(1, 'scores', '{}', 'voice', 0, 0, '[]')",
        "(1, 'score', '{\"team\":\"home\"}', 'voice', 0, 0, '[]')",
        "(1, 'undo', '{', 'voice', 0, 0, '[]')",
        "(1, 'undo', '{}', 'voice', 0, 0, '[{}]')",
        "(1, 'undo', '{}', 'voice', 0, 0, '[{\"event\":\"taken_back\"}]')",
    ],
)
def test_a_damaged_entry_names_its_row(path: Path, row: str) -> None:
    Journal.create(path, SETUP).close()
    alter(path, f"INSERT INTO entry VALUES {row}")
    with Journal.open(path) as journal, pytest.raises(JournalError, match="damaged row 1: "):
        journal.entries()


def test_other_files_are_refused(path: Path) -> None:
    for content in (b"", b"home two", b"RIFF\x00\x00\x00\x00WAVE"):
        path.write_bytes(content)
        assert not is_journal(path)
        with pytest.raises(JournalError, match="expected a game's journal, got another kind"):
            Journal.open(path)
        assert path.read_bytes() == content


@settings(max_examples=60, deadline=None)  # each example flushes to the disk
@given(st.integers(0, 2**31), st.binary(min_size=1, max_size=64))
def test_a_file_with_bytes_written_over_opens_right_or_is_one_clear_line(
    tmp_path_factory: pytest.TempPathFactory, place: int, noise: bytes
) -> None:
    path = tmp_path_factory.mktemp("damaged") / "x.game"
    with Journal.create(path, SETUP) as journal:
        journal.append(ENTRY, [SAID])
    whole = bytearray(path.read_bytes())
    place %= len(whole)
    whole[place : place + len(noise)] = noise
    path.write_bytes(whole)
    said = ""
    try:
        with Journal.open(path) as journal:
            journal.entries()
            journal.replies()
    except JournalError as error:
        said = str(error)
    assert said == "" or said.startswith(f"{path}: ")
    assert "\n" not in said
