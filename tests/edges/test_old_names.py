"""A game of before names were looked at, shown without harm. Common practice, no source."""

from __future__ import annotations

import io
import json
import sys
from pathlib import Path

import pytest

from callout.commands.live import live
from callout.commands.replay import replay
from callout.commands.sheet import sheet
from callout.commands.verify import verify
from callout.edges.live.voice import Outlets
from callout.plain import unseen
from callout.table.book.journal import Journal
from callout.table.setup.roster import Player
from callout.table.setup.setup import Listed, Setup

HOSTILE = "\x1b]0;x\x07\x1b[2JKi\u202etes\x00[/b]{team}"
SHOWN = r"\x1b]0;x\x07\x1b[2JKi\u202etes\x00[/b]{team}"


@pytest.fixture
def game(tmp_path: Path) -> Path:
    """Such a game."""
    players = (Player("4", HOSTILE), Player("5", "\u2066"))
    home = Listed(HOSTILE, players, words=("\u200b[a|b]",))
    setup = Setup("nfhs-2026", home, Listed("Foxes\r"), source="\x9b31m")
    path = tmp_path / "old.game"
    Journal.create(path, setup).close()
    return path


def shown(capsys: pytest.CaptureFixture[str]) -> str:
    """What was printed, all of it fit to be."""
    printed = "".join(capsys.readouterr())
    assert list(unseen(printed.replace("\n", " "))) == []
    return printed


def test_it_is_printed_with_its_names_written_out(
    game: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert (verify(game), sheet([game]), replay([game])) == (0, 0, 0)
    assert shown(capsys).count(SHOWN[:22]) >= 5
    assert replay([game], as_json=True) == 0
    assert json.loads(shown(capsys))["ok"]


def test_it_is_taken_up_again(
    game: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(sys, "stdin", io.StringIO("start clock\nend period\nyes\n"))
    assert live(game, outlets=Outlets(voice="print", ears="both"), ear="off", keys="typed") == 0
    assert SHOWN in shown(capsys)
    book = game.with_name(f"{game.name}-book.txt").read_text(encoding="utf-8")
    assert list(unseen(book.replace("\n", " "))) == []
    assert SHOWN in book
