"""`callout forget`: names are struck, and where they may still stand is said."""

from __future__ import annotations

from pathlib import Path

import pytest

from callout.commands.forget import forget
from callout.commands.recover import recover
from callout.commands.replay import replay
from callout.table.book.backup import write_copy
from callout.table.book.journal import Journal
from callout.table.setup.roster import Player
from callout.table.setup.setup import Listed, Setup
from tests.table.play import Table

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
    assert told[0].startswith(f"{game}: 1 name struck")
    assert [line.partition(": ")[0] for line in told[1:-1]] == [str(copy), str(old), str(gone)]
    assert told[-1].startswith("Not known here: ")
    assert b"Ada" not in game.read_bytes()
    assert b"Ada" in copy.read_bytes()
    assert forget(copy) == 0
    assert b"Ada" not in copy.read_bytes()


SHORT = Setup(
    "nfhs-2026",
    Listed("Kites", tuple(Player(n, name) for n, name in (("4", "A"), ("5", "Li"), ("6", "Bo")))),
    Listed("Foxes", (Player("7", "J"),)),
)


def test_short_names_are_forgotten_whatever_bytes_the_hashes_have(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    game = tmp_path / "x.game"
    with Journal.create(game, SHORT) as journal:
        table = Table(SHORT, journal)
        table.say("start clock")
        for _ in range(60):
            table.wait(1)
            table.say("home two number five", "guest two number seven")
        before = journal.mark
    assert forget(game) == 0
    assert f"{game}: 4 names struck" in capsys.readouterr().out
    with Journal.open(game) as journal:
        assert [p.name for p in journal.setup.home.players] == ["", "", ""]
        assert journal.mark == before
    assert forget(game) == 0
    assert f"{game}: 0 names struck" in capsys.readouterr().out


def test_every_file_that_can_be_known_is_listed(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    game, stick = tmp_path / "x.game", tmp_path / "stick"
    stick.mkdir()
    setup, listed = tmp_path / "x.setup", tmp_path / "home.csv"
    with Journal.create(game, SETUP) as journal:
        for path in (setup, listed, stick / "x.game-copy", stick / "x.game-book.txt"):
            journal.copied(path)
    beside = ["x.game-recovered", "x.game-copy.part", "x.game-book.txt", "x.game.new",
              "x.game-wal-kept"]  # fmt: skip
    held = [*(tmp_path / name for name in beside), setup, listed, stick / "x.game-copy.part"]
    for path in (*held, tmp_path / "x.game-replies.wav", tmp_path / "other.game"):
        path.write_text("Ada Moss")
    assert forget(game) == 0
    told = capsys.readouterr().out.splitlines()
    listed_now = {line.partition(": may still")[0] for line in told if ": may still" in line}
    assert listed_now == {str(path) for path in held}
    gone = {line.partition(": may have")[0] for line in told if ": may have" in line}
    assert gone == {str(stick / "x.game-copy"), str(stick / "x.game-book.txt")}
    assert told[-1].startswith("Not known here: ")


def test_a_game_made_from_another_file_knows_that_file(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    game, script, kept = tmp_path / "x.game", tmp_path / "x.script", tmp_path / "kept.game"
    Journal.create(game, SETUP).close()
    recover(game, tmp_path / "elsewhere.game")
    script.write_text(
        "profile: nfhs-2026\nhome: Kites | 4 Ada Moss, 5\nguest: Foxes |\n\n8:00 undo that\n"
    )
    replay([script], keep=kept)
    capsys.readouterr()
    for made, source in ((tmp_path / "elsewhere.game", game), (kept, script)):
        forget(made)
        assert f"{source}: may still hold them" in capsys.readouterr().out
