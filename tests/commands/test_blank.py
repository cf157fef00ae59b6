"""`callout blank`: a sheet that can be kept by pen, empty or from what was booked so far."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest

from callout.commands.blank import blank
from callout.errors import CalloutError, JournalError
from callout.game.profile.file import profile_names
from callout.table.book.journal import Journal
from callout.table.setup.setup import Setup
from tests.commands.test_sheet import KEEP
from tests.paper.printed import rows
from tests.quick import thorough_but
from tests.table.book.test_journal import tamper
from tests.table.play import Table


def printed(path: Path) -> list[str]:
    return [" ".join(row) for row in rows(path.read_bytes())]


def made(what: str, folder: Path) -> list[str]:
    """The rows of the one PDF that the command writes into a folder."""
    assert blank(what, pdf=False, png=False, paper="a4", to=folder) == 0
    (path,) = folder.iterdir()
    return printed(path)


@pytest.mark.parametrize("league", thorough_but(profile_names(), {"fiba-2024"}))
def test_the_sheet_of_a_league_has_its_boxes_and_no_figure(league: str, tmp_path: Path) -> None:
    text = made(league, tmp_path)
    assert "To be kept by hand." in text
    assert "SCORE SHEET" in " ".join(text)
    # No sum is printed, not even a nought: only the counted boxes from 1 on have figures.
    assert not [row for row in text if "0" in row.split() or "0/0" in row]
    assert not [row for row in text if row.startswith("Points: ")]


def test_that_of_a_setup_file_has_the_lists(tmp_path: Path) -> None:
    setup = tmp_path / "saturday.setup"
    setup.write_text(
        "profile: nfhs-2026\nhome: Harbour Kites | 4 Ada Moss, 5 Bo Reed,\n"
        "guest: Quarry Foxes | 3\n",
        encoding="utf-8",
    )
    (tmp_path / "new").mkdir()
    text = made(str(setup), tmp_path / "new")
    assert [path.name for path in (tmp_path / "new").iterdir()] == ["saturday.setup-blank.pdf"]
    assert "4 Ada Moss" in text
    assert "5 Bo Reed" in text
    assert "3" in text
    assert any("Harbour Kites – Quarry Foxes" in row for row in text)


@pytest.mark.thorough
def test_that_of_a_game_has_what_was_booked_and_leaves_the_sums(
    nameless: Setup, tmp_path: Path
) -> None:
    """Counted by hand: home 2 + 3 + 1 = 6, guest 2; a foul of guest's 14; a time-out of home."""
    path = tmp_path / "tuesday.game"
    with Journal.create(path, nameless) as journal:
        Table(nameless, journal).say(
            "start clock", "home two number five", "home three number four",
            "guest two number eight", "guest foul fourteen", "shooting two",
            "shot good number five", "home timeout",
        )  # fmt: skip
    assert blank(str(path), pdf=True, png=True, paper="letter", to=None) == 0
    text = printed(Path(f"{path}-blank.pdf"))
    banner = next(row for row in text if row.startswith("To go on by hand: "))
    assert "score 6 – 2" in banner
    assert Path(f"{path}-blank.png").is_file()
    assert any("So far: players 6 " in row and row.endswith("= 6") for row in text)
    assert not [row for row in text if row.split()[:1] == ["Total"] and len(row.split()) > 1]


@pytest.mark.thorough
def test_a_game_in_play_can_go_on_by_hand(game: Path, capsys: pytest.CaptureFixture[str]) -> None:
    with subprocess.Popen(
        [sys.executable, "-c", KEEP, str(game)],
        stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True,
    ) as table:  # fmt: skip
        assert table.stdout is not None
        assert table.stdout.readline() == "kept\n"
        assert blank(str(game), pdf=True, png=False, paper="a4", to=None) == 0
        table.kill()
    assert "in play" in capsys.readouterr().err
    assert any("score 2 – 0" in row for row in printed(Path(f"{game}-blank.pdf")))


def test_a_game_that_is_over_has_its_own_sheet(nameless: Setup, tmp_path: Path) -> None:
    path = tmp_path / "tuesday.game"
    with Journal.create(path, nameless) as journal:
        Table(nameless, journal).say("start clock", "end game", "yes")
    with pytest.raises(CalloutError, match="the game is over; callout sheet prints it"):
        blank(str(path), pdf=True, png=False, paper="a4", to=None)


def test_a_damaged_game_is_one_line_and_nothing_is_written(game: Path) -> None:
    tamper(game, "UPDATE entry SET fields = replace(fields, '5', '4') WHERE id = 2")
    with pytest.raises(JournalError, match="entry 2 is not as it was recorded"):
        blank(str(game), pdf=True, png=False, paper="a4", to=None)
    assert not Path(f"{game}-blank.pdf").exists()


def test_what_is_nothing_of_these_is_one_line(tmp_path: Path) -> None:
    with pytest.raises(CalloutError, match=r"such as .*'nfhs-2026'.*, got 'nfhs2026'"):
        blank("nfhs2026", pdf=True, png=False, paper="a4", to=tmp_path)
    assert list(tmp_path.iterdir()) == []
