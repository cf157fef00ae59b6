"""`callout verify` and `callout sheet`, on files as they lie on the disk."""

from __future__ import annotations

from pathlib import Path

import pytest

from callout.edges.sheet_command import sheet
from callout.edges.verify_command import verify
from tests.table.test_journal import tamper


def test_a_sound_game_adds_up(game: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert verify(game) == 0
    told, none = capsys.readouterr()
    assert none == ""
    assert f"{game}: 3 entries, each as it was recorded; mark " in told
    assert told.endswith("Replayed: period 1, home 2, guest 0.\nThe book adds up.\n")


def test_the_sheet_and_the_file_have_the_same_mark(
    game: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    verify(game)
    mark = capsys.readouterr().out.partition("mark ")[2][:24]
    assert sheet(game, text=True) == 0
    assert capsys.readouterr().out.endswith(f"mark {mark}\n")


def test_a_changed_entry_is_named(game: Path, capsys: pytest.CaptureFixture[str]) -> None:
    tamper(game, "UPDATE entry SET fields = replace(fields, '5', '4') WHERE id = 2")
    assert verify(game) == 1
    told = capsys.readouterr()
    assert told.out == ""
    assert f"{game}: entry 2 is not as it was recorded" in told.err
