"""`callout forget`: names are struck, and where they may still stand is said."""

from __future__ import annotations

from pathlib import Path

import pytest

from callout.edges.forget_command import forget
from callout.table.database import write_copy
from callout.table.journal import Journal
from callout.table.roster import Player
from callout.table.setup import Listed, Setup

SETUP = Setup("nfhs-2026", Listed("Kites", (Player("4", "Ada Moss"), Player("5"))), Listed("Foxes"))


def test_names_are_struck_and_copies_listed(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    game, copy = tmp_path / "x.game", tmp_path / "x.game-copy"
    gone, old = tmp_path / "stick" / "x.game-copy", tmp_path / "x.game-version-1"
    old.write_text("as it was")
    with Journal.create(game, SETUP) as journal:
        write_copy(journal.snapshot(), copy)
        journal.copied(copy)
        journal.copied(gone)
    assert forget(game) == 0
    told = capsys.readouterr().out.splitlines()
    assert told[0].startswith(f"{game}: 1 names struck")
    assert [line.partition(": ")[0] for line in told[1:]] == [str(copy), str(old), str(gone)]
    assert b"Ada" not in game.read_bytes()
    assert b"Ada" in copy.read_bytes()
    assert forget(copy) == 0
    assert b"Ada" not in copy.read_bytes()
