"""`callout recover`: a damaged file on the disk, and the new one beside it."""

from __future__ import annotations

from pathlib import Path

import pytest

from callout.edges.recover_command import recover
from callout.edges.verify_command import verify
from callout.errors import JournalError
from callout.table.journal import Journal
from callout.table.setup import Setup
from tests.table.test_journal import version_1

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
    assert "whether there were entries after number 3, what is left does not tell" in told.err
    assert game.read_bytes() == damaged
    assert verify(new) == 0
    with pytest.raises(JournalError, match="expected no file of that name, got one"):
        recover(game)


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
    assert "1 of these are of a version without hashes: compare them" in capsys.readouterr().err
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
