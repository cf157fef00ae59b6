"""`callout sheet --pdf` and `--png`, on files as they lie on the disk."""

from __future__ import annotations

import shutil
import subprocess
import sys
from pathlib import Path

import pytest

from callout.commands.forget import forget
from callout.commands.replay import replay
from callout.commands.sheet import run, wanted
from callout.errors import CalloutError, JournalError
from callout.table.book.journal import Journal
from callout.table.setup.roster import Player
from callout.table.setup.setup import Listed, Setup
from tests.commands.test_sheet import KEEP
from tests.paper.drawn_sheet import text_of
from tests.table.book.test_journal import tamper

DEMO = Path(__file__).parents[1] / "games" / "demo.game"


def print_(
    *games: Path, pdf: bool = True, png: bool = False, form: str = "league",
    unfinished: bool = True, to: Path | None = None,
) -> int:  # fmt: skip
    return run(games, printing=wanted(pdf, png, "a4", form, unfinished, to))


def beside(game: Path) -> list[str]:
    return sorted(path.name for path in game.parent.iterdir())


@pytest.fixture
def finished(tmp_path: Path) -> Path:
    """The demo's game, which is over."""
    path = tmp_path / "demo.game"
    assert replay([DEMO], keep=path) == 0
    return path


def test_a_game_that_is_over_is_printed_and_only_its_owner_may_read_it(
    finished: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    capsys.readouterr()
    assert print_(finished, png=True, unfinished=False) == 0
    told = [Path(line) for line in capsys.readouterr().out.splitlines()]
    assert told[0] == Path(f"{finished}-sheet.pdf")
    assert "Final, page 1" in text_of(told[0].read_bytes())
    assert [path.read_bytes()[:4] for path in told[1:]] == [b"\x89PNG"] * (len(told) - 1)
    assert {path.stat().st_mode & 0o777 for path in told} == {0o600}
    forget(finished)
    assert f"{told[0]}: may still hold them" in capsys.readouterr().out


@pytest.mark.thorough
def test_the_same_game_is_printed_to_the_same_bytes(finished: Path) -> None:
    pages = []
    for _ in range(2):
        print_(finished)
        pages.append(Path(f"{finished}-sheet.pdf").read_bytes())
    assert pages[0] == pages[1]


def test_a_game_that_is_not_over_is_printed_only_if_that_is_said(game: Path) -> None:
    with pytest.raises(CalloutError, match="the game is not over: add --open to print the sheet"):
        print_(game, unfinished=False)
    assert beside(game) == [game.name]
    assert print_(game) == 0
    assert "OPEN: the game is not over" in text_of(Path(f"{game}-sheet.pdf").read_bytes())


@pytest.mark.thorough
def test_a_game_in_play_may_be_printed(game: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """At half-time, for a coach; nothing of the table's own files is touched."""
    with subprocess.Popen(
        [sys.executable, "-c", KEEP, str(game)],
        stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True,
    ) as table:  # fmt: skip
        assert table.stdout is not None
        assert table.stdout.readline() == "kept\n"
        before = beside(game)
        assert print_(game) == 0
        told = capsys.readouterr().err
        assert told == f"{game}: in play, open in another program: the book as it stands now\n"
        assert beside(game) == sorted([*before, f"{game.name}-sheet.pdf"])
        table.kill()


@pytest.mark.parametrize(("form", "words"), [("fiba", "SCORE SHEET"), ("american", "Throws")])
def test_the_form_may_be_another_than_the_league_s(game: Path, form: str, words: str) -> None:
    print_(game, form=form)
    assert words in text_of(Path(f"{game}-sheet.pdf").read_bytes())


def test_a_damaged_game_is_told_and_nothing_is_written(game: Path) -> None:
    tamper(game, "UPDATE entry SET fields = replace(fields, '5', '4') WHERE id = 2")
    with pytest.raises(JournalError, match="entry 2 is not as it was recorded"):
        print_(game)
    assert beside(game) == [game.name]


def test_a_damaged_game_of_a_season_does_not_stop_the_others(
    game: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    bad, last = (Path(shutil.copy(game, tmp_path / f"{name}.game")) for name in ("bad", "last"))
    tamper(bad, "UPDATE entry SET fields = replace(fields, '5', '4') WHERE id = 2")
    assert print_(game, bad, tmp_path / "none.game", last) == 2
    out, err = capsys.readouterr()
    assert out.split() == [f"{game}-sheet.pdf", f"{last}-sheet.pdf"]
    *told, twice = err.splitlines()
    assert [line.partition(": ")[0] for line in told] == ["callout"] * 2
    assert twice == f"{last}: the same book as {game}"
    assert "bad.game" in err.splitlines()[0]


def test_without_typst_nothing_is_written(game: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(sys.modules, "typst", None)
    other = Path(shutil.copy(game, game.with_name("last.game")))
    for games in ((game,), (game, other)):  # It is told once, not for each game.
        with pytest.raises(CalloutError, match=r"pip install 'callout\[paper\]'"):
            print_(*games)
    assert beside(game) == ["last.game", game.name]


def test_a_folder_that_cannot_be_written_is_one_line(game: Path, tmp_path: Path) -> None:
    (tmp_path / "sheets").write_text("", encoding="utf-8")
    with pytest.raises(CalloutError, match=r"sheets.tuesday\.game-sheet\.pdf: cannot be written"):
        print_(game, to=tmp_path / "sheets")


def test_two_games_of_one_name_would_be_one_file(game: Path, tmp_path: Path) -> None:
    (tmp_path / "other").mkdir()
    other = Path(shutil.copy(game, tmp_path / "other"))
    with pytest.raises(CalloutError, match="expected one game for this file, got two"):
        print_(game, other, to=tmp_path / "sheets")
    assert print_(game, other) == 0


def test_an_older_picture_s_further_pages_are_removed(game: Path) -> None:
    """They would be taken for pages of the new one."""
    old = [game.with_name(f"{game.name}-sheet-{nth}.png") for nth in (2, 3)]
    apart = game.with_name(f"{game.name}-sheet-5.png")
    for path in (*old, apart):
        path.write_bytes(b"old")
    print_(game, pdf=False, png=True)
    assert not any(path.is_file() and path.read_bytes() == b"old" for path in old)
    assert apart.read_bytes() == b"old"


def test_names_with_markup_are_printed_as_they_are(tmp_path: Path) -> None:
    names = ("*Ada* #Moss", "_Bo_ $Reed$", "\\Cleo @x")
    players = tuple(Player(str(number), name) for number, name in enumerate(names, start=4))
    kites = Listed("#pagebreak() $x$ \\Kites", players)
    path = tmp_path / "new.game"
    Journal.create(path, Setup("fiba-2024", kites, Listed("Quarry Foxes"))).close()
    print_(path)
    text = text_of(Path(f"{path}-sheet.pdf").read_bytes())
    for name in (kites.name, *names):
        assert name in text
    assert text.count("\f") == 1
