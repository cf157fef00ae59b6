"""Names are asked for once the league's time for them is over.

The days stand in the league's profile: common practice, no source.
"""

from __future__ import annotations

import io
import sys
from pathlib import Path

import pytest

from callout.commands.names_due import DAY_MS, names_due
from callout.commands.verify import verify
from callout.game.profile.file import load_profile
from callout.table.book.journal import Journal
from callout.table.setup.roster import Player
from callout.table.setup.setup import Listed, Setup
from tests.table.play import Table

NAME = b"Ada Moss"


@pytest.fixture
def game(tmp_path: Path) -> Path:
    """A game of one entry, with a name on a list."""
    path = tmp_path / "x.game"
    setup = Setup("nfhs-2026", Listed("Kites", (Player("4", "Ada Moss"),)), Listed("Foxes"))
    with Journal.create(path, setup) as journal:
        Table(setup, journal).say("start clock")
    return path


def last_ms(game: Path) -> int:
    with Journal.read(game) as journal:
        return journal.entries()[-1].at.wall_ms


def test_they_are_asked_for_after_the_days_of_the_profile(game: Path) -> None:
    days, asked = load_profile("nfhs-2026").roster.names_days, list[str]()

    def no(what: str) -> str:
        asked.append(what)
        return "no"

    end = last_ms(game) + days * DAY_MS
    assert not names_due(game, no, end)
    assert asked == []
    assert not names_due(game, no, end + 1)
    assert asked == [
        f"{game}: it holds 1 name, and the {days} days for which the league "
        "keeps names are over. Strike them for good? (yes, no)"
    ]
    assert NAME in game.read_bytes()
    assert names_due(game, lambda what: "yes", end + 1)
    assert NAME not in game.read_bytes()
    assert not names_due(game, no, end + 1)
    assert len(asked) == 1, "nothing is left to ask for"


def test_where_nobody_can_answer_it_is_only_told(
    game: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    # The game's time is that of a script, many years ago.
    assert verify(game) == 0
    assert f"are over. Strike them: callout forget {game}" in capsys.readouterr().err
    assert NAME in game.read_bytes()


class Stream(io.StringIO):
    """A terminal, or a file in its place."""

    def __init__(self, terminal: bool) -> None:
        super().__init__("no\n")
        self._terminal = terminal

    def isatty(self) -> bool:
        return self._terminal


@pytest.mark.parametrize("elsewhere", ["", "stdin", "stdout", "stderr"])
def test_a_pipe_is_never_kept_waiting(
    game: Path, monkeypatch: pytest.MonkeyPatch, elsewhere: str
) -> None:
    streams = {name: Stream(name != elsewhere) for name in ("stdin", "stdout", "stderr")}
    for name, stream in streams.items():
        monkeypatch.setattr(sys, name, stream)
    assert not names_due(game)
    asked = "Strike them for good?" in streams["stderr"].getvalue()
    assert asked is (elsewhere == "")
    assert ("Strike them: callout forget" in streams["stderr"].getvalue()) is not asked
    assert NAME in game.read_bytes()


def test_a_run_over_many_games_does_not_stop_for_an_answer(
    game: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    def never(what: str) -> str:
        raise AssertionError(what)

    assert not names_due(game, never, one_of_many=True)
    assert "Strike them: callout forget" in capsys.readouterr().err


def test_a_file_that_cannot_be_read_is_for_the_command_to_tell(tmp_path: Path) -> None:
    path = tmp_path / "x.game"
    assert not names_due(path)
    path.write_bytes(b"no game")
    assert not names_due(path)
