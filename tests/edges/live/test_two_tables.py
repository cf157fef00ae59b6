"""Two tables on one machine do not mix: two live processes at once, with the same user's folders,
the same stick, the same name of the game and the same port for their pages.
"""

from __future__ import annotations

import os
import socket
from pathlib import Path

import pytest

from callout.game.terms import Team
from callout.table.book.journal import Journal
from tests.faults.playing import SETUP, Live

FIRST = ("home two number five", "home three number four", "home foul number five")
SECOND = ("guest two number eight", "guest foul number eight", "guest three number eight")


def free_port() -> int:
    with socket.socket() as found:
        found.bind(("127.0.0.1", 0))
        return int(found.getsockname()[1])


def start(folder: Path, port: int) -> Live:
    """A table in a folder of its own, sharing all else."""
    folder.mkdir()
    setup = folder / "game.setup"
    setup.write_text(SETUP, encoding="utf-8")
    home = folder.parent
    shared = {f"XDG_{kind}_HOME": str(home / kind.lower()) for kind in ("CACHE", "STATE", "CONFIG")}
    options = ("--setup", str(setup), "--page", str(port), "--copy-to", str(home / "stick"))
    return Live(folder / "saturday.game", *options, environment={**os.environ, **shared})


@pytest.mark.thorough
def test_two_live_tables_keep_their_own_books(tmp_path: Path) -> None:
    (tmp_path / "stick").mkdir()
    port = free_port()
    tables = [start(tmp_path / name, port) for name in ("one", "two")]
    for live in tables:
        live.type("start clock\n")
    for calls in zip(FIRST, SECOND, strict=True):
        for live, call in zip(tables, calls, strict=True):
            live.type(f"{call}\n")
    for live in tables:
        live.type("end period\nyes\n")
        live.wait_for(6)
    # The game of the first table is locked against the second, which goes on with its own.
    other = Live(tmp_path / "one" / "saturday.game")
    assert other.end() != 0
    assert "another" in other.errors
    assert [live.end() for live in tables] == [0, 0]
    for live, said in zip(tables, (FIRST, SECOND), strict=True):
        assert [call for _, call, _ in live.answers[1:4]] == list(said)
        assert "could not be written" not in live.errors
        assert "no copy" not in live.errors
    assert sum("already in use" in live.errors for live in tables) == 1, "one of them was told"
    books = []
    for name in ("one", "two"):
        with Journal.open(tmp_path / name / "saturday.game") as journal:
            books.append(journal.entries())
    teams = [{getattr(entry.call, "team", None) for entry in book} - {None} for book in books]
    assert teams == [{Team.HOME}, {Team.GUEST}]
    copies = []
    for path in sorted((tmp_path / "stick").glob("*-copy")):
        with Journal.open(path) as journal:
            copies.append(journal.entries())
    assert sorted(copies, key=str) == sorted(books, key=str)
