"""The journal. What is expected of SQLite is in its own documents: pragma, wal, lockingv3."""

from __future__ import annotations

import hashlib
import json
import os
import sqlite3
import stat
import subprocess
import sys
from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from callout.errors import CalloutError, JournalError
from callout.game import calls
from callout.game.events import Scored
from callout.game.fold import Entry, fold
from callout.game.kind import Rank
from callout.game.state import At
from callout.game.terms import Team
from callout.table.book.backup import write_copy
from callout.table.book.chain import first_hash, next_hash
from callout.table.book.database import is_journal, read_database
from callout.table.book.journal import Journal
from callout.table.book.leftover import log_of
from callout.table.book.recorded_header import header_text, read_header
from callout.table.book.recovery import salvage
from callout.table.book.rows import entry_row, said_row, write_json
from callout.table.book.schema import APPLICATION_ID
from callout.table.setup.roster import Player
from callout.table.setup.setup import Listed, Setup
from callout.table.speech.reply import Said, Sort
from tests.table.play import Book

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
    code = "import sys; from pathlib import Path; from callout.table.book.journal import Journal\n"
    code += "try: Journal.open(Path(sys.argv[1]))\nexcept Exception as error: print(error)"
    command = [sys.executable, "-c", code, str(path)]
    with Journal.create(path, SETUP):
        done = subprocess.run(command, capture_output=True, text=True, check=True)
        assert done.stdout == f"{path}: another program has this game open; close it there first\n"
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
        from callout.table.book.journal import Journal
        from callout.table.setup.setup import Listed, Setup
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


def test_a_game_keeps_its_language_and_an_older_one_is_in_english(path: Path) -> None:
    """English stands in no header, so that older games and the marks on their sheets stay."""
    Journal.create(path, replace(SETUP, language="es")).close()
    with Journal.read(path) as journal:
        assert journal.setup.language == "es"
    older = (
        '{"profile":"nfhs-2026","clock":"ours","book":"official","home":"Kites | ",'
        '"guest":"Foxes | "}'
    )
    read = read_header(older, path)
    assert read.language == "en"
    assert header_text(read) == older


def test_a_book_in_a_language_that_is_not_here_can_be_read(path: Path) -> None:
    """A program elsewhere may have a folder more; the numbers need none."""
    Journal.create(path, replace(SETUP, language="../fr")).close()
    with Journal.open(path) as journal:
        assert journal.setup.language == "../fr"


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


def test_an_entry_that_could_not_be_read_again_is_not_written(path: Path) -> None:
    """One such row makes the whole file unreadable."""
    long = calls.Signed(calls.SetScore(Team.HOME, 4), "J" * 201, "why")
    with Journal.create(path, SETUP) as journal:
        journal.append(ENTRY)
        with pytest.raises(JournalError, match=r"cannot write: .* at most 200 characters"):
            journal.append(replace(ENTRY, id=2, call=long))
        journal.append(replace(ENTRY, id=2))
    with Journal.open(path) as journal:
        assert journal.entries() == (ENTRY, replace(ENTRY, id=2))


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


def other_reader(path: Path) -> list[Entry]:
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
    tamper(path, order)
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
    (game,) = database.execute("SELECT game FROM header").fetchone()
    assert len(game) == 16
    reckoned = hashlib.sha256(game + text.encode())
    for row in database.execute("SELECT id, call, fields, source, left_tenths, wall_ms, events "
                                "FROM entry ORDER BY id"):  # fmt: skip
        line = json.dumps(row, separators=(",", ":"))
        reckoned = hashlib.sha256(game + reckoned.digest() + line.encode())
    database.close()
    assert told.replace("-", "") == reckoned.hexdigest()[:20]


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


def test_people_are_named_late_outside_the_hash_and_forgotten_wholly(path: Path) -> None:
    with Journal.create(path, NAMED) as journal:
        journal.append(ENTRY)
        told = journal.mark
        journal.name_people((("", "Referee", "Cy Dale"), ("home", "coach", "Gale Wren")))
        journal.name_people((("", "Referee", "Di Tern"),))
    with Journal.open(path) as journal:
        assert journal.setup.people == (("", "Referee", "Di Tern"),)
        assert [p.name for p in journal.setup.home.players] == ["Ada Moss", "Bø Reed"]
        assert journal.mark == told
        journal.forget()
        whole = path.read_bytes() + log_of(path).read_bytes()
    for name in (b"Cy Dale", b"Gale Wren", b"Di Tern", b"Ada Moss"):
        assert name not in whole + path.read_bytes()


# --- older versions -------------------------------------------------------------------------------


def version_1(path: Path, entries: Sequence[Entry] = (ENTRY,)) -> None:
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
    for entry in entries:
        database.execute("INSERT INTO entry VALUES (?, ?, ?, ?, ?, ?, ?)", entry_row(entry))
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


def version_2(path: Path, entries: int = 2) -> str:
    """A journal as version 2 was, its hashes made without an id of the game; its mark in full."""
    database = sqlite3.connect(path)
    database.executescript(f"""
        CREATE TABLE header (
            id INTEGER PRIMARY KEY CHECK (id = 1), setup TEXT NOT NULL, hash BLOB NOT NULL
        );
        CREATE TABLE entry (
            id INTEGER PRIMARY KEY, call TEXT NOT NULL, fields TEXT NOT NULL,
            source TEXT NOT NULL, left_tenths INTEGER NOT NULL, wall_ms INTEGER NOT NULL,
            events TEXT NOT NULL, former BLOB NOT NULL, hash BLOB NOT NULL
        );
        CREATE TABLE reply (
            id INTEGER PRIMARY KEY, entry INTEGER REFERENCES entry (id), sort TEXT NOT NULL,
            kind TEXT NOT NULL, rank INTEGER NOT NULL, rule TEXT NOT NULL, text TEXT NOT NULL,
            period INTEGER NOT NULL, left_tenths INTEGER NOT NULL, wall_ms INTEGER NOT NULL
        );
        CREATE TABLE name (
            team TEXT NOT NULL, number TEXT NOT NULL, name TEXT NOT NULL,
            PRIMARY KEY (team, number)
        );
        CREATE TABLE copy (path TEXT PRIMARY KEY);
        CREATE TRIGGER entry_stays BEFORE DELETE ON entry
        BEGIN SELECT RAISE(ABORT, 'entries are never deleted'); END;
        CREATE TRIGGER entry_same BEFORE UPDATE ON entry
        BEGIN SELECT RAISE(ABORT, 'entries are never changed'); END;
        PRAGMA application_id = {APPLICATION_ID};
        PRAGMA user_version = 2;
    """)
    setup = json.dumps({"profile": "nfhs-2026", "clock": "ours", "book": "official",
                        "home": "Harbour Kites | 4 5", "guest": "Quarry Foxes | "},
                       separators=(",", ":"))  # fmt: skip
    former = hashlib.sha256(setup.encode())
    database.execute("INSERT INTO header VALUES (1, ?, ?)", (setup, former.digest()))
    database.execute("INSERT INTO name VALUES ('home', '4', 'Ada Moss')")
    for number in range(1, entries + 1):
        row = entry_row(replace(ENTRY, id=number))
        line = json.dumps(row, ensure_ascii=False, separators=(",", ":"))
        own = hashlib.sha256(former.digest() + line.encode())
        marks = ", ".join("?" * 9)
        database.execute(
            f"INSERT INTO entry VALUES ({marks})", (*row, former.digest(), own.digest())
        )
        former = own
    database.execute("INSERT INTO copy VALUES ('/stick/tuesday.game-copy')")
    database.commit()
    database.close()
    return former.hexdigest()


def test_a_journal_of_version_2_is_carried_over_and_keeps_its_mark(path: Path) -> None:
    """What was printed of it before still fits: its hashes are made with no id, as they were."""
    told = version_2(path)
    for _ in range(2):
        with Journal.open(path) as journal:
            assert [entry.id for entry in journal.entries()] == [1, 2]
            assert [player.name for player in journal.setup.home.players] == ["Ada Moss", ""]
            assert journal.copies() == (Path("/stick/tuesday.game-copy"),)
            assert journal.mark.replace("-", "") == told[:20]
            for order in ("DELETE FROM entry", "UPDATE entry SET source = ''"):
                with pytest.raises(sqlite3.IntegrityError, match="entries are never"):
                    journal._database.execute(order)
    with Journal.open(path) as journal:
        journal.append(replace(ENTRY, id=3))
    with Journal.open(path) as journal:
        assert [entry.id for entry in journal.entries()] == [1, 2, 3]
    copy = sqlite3.connect(path.with_name("tuesday.game-version-2"))
    assert copy.execute("PRAGMA user_version").fetchone() == (2,)
    copy.close()


def test_a_journal_of_an_older_version_is_read_where_nothing_can_be_written(path: Path) -> None:
    told = version_2(path)
    before = path.read_bytes()
    database, doubt = read_database(path)
    with Journal(path, database, doubt) as journal:
        assert journal.mark.replace("-", "") == told[:20]
    assert path.read_bytes() == before
    assert [each.name for each in path.parent.iterdir()] == [path.name]


def test_a_journal_that_cannot_be_carried_over_stays_as_it_was(path: Path) -> None:
    version_1(path)
    alter(path, "UPDATE header SET setup = '{}'")
    with pytest.raises(JournalError, match="expected a line 'profile"):
        Journal.open(path)
    database = sqlite3.connect(path)
    assert database.execute("PRAGMA user_version").fetchone() == (1,)
    assert database.execute("SELECT count(*) FROM entry").fetchone() == (1,)
    database.close()


def insert(path: Path, row: tuple[object, ...]) -> None:
    """An entry of any columns, its hash right, as the only one of a game."""
    database = sqlite3.connect(path)
    start, game = database.execute("SELECT hash, game FROM header").fetchone()
    values = (*row, start, next_hash(game, start, row), game)
    database.execute("INSERT INTO entry VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?)", values)
    database.commit()
    database.close()


def tamper(path: Path, *orders: str) -> None:
    """Changes entries as one would who knows of the triggers, and puts them back."""
    database = sqlite3.connect(path)
    guards = database.execute("SELECT name, sql FROM sqlite_master WHERE type = 'trigger'")
    known = guards.fetchall()
    for order in [*(f"DROP TRIGGER {name}" for name, _ in known), *orders,
                  *(sql for _, sql in known)]:  # fmt: skip
        database.execute(order)
    database.commit()
    database.close()


def alter(path: Path, order: str) -> None:
    database = sqlite3.connect(path)
    database.execute(order)
    database.commit()
    database.close()


@pytest.mark.parametrize(
    ("order", "message"),
    [
        ("PRAGMA user_version = 9", "expected a journal of version 3, got 9; use a newer callout"),
        ("PRAGMA application_id = 7", "expected a game's journal, got another database"),
        ("UPDATE header SET setup = '{}'", "damaged header: .*expected a line 'profile: …'"),
        (
            "UPDATE header SET setup = replace(setup, 'Kites', 'Foxes')",
            "damaged header: it is not as it was recorded",
        ),
        ("UPDATE header SET setup = '['", "damaged header: "),
        ("DELETE FROM header", "damaged header: "),
        (
            "DROP TABLE header",
            "damaged: expected the table 'header', got none; save what is whole: callout recover",
        ),
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
    Journal.create(path, SETUP).close()
    insert(path, (1, call, fields, "voice", 0, 0, events))
    with Journal.open(path) as journal, pytest.raises(JournalError, match="damaged row 1: "):
        journal.entries()


@pytest.mark.parametrize(
    ("row", "message"),
    [
        ((2**60, "undo", "{}", "key", 0, 0, "[]"), "expected an entry's number, 1 to 1000000"),
        ((1, "undo", "{}", "key", "soon", 0, "[]"), "expected a whole number, got 'soon'"),
        ((1, "undo", "{}", "key", 0, 0.5, "[]"), "expected a whole number, got 0.5"),
        ((1, "undo", "[" * 100_000, "key", 0, 0, "[]"), "expected JSON, got it nested too deeply"),
        ((1, "undo", "{}", "key", 0, 0, "[" * 100_000), "expected JSON, got it nested too deeply"),
        ((1, "score", '{"team":"home","points":2,"points":3,"number":null}', "key", 0, 0, "[]"),
         "expected JSON without spaces and with each key once"),
        ((1, "undo", "{ }", "key", 0, 0, "[]"), "without spaces and with each key once"),
        ((1, "undo", "{}", "key", 0, 0, "[] "), "without spaces and with each key once"),
        ((1, "undo", '{"\\u0061":1}', "key", 0, 0, "[]"), "without spaces and with each key"),
    ],
    ids=str,
)  # fmt: skip
def test_a_row_whose_hash_is_right_and_that_no_program_wrote_is_one_line(
    path: Path, row: tuple[object, ...], message: str
) -> None:
    Journal.create(path, SETUP).close()
    insert(path, row)
    with pytest.raises(JournalError, match=message) as told, Journal.open(path) as journal:
        journal.entries()
    assert "\n" not in str(told.value)
    assert salvage(path).entries == ()


@pytest.mark.parametrize(
    ("header", "message"),
    [
        ({"roster home": "/dev/zero"}, "damaged header: expected no key 'roster home' in a header"),
        ({"roster guest": "/etc/passwd"}, "damaged header: expected no key 'roster guest'"),
        ({"home": 7}, "damaged header: expected a header's keys, each with text"),
        ("[" * 100_000, "damaged header: expected JSON, got it nested too deeply"),
        ('{"profile":"nfhs-2026","home":"A |","home":"B |","guest":"C |"}', "each key once"),
    ],
    ids=str,
)
def test_a_header_whose_hash_is_right_and_that_no_program_wrote_is_one_line(
    path: Path, header: dict[str, object] | str, message: str
) -> None:
    Journal.create(path, SETUP).close()
    pairs = {"profile": "nfhs-2026", "home": "Harbour Kites |", "guest": "Quarry Foxes |"}
    text = header if isinstance(header, str) else write_json({**pairs, **header})
    database = sqlite3.connect(path)
    (game,) = database.execute("SELECT game FROM header").fetchone()
    database.execute("UPDATE header SET setup = ?, hash = ?", (text, first_hash(game, text)))
    database.commit()
    database.close()
    with pytest.raises(JournalError, match=message) as told:
        Journal.open(path)
    assert "\n" not in str(told.value)
    assert salvage(path).setup is None


def test_a_word_in_place_of_a_time_is_one_line(path: Path) -> None:
    with Journal.create(path, SETUP) as journal:
        journal.append(ENTRY, [SAID])
    alter(path, "UPDATE reply SET wall_ms = 'soon'")
    with Journal.open(path) as journal:
        for read in (journal.last_ms, journal.replies):
            with pytest.raises(JournalError, match="expected a whole number, got 'soon'"):
                read()


NUMBERS = "WITH RECURSIVE n(x) AS (SELECT 1 UNION ALL SELECT x FROM n) SELECT "


@pytest.mark.parametrize(
    ("orders", "message"),
    [
        (["CREATE TRIGGER zz BEFORE INSERT ON entry BEGIN SELECT RAISE(IGNORE); END"],
         "expected no such trigger in a game: 'zz'"),
        (["CREATE TRIGGER z AFTER DELETE ON name BEGIN INSERT INTO name "
          "VALUES (old.team, old.number, old.name); END"], "expected no such trigger in a game"),
        (["DROP TRIGGER entry_stays", "CREATE TRIGGER entry_stays BEFORE DELETE ON entry "
          "BEGIN SELECT 1; END"], "expected no such trigger in a game: 'entry_stays'"),
        (["DROP TABLE reply", f"CREATE VIEW reply AS {NUMBERS}x, 1, 2, 3, 4, 5, 6, 7, 8, 9 FROM n"],
         "expected the table 'reply', got none"),
        (["CREATE TABLE more (x)"], "expected no such table in a game: 'more'"),
        (["CREATE INDEX more ON reply (text)"], "expected no such index in a game: 'more'"),
        (["DROP TABLE copy"], "expected the table 'copy', got none"),
    ],
)  # fmt: skip
def test_tables_and_triggers_that_are_none_of_ours_are_refused_at_once(
    path: Path, orders: list[str], message: str
) -> None:
    with Journal.create(path, NAMED) as journal:
        journal.append(ENTRY, [SAID])
    for order in orders:
        alter(path, order)
    with pytest.raises(JournalError, match=message) as told:
        Journal.open(path)
    assert str(told.value).endswith(f"save what is whole: callout recover {path}")
    assert salvage(path).entries == (ENTRY,)


def test_a_row_that_something_drops_is_not_confirmed(path: Path) -> None:
    """Should anything in a file drop what is written, after it was opened."""
    with Journal.create(path, SETUP) as journal:
        for table in ("entry", "reply"):
            order = f"CREATE TEMP TRIGGER t_{table} BEFORE INSERT ON main.{table} "
            journal._database.execute(order + "BEGIN SELECT RAISE(IGNORE); END")
            with pytest.raises(JournalError, match="expected 1 rows to be written, got 0"):
                journal.append(ENTRY, [SAID])
            journal._database.execute("DROP TRIGGER IF EXISTS t_entry")
        assert (journal.entries(), journal.replies()) == ((), ())


def test_text_that_no_file_can_hold_is_not_written(path: Path) -> None:
    with Journal.create(path, SETUP) as journal:
        with pytest.raises(JournalError, match="cannot write: "):
            journal.note([replace(SAID, text="\ud800", entry=None)])
        with pytest.raises(JournalError, match="cannot write: "):
            journal.append(replace(ENTRY, id=2**70))
        journal.append(ENTRY)
        assert journal.entries() == (ENTRY,)


def test_a_path_of_any_bytes_is_remembered(path: Path) -> None:
    odd = path.parent / os.fsdecode(b"stick-\xfc")
    with Journal.create(path, SETUP) as journal:
        journal.copied(odd)
        journal.copied(path.with_name("copy"))
        assert set(journal.copies()) == {odd, path.with_name("copy")}


@pytest.mark.skipif(os.name != "posix", reason="other systems have no such names")
def test_a_game_whose_own_path_is_of_any_bytes(path: Path) -> None:
    odd = path.with_name(os.fsdecode(b"p-\xfc.game"))
    with Journal.create(odd, SETUP) as journal:
        journal.append(ENTRY, [SAID])
    with Journal.open(odd) as journal:
        assert journal.entries() == (ENTRY,)
    assert salvage(odd).entries == (ENTRY,)


@pytest.mark.parametrize("name", ["a" * 300, "file/x.game"])
def test_a_name_that_cannot_be_is_one_line(path: Path, name: str) -> None:
    path.with_name("file").write_text("my notes")
    odd = path.parent / name
    for use in (Journal.open, Journal.read, salvage):
        with pytest.raises(CalloutError, match=r"name too long|not a directory") as told:
            use(odd)
        assert str(told.value).startswith(str(odd)[:50])
    with pytest.raises(CalloutError, match=r"name too long|not a directory"):
        Journal.create(odd, SETUP)


@pytest.mark.skipif(os.name != "posix", reason="other systems have no named pipes")
def test_a_pipe_is_not_waited_for(path: Path) -> None:
    os.mkfifo(path)
    for use in (Journal.open, salvage):
        with pytest.raises(JournalError, match="expected a game's journal, got another kind"):
            use(path)


def test_the_mark_after_so_many_entries(path: Path) -> None:
    marks = []
    with Journal.create(path, SETUP) as journal:
        marks.append(journal.mark)
        for number in (1, 2, 3):
            journal.append(replace(ENTRY, id=number))
            marks.append(journal.mark)
        assert [journal.mark_after(count) for count in range(4)] == marks
        for count in (4, -1):
            with pytest.raises(JournalError, match=f"expected an entry number {count}, got none"):
                journal.mark_after(count)


def test_other_files_are_refused(path: Path) -> None:
    other = "expected a game's journal, got another kind of file"
    for content, told in (
        (b"", "is empty, and no game is in it: delete it, or name another"),
        (b"home two", other),
        (b"RIFF\x00\x00\x00\x00WAVE", other),
    ):
        path.write_bytes(content)
        assert not is_journal(path)
        with pytest.raises(JournalError, match=f"tuesday.game: {told}$"):
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
