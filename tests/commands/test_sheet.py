"""`callout sheet`, on files as they lie on the disk."""

from __future__ import annotations

import csv
import json
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

from callout.commands.sheet import run, sheet
from callout.errors import CalloutError, JournalError
from callout.game.calls import StopClock
from callout.game.fold import Entry
from callout.game.state import At
from callout.paper.export import TABLES
from callout.table.book.journal import Journal
from callout.table.setup.setup import Setup
from tests.table.book.test_journal import tamper


@pytest.fixture
def games(game: Path, tmp_path: Path) -> list[Path]:
    """Two games alike."""
    return [game, Path(shutil.copy(game, tmp_path / "wednesday.game"))]


def test_the_text_of_two_games_has_a_line_between(
    games: list[Path], capsys: pytest.CaptureFixture[str]
) -> None:
    sheet(games[:1])
    one = capsys.readouterr().out
    assert sheet(games) == 0
    assert capsys.readouterr() == (f"{one}\n{one}", f"{games[1]}: the same book as {games[0]}\n")


@pytest.mark.parametrize("form", ["text", "json"])
def test_of_several_books_a_damaged_one_is_told_and_the_others_are_printed(
    form: str, games: list[Path], tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    last = Path(shutil.copy(games[0], tmp_path / "thursday.game"))
    sheet([last], form)
    one = capsys.readouterr().out
    tamper(games[0], "UPDATE entry SET fields = replace(fields, '5', '4') WHERE id = 2")
    tamper(games[1], "UPDATE entry SET fields = replace(fields, '5', '4') WHERE id = 2")
    assert sheet([*games, last], form) == 2
    out, err = capsys.readouterr()
    assert out == one
    assert [line.partition(": entry 2 is not")[0] for line in err.splitlines()] == [
        f"callout: {game}" for game in games
    ]


def test_a_game_that_is_named_twice_is_told_before_it_is_summed_up_twice(
    games: list[Path], nameless: Setup, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    with Journal.open(games[1]) as journal:
        journal.append(Entry(len(journal.entries()) + 1, StopClock(), "key", At(4000, 9), ()))
    with Journal.create(tmp_path / "other.game", nameless):
        pass
    again = Path(shutil.copy(games[0], tmp_path / "again.game"))
    assert sheet([*games, tmp_path / "other.game", again], "csv", tmp_path / "tables") == 0
    assert capsys.readouterr().err.splitlines() == [
        f"{games[1]}: the same game, at another time, as {games[0]}",
        f"{again}: the same book as {games[0]}",
    ]


def test_json_is_a_line_a_game(games: list[Path], capsys: pytest.CaptureFixture[str]) -> None:
    assert sheet(games, "json") == 0
    told = [json.loads(line) for line in capsys.readouterr().out.splitlines()]
    assert [each["name"] for each in told] == ["tuesday", "wednesday"]
    assert [each["book"]["score"] for each in told] == [{"home": 2, "guest": 0}] * 2
    assert [entry["call"] for entry in told[0]["entries"]] == ["start_clock", "score", "foul"]


def test_the_tables_hold_both_games_and_take_the_place_of_older_ones(
    games: list[Path], tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    folder = tmp_path / "new" / "tables"
    for _ in range(2):
        assert sheet(games, "csv", folder) == 0
        assert capsys.readouterr().out.split() == [str(folder / f"{name}.csv") for name in TABLES]
    assert sorted(path.stem for path in folder.iterdir()) == sorted(TABLES)
    with (folder / "entries.csv").open(encoding="utf-8-sig", newline="") as file:
        rows = list(csv.DictReader(file))
    assert [row["game"] for row in rows] == ["tuesday"] * 3 + ["wednesday"] * 3


def test_a_damaged_game_is_left_out_of_the_tables_and_told(
    games: list[Path], tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    folder = tmp_path / "tables"
    tamper(games[1], "UPDATE entry SET fields = replace(fields, '5', '4') WHERE id = 2")
    assert sheet(games, "csv", folder) == 2
    out, err = capsys.readouterr()
    assert out.split() == [str(folder / f"{name}.csv") for name in TABLES]
    told, lack = err.splitlines()
    assert told.startswith(f"callout: {games[1]}: entry 2 is not as it was recorded")
    assert lack == f"callout: these tables lack {games[1]}"
    with (folder / "entries.csv").open(encoding="utf-8-sig", newline="") as file:
        assert [row["game"] for row in csv.DictReader(file)] == ["tuesday"] * 3


def test_older_tables_stay_where_no_game_can_be_read(
    games: list[Path], tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    folder = tmp_path / "tables"
    sheet(games, "csv", folder)
    before = {path.name: path.read_bytes() for path in folder.iterdir()}
    capsys.readouterr()
    for game in games:
        tamper(game, "UPDATE entry SET fields = replace(fields, '5', '4') WHERE id = 2")
    assert sheet(games, "csv", folder) == 2
    out, err = capsys.readouterr()
    assert out == ""
    assert err.endswith("callout: no game can be read, so no table is written\n")
    with pytest.raises(JournalError, match="entry 2 is not as it was recorded"):
        sheet(games[:1], "csv", folder)
    assert {path.name: path.read_bytes() for path in folder.iterdir()} == before


def test_two_games_of_one_name_would_be_one_in_the_tables(game: Path, tmp_path: Path) -> None:
    (tmp_path / "other").mkdir()
    other = Path(shutil.copy(game, tmp_path / "other"))
    with pytest.raises(CalloutError, match="tuesday: expected games of different names"):
        sheet([game, other], "csv", tmp_path / "tables")


def test_a_folder_that_cannot_be_had_is_one_line(game: Path, tmp_path: Path) -> None:
    (tmp_path / "tables").write_text("", encoding="utf-8")
    with pytest.raises(CalloutError, match=r"tables.players\.csv: cannot be written: "):
        sheet([game], "csv", tmp_path / "tables")


KEEP = """
import sys
from pathlib import Path
from callout.game import calls
from callout.game.fold import Entry
from callout.game.state import At
from callout.table.book.journal import Journal
with Journal.open(Path(sys.argv[1])) as journal:
    number = len(journal.entries())
    print("kept", flush=True)
    while number < 2_000:
        number += 1
        journal.append(Entry(number, calls.Undo(), "voice", At(0, number), ()))
    sys.stdin.read()
"""
"""A table that books without a pause, and keeps the game until it is killed."""


@pytest.mark.thorough
def test_a_game_in_play_may_be_printed(game: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """At half-time, for a coach. However a read falls, it shows what was booked so far."""
    with subprocess.Popen(
        [sys.executable, "-c", KEEP, str(game)],
        stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True,
    ) as table:  # fmt: skip
        assert table.stdout is not None
        assert table.stdout.readline() == "kept\n"
        before = sorted(path.name for path in game.parent.iterdir())
        counts = []
        for _ in range(30):
            assert sheet([game]) == 0
            out, err = capsys.readouterr()
            assert err == f"{game}: in play, open in another program: the book as it stands now\n"
            assert "Harbour Kites 2, Quarry Foxes 0" in out
            counts.append(int(out.splitlines()[-1].split()[0]))
        assert sorted(path.name for path in game.parent.iterdir()) == before
        table.kill()
    assert counts == sorted(counts)
    assert counts[-1] > 3
    sheet([game])
    assert int(capsys.readouterr().out.splitlines()[-1].split()[0]) >= counts[-1]


def test_the_schema_is_printed(capsys: pytest.CaptureFixture[str]) -> None:
    assert run([], text=False, folder=None, as_json=False, schema=True) == 0
    assert json.loads(capsys.readouterr().out)["properties"]["format"] == {"const": "callout-game"}
