"""The journal. What is expected of SQLite is in its own documents: pragma, wal, lockingv3."""

from __future__ import annotations

import hashlib
import json
import os
import sqlite3
import stat
import subprocess
import sys
from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from callout.errors import JournalError
from callout.game import calls
from callout.game.events import Scored
from callout.game.fold import Entry, fold
from callout.game.state import At
from callout.game.terms import Team
from callout.game.urgency import Rank
from callout.table.chain import next_hash
from callout.table.database import is_journal, log_of, write_copy
from callout.table.journal import Journal
from callout.table.reply import Said, Sort
from callout.table.roster import Player
from callout.table.rows import entry_row, said_row
from callout.table.schema import APPLICATION_ID
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


def test_a_file_that_is_removed_while_it_is_open_is_there_again(path: Path) -> None:
    with Journal.create(path, SETUP) as journal:
        journal.append(ENTRY, [SAID])
        for each in (path, log_of(path)):
            each.unlink()
        journal.append(replace(ENTRY, id=2))
        assert [entry.id for entry in other_reader(path)] == [1, 2]
        log_of(path).unlink()
    with Journal.open(path) as journal:
        assert [entry.id for entry in journal.entries()] == [1, 2]
        assert journal.replies() == (SAID,)


def other_reader(path: Path) -> list[sqlite3.Row]:
    """What another program would read after a crash, from copies of the files as they now are."""
    folder = path.parent / "crashed"
    folder.mkdir()
    for each in (path, log_of(path)):
        (folder / each.name).write_bytes(each.read_bytes())
    with Journal.open(folder / path.name) as journal:
        return list(journal.entries())


def test_a_file_in_the_game_s_place_is_left_alone(path: Path) -> None:
    with Journal.create(path, SETUP) as journal:
        journal.append(ENTRY)
        path.unlink()
        path.write_text("my notes")
        with pytest.raises(JournalError, match="another file was put in its place"):
            journal.append(replace(ENTRY, id=2))
    assert path.read_text() == "my notes"


# --- the running hash -----------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("order", "message"),
    [
        ("UPDATE entry SET fields = replace(fields, '5', '4') WHERE id = 2",
         "entry 2 is not as it was recorded"),
        ("UPDATE entry SET left_tenths = 1 WHERE id = 3", "entry 3 is not as it was recorded"),
        ("UPDATE entry SET hash = zeroblob(32) WHERE id = 3", "entry 3 is not as it was recorded"),
        ("DELETE FROM entry WHERE id = 2", "entry 3 does not follow the one before it"),
        ("DELETE FROM entry WHERE id = 1", "entry 2 does not follow the one before it"),
    ],
)  # fmt: skip
def test_what_is_changed_after_the_fact_shows(path: Path, order: str, message: str) -> None:
    with Journal.create(path, SETUP) as journal:
        for number in (1, 2, 3):
            journal.append(replace(ENTRY, id=number))
    alter(path, "DROP TRIGGER entry_stays")
    alter(path, "DROP TRIGGER entry_same")
    alter(path, order)
    with pytest.raises(JournalError, match=message) as caught:
        Journal.open(path)
    assert str(caught.value).endswith(f"save what is whole: callout recover {path}")


def test_the_hash_is_what_its_definition_says(path: Path) -> None:
    """Reckoned here once more from the rows alone, by FIPS 180-4's SHA-256."""
    with Journal.create(path, SETUP) as journal:
        journal.append(ENTRY)
        journal.append(replace(ENTRY, id=2))
        told = journal.mark
    database = sqlite3.connect(path)
    (text,) = database.execute("SELECT setup FROM header").fetchone()
    reckoned = hashlib.sha256(text.encode())
    for row in database.execute("SELECT id, call, fields, source, left_tenths, wall_ms, events "
                                "FROM entry ORDER BY id"):  # fmt: skip
        line = json.dumps(row, separators=(",", ":"))
        reckoned = hashlib.sha256(reckoned.digest() + line.encode())
    database.close()
    assert told.replace("-", "") == reckoned.hexdigest()[:8]


def test_a_copy_has_the_same_mark_and_no_lock(path: Path) -> None:
    with Journal.create(path, SETUP) as journal:
        journal.append(ENTRY)
        write_copy(journal.snapshot(), path.with_name("copy"))
        journal.copied(path.with_name("copy"))
        with Journal.open(path.with_name("copy")) as copy:
            assert (copy.mark, copy.entries()) == (journal.mark, journal.entries())
        assert journal.copies() == (path.with_name("copy"),)
    assert sorted(each.name for each in path.parent.iterdir()) == ["copy", "tuesday.game"]


# --- names ----------------------------------------------------------------------------------------

NAMED = replace(
    SETUP, home=Listed("Harbour Kites", (Player("4", "Ada Moss"), Player("5", "Bø Reed")))
)


def test_names_are_read_back_and_stand_outside_the_hash(path: Path) -> None:
    with Journal.create(path, NAMED) as journal:
        journal.append(ENTRY)
        told = journal.mark
    alter(path, "UPDATE name SET name = 'Eva Moss' WHERE number = '4'")
    with Journal.open(path) as journal:
        assert [p.name for p in journal.setup.home.players] == ["Eva Moss", "Bø Reed"]
        assert journal.mark == told


@pytest.mark.parametrize("old", [False, True])
def test_names_that_are_forgotten_are_nowhere_in_the_files(path: Path, old: bool) -> None:
    if old:
        version_1(path)
    else:
        Journal.create(path, NAMED).close()
    with Journal.open(path) as journal:
        journal.append(replace(ENTRY, id=9))
        told = journal.mark
        assert b"Ada Moss" in path.read_bytes() + log_of(path).read_bytes()
        journal.forget()
        whole = path.read_bytes() + log_of(path).read_bytes()
        assert [p.name for p in journal.setup.home.players] == ["", ""]
    assert b"Ada Moss" not in whole
    assert "Bø Reed".encode() not in whole
    with Journal.open(path) as journal:
        assert journal.mark == told
        assert [p.number for p in journal.setup.home.players] == ["4", "5"]


# --- older versions -------------------------------------------------------------------------------


def version_1(path: Path) -> None:
    """A journal as version 1 was: its own words, kept here since nothing writes them any more."""
    database = sqlite3.connect(path)
    database.executescript(f"""
        CREATE TABLE header (id INTEGER PRIMARY KEY CHECK (id = 1), setup TEXT NOT NULL);
        CREATE TABLE entry (
            id INTEGER PRIMARY KEY, call TEXT NOT NULL, fields TEXT NOT NULL,
            source TEXT NOT NULL, left_tenths INTEGER NOT NULL, wall_ms INTEGER NOT NULL,
            events TEXT NOT NULL
        );
        CREATE TABLE reply (
            id INTEGER PRIMARY KEY, entry INTEGER REFERENCES entry (id), sort TEXT NOT NULL,
            kind TEXT NOT NULL, rank INTEGER NOT NULL, rule TEXT NOT NULL, text TEXT NOT NULL,
            period INTEGER NOT NULL, left_tenths INTEGER NOT NULL, wall_ms INTEGER NOT NULL
        );
        CREATE TRIGGER entry_stays BEFORE DELETE ON entry
        BEGIN SELECT RAISE(ABORT, 'entries are never deleted'); END;
        CREATE TRIGGER entry_same BEFORE UPDATE ON entry
        BEGIN SELECT RAISE(ABORT, 'entries are never changed'); END;
        PRAGMA application_id = {APPLICATION_ID};
        PRAGMA user_version = 1;
    """)
    setup = json.dumps({"profile": "nfhs-2026", "home": "Harbour Kites | 4 Ada Moss, 5 Bø Reed,",
                        "guest": "Quarry Foxes | "}, ensure_ascii=False)  # fmt: skip
    database.execute("INSERT INTO header VALUES (1, ?)", (setup,))
    database.execute("INSERT INTO entry VALUES (?, ?, ?, ?, ?, ?, ?)", entry_row(ENTRY))
    database.execute("INSERT INTO reply VALUES (NULL, ?, ?, ?, ?, ?, ?, ?, ?, ?)", said_row(SAID))
    database.commit()
    database.close()


def test_a_journal_of_version_1_is_carried_over_after_a_copy(path: Path) -> None:
    version_1(path)
    for _ in range(2):
        with Journal.open(path) as journal:
            assert (journal.setup, journal.entries()) == (NAMED, (ENTRY,))
            assert journal.replies() == (SAID,)
            with pytest.raises(sqlite3.IntegrityError, match="entries are never"):
                journal._database.execute("DELETE FROM entry")
            with pytest.raises(sqlite3.IntegrityError, match="entries are never"):
                journal._database.execute("UPDATE entry SET source = ''")
    copy = sqlite3.connect(path.with_name("tuesday.game-version-1"))
    assert copy.execute("PRAGMA user_version").fetchone() == (1,)
    assert copy.execute("SELECT id FROM entry").fetchall() == [(1,)]
    copy.close()


def test_a_journal_that_cannot_be_carried_over_stays_as_it_was(path: Path) -> None:
    version_1(path)
    alter(path, "UPDATE header SET setup = '{}'")
    with pytest.raises(JournalError, match="expected a line 'profile"):
        Journal.open(path)
    database = sqlite3.connect(path)
    assert database.execute("PRAGMA user_version").fetchone() == (1,)
    assert database.execute("SELECT count(*) FROM entry").fetchone() == (1,)
    database.close()


def alter(path: Path, order: str) -> None:
    database = sqlite3.connect(path)
    database.execute(order)
    database.commit()
    database.close()


@pytest.mark.parametrize(
    ("order", "message"),
    [
        ("PRAGMA user_version = 9", "expected a journal of version 2, got 9; use a newer callout"),
        ("PRAGMA application_id = 7", "expected a game's journal, got another database"),
        ("UPDATE header SET setup = '{}'", "damaged header: .*expected a line 'profile: …'"),
        (
            "UPDATE header SET setup = replace(setup, 'Kites', 'Foxes')",
            "damaged header: it is not as it was recorded",
        ),
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
    ("call", "fields", "events"),
    [
        ("scores", "{}", "[]"),
        ("score", '{"team":"home"}', "[]"),
        ("undo", "{", "[]"),
        ("undo", "{}", "[{}]"),
        ("undo", "{}", '[{"event":"taken_back"}]'),
    ],
)
def test_an_entry_that_is_none_names_its_row(
    path: Path, call: str, fields: str, events: str
) -> None:
    """As a program of another version may have written it: hashed, and not to be read here."""
    with Journal.create(path, SETUP) as journal:
        start = journal._hash
    row = (1, call, fields, "voice", 0, 0, events)
    database = sqlite3.connect(path)
    values = (*row, start, next_hash(start, row))
    database.execute("INSERT INTO entry VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?)", values)
    database.commit()
    database.close()
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
