"""Whole entries out of damaged files; what must come out is what was written."""

from __future__ import annotations

import random
import sqlite3
from dataclasses import replace
from pathlib import Path

import pytest

from callout.errors import JournalError
from callout.game.fold import Entry
from callout.table.book.journal import Journal
from callout.table.book.leftover import log_of
from callout.table.book.recovery import salvage, write_salvage
from callout.table.setup.roster import Player
from callout.table.setup.setup import Listed, Setup
from tests.table.book.test_journal import version_1
from tests.table.play import Table

SETUP = Setup(
    "nfhs-2026",
    Listed("Harbour Kites", tuple(Player(n, name) for n, name in (("4", "Ada Moss"), ("5", "Bø")))),
    Listed("Quarry Foxes", tuple(Player(n) for n in ("14", "30"))),
)


@pytest.fixture
def game(tmp_path: Path) -> tuple[Path, tuple[Entry, ...]]:
    """A game of some pages, and its entries."""
    path = tmp_path / "tuesday.game"
    with Journal.create(path, SETUP) as journal:
        table = Table(SETUP, journal)
        table.say("start clock", "tip home")
        for _ in range(12):
            table.wait(5)
            table.say("home two", "number five", "guest foul fourteen")
        entries = journal.entries()
    assert path.stat().st_size > 4 * 4096
    return path, entries


def test_of_a_sound_file_everything_is_saved(game: tuple[Path, tuple[Entry, ...]]) -> None:
    path, entries = game
    found = salvage(path)
    assert (found.setup, found.entries, found.lost) == (SETUP, entries, ())
    new = path.with_name("new.game")
    write_salvage(found, SETUP, new)
    with Journal.open(path) as old, Journal.open(new) as made:
        assert made.entries() == entries
        assert made.mark == old.mark
        assert sorted(map(repr, made.replies())) == sorted(map(repr, old.replies()))


def test_what_is_only_in_the_log_is_saved(game: tuple[Path, tuple[Entry, ...]]) -> None:
    path, entries = game
    with Journal.open(path) as journal:
        more = [replace(entries[-1], id=entries[-1].id + nth) for nth in (1, 2)]
        for entry in more:
            journal.append(entry)
        copy = path.with_name("copy.game")
        copy.write_bytes(path.read_bytes())
        log_of(copy).write_bytes(log_of(path).read_bytes())
    assert salvage(copy).entries == (*entries, *more)


@pytest.mark.parametrize("name", ["its head", "its tables", "every page's head"])
def test_rows_are_found_where_sqlite_finds_none(
    game: tuple[Path, tuple[Entry, ...]], name: str
) -> None:
    path, entries = game
    whole = bytearray(path.read_bytes())
    places = {
        "its head": [(0, 16)],
        "its tables": [(100, 200)],
        "every page's head": [(at, 8) for at in range(4096, len(whole), 4096)],
    }
    for at, length in places[name]:
        whole[at : at + length] = bytes(length)
    path.write_bytes(whole)
    found = salvage(path)
    assert found.entries == entries
    assert found.setup is not None
    assert found.setup.home.side() == SETUP.home.side()
    assert path.read_bytes() == whole


def test_an_entry_that_was_changed_is_not_taken_for_whole(
    game: tuple[Path, tuple[Entry, ...]],
) -> None:
    path, entries = game
    database = sqlite3.connect(path)
    database.execute("DROP TRIGGER entry_same")
    database.execute("UPDATE entry SET source = 'key' WHERE id = 7")
    database.commit()
    database.execute("VACUUM")
    database.close()
    found = salvage(path)
    assert found.lost == (range(7, 8),)
    assert found.entries == tuple(entry for entry in entries if entry.id != 7)


def test_bytes_written_over_cost_no_more_than_they_touch(
    game: tuple[Path, tuple[Entry, ...]],
) -> None:
    """A byte is in one row at most, or in none."""
    path, entries = game
    whole = path.read_bytes()
    dice = random.Random(7)
    for _ in range(25):
        at = dice.randrange(len(whole))
        path.write_bytes(whole[:at] + bytes([whole[at] ^ 1 << dice.randrange(8)]) + whole[at + 1 :])
        found = salvage(path)
        assert set(found.entries) <= set(entries)
        assert len(entries) - len(found.entries) <= 1


def test_rows_beyond_the_first_127_are_found(tmp_path: Path) -> None:
    """Their numbers take two bytes. Source: SQLite, "Database File Format", section 1.6."""
    path = tmp_path / "long.game"
    with Journal.create(path, SETUP) as journal:
        table = Table(SETUP, journal)
        table.say("start clock")
        first = journal.entries()[0]
        for number in (127, 128, 129, 16_383, 16_384):
            journal.append(replace(first, id=number))
    whole = bytearray(path.read_bytes())
    whole[:100] = bytes(100)
    path.write_bytes(whole)
    assert [e.id for e in salvage(path).entries] == [1, 127, 128, 129, 16_383, 16_384]


def test_entries_of_version_1_are_taken_unproven(tmp_path: Path) -> None:
    path = tmp_path / "old.game"
    version_1(path)
    with sqlite3.connect(path) as database:
        database.execute("INSERT INTO entry SELECT 3, call, fields, source, left_tenths, wall_ms, "
                         "events FROM entry")  # fmt: skip
    database.close()
    found = salvage(path)
    assert [entry.id for entry in found.entries] == [1, 3]
    assert (found.lost, found.unproven) == ((range(2, 3),), 2)
    assert found.setup is not None
    assert [player.name for player in found.setup.home.players] == ["Ada Moss", "Bø Reed"]


def test_damage_that_sqlite_reports_in_bytes_that_are_no_text(
    game: tuple[Path, tuple[Entry, ...]],
) -> None:
    """Bits of the tables' own words turned over: its message quotes them as they are."""
    path, entries = game
    whole = path.read_bytes()
    begins = whole.find(b"CREATE TABLE")
    for place in range(begins, begins + 600, 7):
        path.write_bytes(whole[:place] + bytes([whole[place] ^ 0x80]) + whole[place + 1 :])
        assert salvage(path).entries == entries


def test_other_files_hold_nothing(tmp_path: Path) -> None:
    path = tmp_path / "notes"
    path.write_bytes(b"LL" * 5_000 + b'{"profile":"' * 50)
    found = salvage(path)
    assert (found.setup, found.entries, found.said, found.lost) == (None, (), (), ())
    with pytest.raises(JournalError, match="cannot be read: no such file"):
        salvage(tmp_path / "none")
