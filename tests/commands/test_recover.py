"""`callout recover`: a damaged file on the disk, and the new one beside it."""

from __future__ import annotations

from pathlib import Path

import pytest

from callout.commands.recover import recover
from callout.commands.verify import verify
from callout.errors import JournalError
from callout.table.book.journal import Journal
from callout.table.book.leftover import log_of
from callout.table.setup.setup import Setup
from tests.table.book.test_journal import version_1
from tests.table.book.test_leftover import crash, keep
from tests.table.book.test_write_ahead_log import flipped
from tests.table.play import Table

TEAMS = "profile: nfhs-2026\nhome: Harbour Kites |\nguest: Quarry Foxes |\n"


def test_a_file_without_its_head_is_saved_whole(
    game: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    damaged = bytes(100) + game.read_bytes()[100:]
    game.write_bytes(damaged)
    new = game.with_name("tuesday.game-recovered")
    # Where SQLite cannot read the entries to their end, there may have been more.
    assert recover(game) == 1
    told = capsys.readouterr()
    assert told.out == f"{new}: 3 whole entries; the newest is number 3\n"
    assert "entries may have followed number 3: what is left does not show it" in told.err
    assert game.read_bytes() == damaged
    assert verify(new) == 0
    with pytest.raises(JournalError, match="expected no file of that name, got one"):
        recover(game)


def test_a_file_of_which_the_teams_alone_are_left_says_so(
    game: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """The game's header is on the second page, its entries on later ones."""
    game.write_bytes(game.read_bytes()[: 2 * 4_096])
    new = game.with_name("tuesday.game-recovered")
    assert recover(game) == 1
    told = capsys.readouterr()
    assert told.out == f"{new}: no whole entry was found: it has the teams alone\n"
    assert "entries may have been there: what is left does not show it" in told.err


def test_what_is_lost_is_named(game: Path, capsys: pytest.CaptureFixture[str]) -> None:
    game.write_bytes(game.read_bytes().replace(b'"number":"5"', b'"number":"6"'))
    new = game.with_name("new.game")
    assert recover(game, new) == 1
    told = capsys.readouterr()
    assert told.out == f"{new}: 2 whole entries; the newest is number 3\n"
    assert told.err == f"{new}: entry 2 is lost\n"
    assert verify(new) == 1
    assert f"{new}: entry 2 is missing\n" in capsys.readouterr().err


def test_entries_without_hashes_are_told_of(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    old, new = tmp_path / "old.game", tmp_path / "new.game"
    version_1(old)
    assert recover(old, new) == 0
    assert (
        "1 of these were recorded by a version without hashes: compare them"
        in capsys.readouterr().err
    )
    assert verify(new) == 0


def test_lost_teams_are_asked_for(game: Path, nameless: Setup, tmp_path: Path) -> None:
    game.write_bytes(game.read_bytes().replace(b"Kites", b"Kite\x00"))
    with pytest.raises(JournalError, match="its teams are lost; name them: --setup FILE"):
        recover(game)
    teams = tmp_path / "teams"
    teams.write_text(TEAMS, encoding="utf-8")
    assert recover(game, setup=teams) == 0
    with Journal.open(game.with_name("tuesday.game-recovered")) as journal:
        assert journal.setup == nameless
        assert len(journal.entries()) == 3


def long_game(folder: Path, setup: Setup) -> Path:
    """A game of many pages."""
    path = folder / "long.game"
    with Journal.create(path, setup) as journal:
        table = Table(setup, journal)
        table.say("start clock")
        for _ in range(40):
            table.wait(5)
            table.say("home two", "number five")
    return path


def test_no_cut_of_a_file_is_told_as_saved_whole(
    tmp_path: Path, nameless: Setup, capsys: pytest.CaptureFixture[str]
) -> None:
    """Its own head says how many pages it should have: file format, section 1.3.7."""
    game = long_game(tmp_path, nameless)
    whole = game.read_bytes()
    new = game.with_name("new.game")
    pages = len(whole) // 4_096
    # Its teams are on the second page.
    for end in range(8_192, len(whole), 6_144):
        game.write_bytes(whole[:end])
        assert recover(game, new) == 1
        told = capsys.readouterr()
        assert f"{game}: is cut short: it has {end // 4_096} of its {pages} pages" in told.err
        new.unlink()


def test_a_bad_bit_in_the_newest_entry_is_told(
    tmp_path: Path, nameless: Setup, capsys: pytest.CaptureFixture[str]
) -> None:
    game = long_game(tmp_path, nameless)
    whole = game.read_bytes()
    with Journal.open(game) as journal:
        entries = journal.entries()
        row = journal._database.execute("SELECT * FROM entry ORDER BY id DESC").fetchone()
    last, new = entries[-1].id, game.with_name("new.game")
    ends = whole.find(row[-2]) + 48
    head = 16  # the row's length and number, the types of its columns
    size = head + sum(len(str(column)) for column in row[1:7]) + 80
    for place in range(ends - size, ends, 11):
        game.write_bytes(flipped(whole, 8 * place + place % 8))
        status = recover(game, new)
        told = capsys.readouterr()
        with Journal.open(new) as journal:
            missing = {*range(1, last + 1)} - {entry.id for entry in journal.entries()}
        new.unlink()
        if missing:
            assert (status, missing) == (1, {last})
            assert (
                f"entry {last} is lost" in told.err or "what is left does not show it" in told.err
            )


def test_the_calls_of_a_game_that_is_gone_are_saved_from_its_log(
    tmp_path: Path, nameless: Setup, capsys: pytest.CaptureFixture[str]
) -> None:
    game = tmp_path / "x.game"
    crash(game, 9)
    game.unlink()
    with pytest.raises(JournalError, match="its teams are lost; name them: --setup FILE"):
        recover(game)
    teams = tmp_path / "teams"
    teams.write_text(TEAMS, encoding="utf-8")
    assert recover(game, setup=teams) == 1
    new = game.with_name("x.game-recovered")
    assert capsys.readouterr().out == f"{new}: 9 whole entries; the newest is number 9\n"
    with Journal.open(new) as journal:
        assert journal.setup == nameless
        assert set(journal.copies()) == {log_of(game), teams}


def test_entries_of_another_game_are_left_and_told_of(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    game, other = tmp_path / "x.game", tmp_path / "other.game"
    crash(game, 9)
    keep(other, 2).close()
    other.replace(game)
    assert recover(game) == 1
    told = capsys.readouterr()
    assert "2 whole entries; the newest is number 2" in told.out
    assert f"{game}: 9 entries of another game left out\n" in told.err
