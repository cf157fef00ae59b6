"""`callout verify` and `callout sheet`, on files as they lie on the disk."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
import tempfile
from pathlib import Path

import pytest

from callout.commands.replay import replay
from callout.commands.sheet import sheet
from callout.commands.verify import verify, verify_all
from callout.errors import CalloutError, JournalError
from callout.game.events import PeriodEnded
from callout.table.book.journal import Journal
from callout.table.setup.setup import Listed, Setup
from tests.table.book.test_journal import tamper
from tests.table.play import Table


def test_a_sound_game_adds_up(game: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert verify(game) == 0
    told, none = capsys.readouterr()
    assert none == ""
    assert f"{game}: 3 entries, each as it was recorded; mark " in told
    assert told.endswith("Replayed: period 1, home 2, guest 0.\nThe book adds up.\n")


def test_of_a_saturday_s_games_the_last_line_names_those_not_in_order(
    game: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    copy = Path(shutil.copy(game, tmp_path / "copy.game"))
    bad = Path(shutil.copy(game, tmp_path / "bad.game"))
    tamper(bad, "UPDATE entry SET fields = replace(fields, '5', '4') WHERE id = 2")
    none = tmp_path / "none.game"
    assert verify_all([game, copy]) == 0
    told = capsys.readouterr()
    assert told.out.endswith("\n2 files, 2 in order\n")
    assert told.err == f"{copy}: the same book as {game}\n"
    assert verify_all([bad, none, game]) == 1
    told = capsys.readouterr()
    assert told.out.endswith(f"\n3 files, 1 in order; not in order: {bad}, {none}\n")
    assert "none.game: there is no such file" in told.err
    with pytest.raises(CalloutError, match="--at: expected one game, got 2"):
        verify_all([game, copy], at=1)


def test_a_file_that_is_named_twice_is_one_file(
    game: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    copy, link = Path(shutil.copy(game, tmp_path / "copy.game")), tmp_path / "link.game"
    link.symlink_to(game)
    assert verify_all([game, copy, link, game]) == 0
    told = capsys.readouterr()
    assert told.out.endswith("\n2 files, 2 in order\n")
    assert told.out.index(f"{game}: 3 entries") < told.out.index(f"{copy}: 3 entries")
    assert told.err == f"{copy}: the same book as {game}\n"
    assert verify_all([game, game], at=2) == 0
    assert "2 entries, mark " in capsys.readouterr().out


def test_the_sheet_and_the_file_have_the_same_mark(
    game: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    verify(game)
    mark = capsys.readouterr().out.partition("mark ")[2][:24]
    assert sheet([game]) == 0
    assert capsys.readouterr().out.endswith(f"mark {mark}\n")


def test_a_changed_entry_is_named(game: Path, capsys: pytest.CaptureFixture[str]) -> None:
    tamper(game, "UPDATE entry SET fields = replace(fields, '5', '4') WHERE id = 2")
    assert verify(game) == 1
    told = capsys.readouterr()
    assert told.out == ""
    assert f"{game}: entry 2 is not as it was recorded" in told.err


@pytest.fixture
def two_periods(tmp_path: Path, nameless: Setup) -> Path:
    """A game of two periods."""
    path = tmp_path / "two.game"
    with Journal.create(path, nameless) as journal:
        table = Table(nameless, journal)
        table.say("start clock", "home two number five", "end period", "yes")
        # The interval is not over: it asks.
        table.say("start clock", "yes", "home two number five", "end period", "yes")
    return path


def test_the_mark_of_each_period_s_end_is_listed(
    two_periods: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """So that a sheet which was printed then can be held against the finished file."""
    with Journal.open(two_periods) as journal:
        entries = journal.entries()
        ends = [n for n, entry in enumerate(entries, 1)
                if any(isinstance(event, PeriodEnded) for event in entry.events)]  # fmt: skip
        marks = [journal.mark_after(count) for count in ends]
    assert len(ends) == 2
    assert verify(two_periods) == 0
    told = capsys.readouterr().out.splitlines()
    assert told[1:3] == [
        f"  {count} entries, mark {mark}: end of period {nth}"
        for nth, (count, mark) in enumerate(zip(ends, marks, strict=True), start=1)
    ]
    assert told[3].startswith("Entries cut off its end do not show here: ")


def test_the_mark_of_any_moment_can_be_asked_for(
    two_periods: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """The sheet of a copy that was made early has the mark that `--at` gives of the later file."""
    with Journal.open(two_periods) as journal:
        early = journal.entries()[:2]
        copy = two_periods.with_name("early.game")
        with Journal.create(copy, journal.setup, journal._game) as other:
            for entry in early:
                other.append(entry)
    sheet([copy])
    mark = capsys.readouterr().out.rpartition("2 entries, 0 taken back, mark ")[2].strip()
    assert verify(two_periods, at=2) == 0
    assert f"  2 entries, mark {mark}: --at 2\n" in capsys.readouterr().out
    with pytest.raises(JournalError, match="expected an entry number 99, got none"):
        verify(two_periods, at=99)


def test_entries_cut_off_its_end_show_where_what_was_said_of_them_is_left(
    game: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    tamper(game, "DELETE FROM entry WHERE id = 3")
    assert verify(game) == 1
    assert f"{game}: entry 3 is missing\n" in capsys.readouterr().err


def test_a_doubt_is_told_by_every_command_that_reads(
    game: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (game.parent / "far").mkdir()
    os.link(game, game.parent / "far" / "x.game")
    assert verify(game) == 1
    sheet([game])
    replay([game])
    told = capsys.readouterr().err.splitlines()
    assert len(told) == 3
    assert all(line.startswith(f"{game}: has another name, too") for line in told)


def test_a_game_of_which_only_the_log_is_left_is_told_of(
    game: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    game.rename(f"{game}-wal")
    assert verify(game) == 1
    assert "the game's file is gone, but its log is there" in capsys.readouterr().err
    advice = f"save its calls: callout recover {game}"
    with pytest.raises(JournalError, match=advice):
        sheet([game])
    with pytest.raises(JournalError, match=advice):
        replay([game])


@pytest.mark.skipif(os.geteuid() != 0, reason="only root may become nobody")
def test_a_game_that_may_only_be_read_is_read() -> None:
    """By another user, in a folder in which nothing can be made: as on a protected stick."""
    with tempfile.TemporaryDirectory() as made:
        folder = Path(made)
        folder.chmod(0o755)
        path = folder / "x.game"
        Journal.create(path, Setup("nfhs-2026", Listed("Kites"), Listed("Foxes"))).close()
        path.chmod(0o644)
        before = path.read_bytes()
        code = """if True:
            import os, sys
            from pathlib import Path
            from callout.commands.replay import replay
            from callout.commands.sheet import sheet
            from callout.commands.verify import verify
            game = Path(sys.argv[1])
            for user in (0, 65534):  # Python loads as root what nobody may not load.
                os.setuid(user)
                status = verify(game) or sheet([game]) or replay([game])
            sys.exit(status)
        """
        command = [sys.executable, "-c", code, str(path)]
        done = subprocess.run(command, capture_output=True, text=True, check=False)
        assert (done.returncode, done.stderr) == (0, "")
        assert "0 entries, each as it was recorded" in done.stdout
        assert path.read_bytes() == before
        assert [each.name for each in folder.iterdir()] == ["x.game"]
