"""`callout box`, on files as they lie on the disk."""

from __future__ import annotations

import shutil
import subprocess
import sys
from pathlib import Path

import pytest

from callout.commands.box import box
from callout.errors import CalloutError, JournalError
from callout.table.book.journal import Journal
from callout.table.setup.roster import Player
from callout.table.setup.setup import Listed, Setup
from tests.commands.test_sheet import KEEP
from tests.paper.printed import rows
from tests.table.book.test_journal import tamper


def test_without_a_form_it_prints_tables(game: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert box([game], pdf=False, png=False, paper="a4", to=None) == 0
    printed = capsys.readouterr().out
    assert printed.startswith("Harbour Kites 2, Quarry Foxes 0\n")
    assert "period 1" in printed.splitlines()[1], "the game is not over"
    assert "Score by period" in printed
    assert sorted(path.name for path in game.parent.iterdir()) == [game.name]


def test_of_several_games_each_table_says_whose_it_is(
    game: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    other = Path(shutil.copy(game, tmp_path / "wednesday.game"))
    assert box([game, other], pdf=False, png=False, paper="a4", to=None) == 0
    lines = capsys.readouterr().out.splitlines()
    assert [
        lines[at + 1] for at, line in enumerate(lines) if line in (f"{game}:", f"{other}:")
    ] == ["Harbour Kites 2, Quarry Foxes 0"] * 2


def test_pages_are_written_beside_the_games_and_only_their_owner_may_read_them(
    game: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    other = Path(shutil.copy(game, tmp_path / "wednesday.game"))
    for _ in range(2):
        assert box([game, other], pdf=True, png=True, paper="letter", to=None) == 0
    made = [Path(f"{path}-box.{form}") for path in (game, other) for form in ("pdf", "png")]
    assert capsys.readouterr().out.split() == [str(path) for path in made] * 2
    assert "Harbour Kites 2 – 0 Quarry Foxes" in [
        " ".join(row) for row in rows(made[0].read_bytes())
    ]
    assert made[1].read_bytes().startswith(b"\x89PNG")
    assert {path.stat().st_mode & 0o777 for path in made} == {0o600}


def test_another_folder_may_be_named(game: Path, tmp_path: Path) -> None:
    box([game], pdf=True, png=False, paper="a4", to=tmp_path / "new")
    assert [path.name for path in (tmp_path / "new").iterdir()] == [f"{game.name}-box.pdf"]


def test_forget_lists_the_page_beside_the_game(
    game: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """A page may hold names."""
    from callout.commands.forget import forget

    box([game], pdf=True, png=False, paper="a4", to=None)
    forget(game)
    assert f"{game}-box.pdf: may still hold them" in capsys.readouterr().out


@pytest.mark.thorough
def test_a_game_in_play_may_be_drawn(game: Path, capsys: pytest.CaptureFixture[str]) -> None:
    with subprocess.Popen(
        [sys.executable, "-c", KEEP, str(game)],
        stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True,
    ) as table:  # fmt: skip
        assert table.stdout is not None
        assert table.stdout.readline() == "kept\n"
        assert box([game], pdf=True, png=False, paper="a4", to=None) == 0
        table.kill()
    assert "in play" in capsys.readouterr().err
    printed = " ".join(" ".join(row) for row in rows(Path(f"{game}-box.pdf").read_bytes()))
    assert "Not over: period 1" in printed


def test_an_unknown_paper_is_one_line(game: Path) -> None:
    with pytest.raises(CalloutError, match="--paper: expected a4 or letter, got 'a5'"):
        box([game], pdf=True, png=False, paper="a5", to=None)


def test_nothing_is_written_of_a_damaged_game(game: Path) -> None:
    tamper(game, "UPDATE entry SET fields = replace(fields, '5', '4') WHERE id = 2")
    with pytest.raises(JournalError, match="entry 2 is not as it was recorded"):
        box([game], pdf=True, png=False, paper="a4", to=None)
    assert not Path(f"{game}-box.pdf").exists()


def test_of_several_games_a_damaged_one_is_told_and_the_others_are_drawn(
    game: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    other = Path(shutil.copy(game, tmp_path / "wednesday.game"))
    tamper(game, "UPDATE entry SET fields = replace(fields, '5', '4') WHERE id = 2")
    assert box([game, other], pdf=True, png=False, paper="a4", to=None) == 2
    out, err = capsys.readouterr()
    assert out == f"{other}-box.pdf\n"
    assert err.startswith(f"callout: {game}: ")
    assert len(err.splitlines()) == 1


def test_two_games_never_write_one_file(game: Path, tmp_path: Path) -> None:
    (tmp_path / "other").mkdir()
    other = Path(shutil.copy(game, tmp_path / "other"))
    with pytest.raises(CalloutError, match="expected one game for this file, got two"):
        box([game, other], pdf=True, png=False, paper="a4", to=tmp_path / "new")
    assert not (tmp_path / "new").exists()


def test_a_folder_that_cannot_be_written_is_one_line(game: Path, tmp_path: Path) -> None:
    blocked = tmp_path / "file"
    blocked.write_text("", encoding="utf-8")
    with pytest.raises(CalloutError, match=r"-box\.pdf: cannot be written: "):
        box([game], pdf=True, png=False, paper="a4", to=blocked)


def test_without_typst_it_says_what_to_install_and_writes_nothing(
    game: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setitem(sys.modules, "typst", None)
    with pytest.raises(CalloutError, match=r"pip install 'callout\[paper\]'"):
        box([game], pdf=True, png=False, paper="a4", to=None)
    assert sorted(path.name for path in game.parent.iterdir()) == [game.name]


def test_the_file_that_holds_names_is_named_in_full(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "saturday.game"
    kites = Listed("Harbour Kites", (Player("4", "Ada Moss"),))
    with Journal.create(path, Setup("nfhs-2026", kites, Listed("Quarry Foxes"))):
        pass
    assert box([path], pdf=True, png=False, paper="a4", to=None) == 0
    assert capsys.readouterr().err.startswith("saturday.game: it holds 1 name, which may be")


def test_a_script_no_font_has_is_told(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """U+13000 is an Egyptian hieroglyph."""
    path = tmp_path / "nile.game"
    setup = Setup("nfhs-2026", Listed("Harbour \U00013000"), Listed("Quarry Foxes"))
    with Journal.create(path, setup):
        pass
    box([path], pdf=True, png=False, paper="a4", to=None)
    assert "no font on this machine has" in capsys.readouterr().err
