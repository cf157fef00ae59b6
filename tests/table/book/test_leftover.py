"""What a crash leaves beside a game: taken up where it is whole and this game's, else refused.

The crash is a real one: another process keeps the game and is ended by SIGKILL. Source of what
SQLite would do: its "Write-Ahead Logging", section 4, and "How To Corrupt An SQLite Database File",
section 1.4, "Unlinking or renaming a database file while in use" and mispaired logs.
"""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest

from callout.errors import JournalError
from callout.game import calls
from callout.game.fold import Entry
from callout.game.state import At
from callout.table.book.backup import write_copy
from callout.table.book.journal import Journal
from callout.table.book.leftover import in_use, kept_logs, log_of
from callout.table.book.recovery import salvage, write_salvage
from callout.table.setup.setup import Listed, Setup
from tests.table.book.test_write_ahead_log import flipped

SETUP = Setup("nfhs-2026", Listed("Harbour Kites"), Listed("Quarry Foxes"))
OTHER = replace(SETUP, home=Listed("Tidal Herons"))
KEEP = """if True:
    import os, sys
    from pathlib import Path
    from tests.table.book.test_leftover import keep
    keep(Path(sys.argv[1]), int(sys.argv[2]))
    os.kill(os.getpid(), 9)
"""


def keep(path: Path, count: int, setup: Setup = SETUP) -> Journal:
    """So many entries more in a game; it is left open."""
    journal = Journal.open(path) if path.exists() else Journal.create(path, setup)
    first = len(journal.entries()) + 1
    for number in range(first, first + count):
        journal.append(Entry(number, calls.Undo(), "voice", At(0, number), ()))
    return journal


def crash(path: Path, count: int) -> None:
    """The same by a program that is then killed."""
    done = subprocess.run([sys.executable, "-c", KEEP, str(path), str(count)], check=False)
    assert done.returncode == -9


def spoil(path: Path, part: float) -> None:
    """One bit turned over at that part of a file's length."""
    raw = path.read_bytes()
    path.write_bytes(flipped(raw, 8 * int(part * len(raw)) + 3))


def files(folder: Path) -> dict[str, bytes]:
    return {each.name: each.read_bytes() for each in folder.iterdir()}


@pytest.fixture(scope="module")
def crashed(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The folder of a game of 12 entries whose program was killed; the file itself has 4."""
    path = tmp_path_factory.mktemp("crashed") / "x.game"
    keep(path, 4).close()
    crash(path, 8)
    assert log_of(path).stat().st_size > 8 * 4_096
    return path.parent


@pytest.fixture
def path(crashed: Path, tmp_path: Path) -> Path:
    """That game, for one test to spoil."""
    shutil.copytree(crashed, tmp_path, dirs_exist_ok=True)
    return tmp_path / "x.game"


def numbers(path: Path) -> list[int]:
    with Journal.open(path) as journal:
        assert journal.doubt == ""
        return [entry.id for entry in journal.entries()]


@pytest.mark.skipif(os.name != "posix", reason="a program is killed by a signal")
class TestACrash:
    """One program was killed, and something is wrong beside its game."""

    def test_a_whole_log_is_taken_up(self, path: Path) -> None:
        assert numbers(path) == list(range(1, 13))
        assert not log_of(path).exists()

    @pytest.mark.parametrize("part", [0.0, 0.001, 0.1, 0.5, 0.7])
    def test_a_bad_bit_in_the_log_is_refused_and_both_files_stay(
        self, path: Path, part: float
    ) -> None:
        spoil(log_of(path), part)
        before = files(path.parent)
        for _ in range(2):
            with pytest.raises(JournalError, match="save what is whole: callout recover ") as told:
                Journal.open(path)
            assert "\n" not in str(told.value)
            assert files(path.parent) == before
        found = salvage(path)
        assert [entry.id for entry in found.entries] == list(range(1, 13))
        assert not found.complete

    def test_a_bad_bit_in_the_newest_call_is_told_and_the_log_is_kept(self, path: Path) -> None:
        spoil(log_of(path), 0.999)
        whole = log_of(path).read_bytes()
        with Journal.open(path) as journal:
            assert [entry.id for entry in journal.entries()] == list(range(1, 12))
            assert "the newest call may be missing; the log is kept: " in journal.doubt
        (kept,) = kept_logs(path)
        assert kept.read_bytes() == whole
        assert numbers(path) == list(range(1, 12))
        # What it still shows of the twelfth entry is found, though the game went on without it.
        assert salvage(path).entries[-1].id in (11, 12)

    def test_another_log_is_kept_beside_the_first(self, path: Path) -> None:
        for _ in range(2):
            spoil(log_of(path), 0.999)
            Journal.open(path).close()
            crash(path, 2)
        assert len(list(kept_logs(path))) == 2

    def test_a_new_game_is_not_made_beside_the_log_of_an_old_one(self, path: Path) -> None:
        path.unlink()
        before = files(path.parent)
        with pytest.raises(JournalError, match=r"cannot be made: x\.game-wal of an earlier"):
            Journal.create(path, OTHER)
        assert files(path.parent) == before

    def test_the_calls_of_a_game_whose_file_is_gone_are_found_in_its_log(self, path: Path) -> None:
        crashed = path.with_name("y.game")
        crash(crashed, 9)
        crashed.unlink()
        with pytest.raises(JournalError, match="file is gone, but its log is there; save its"):
            Journal.open(crashed)
        found = salvage(crashed)
        assert [entry.id for entry in found.entries] == list(range(1, 10))
        assert found.setup is None
        new = path.with_name("new.game")
        write_salvage(found, SETUP, new)
        assert numbers(new) == list(range(1, 10))

    def test_another_game_s_file_beside_the_log_is_refused(self, path: Path) -> None:
        other = path.with_name("other.game")
        keep(other, 3, OTHER).close()
        shutil.copyfile(other, path)
        before = files(path.parent)
        with pytest.raises(JournalError, match=r"there are two games in them|not of one game"):
            Journal.open(path)
        assert files(path.parent) == before
        found = salvage(path)
        assert found.setup is not None
        assert found.setup.home.name == "Tidal Herons"
        assert [entry.id for entry in found.entries] == [1, 2, 3]
        assert found.others > 0

    def test_a_game_of_the_same_teams_is_another_game(self, path: Path) -> None:
        other = path.with_name("other.game")
        keep(other, 3).close()
        shutil.copyfile(other, path)
        with pytest.raises(JournalError, match=r"there are two games in them|not of one game"):
            Journal.open(path)
        assert [entry.id for entry in salvage(path).entries] == [1, 2, 3]

    @pytest.mark.parametrize("more", [0, 30, 300])
    def test_a_copy_put_back_beside_the_log_is_right_or_refused(
        self, path: Path, more: int
    ) -> None:
        """The copy is of before the log began; the log's pages alone do not make up for that."""
        Journal.open(path).close()
        with Journal.open(path) as journal:
            write_copy(journal.snapshot(), path.with_name("x.game-copy"))
        keep(path, more).close()
        crash(path, 5)
        shutil.copyfile(path.with_name("x.game-copy"), path)
        before = files(path.parent)
        told = ""
        try:
            there = numbers(path)
        except JournalError as error:
            told = str(error)
        if not told:
            assert there == list(range(1, 12 + more + 5 + 1))
            return
        assert "save what is whole: callout recover" in told
        assert files(path.parent) == before
        found = salvage(path)
        assert max(entry.id for entry in found.entries) == 12 + more + 5
        assert sum(map(len, found.lost)) == 12 + more + 5 - len(found.entries)

    def test_a_copy_is_not_written_beside_a_log_that_would_be_merged_into_it(
        self, path: Path
    ) -> None:
        copy = path.with_name("x.game-copy")
        crash(copy, 3)
        with Journal.open(path) as journal:
            before = files(path.parent)
            with pytest.raises(JournalError, match="cannot be made"):
                write_copy(journal.snapshot(), copy)
            assert files(path.parent).keys() == before.keys()

    def test_a_second_name_of_the_file_shows_that_the_log_is_by_the_first(self, path: Path) -> None:
        second = path.with_name("second.game")
        os.link(path, second)
        with pytest.raises(JournalError, match=r"second.game: is x.game, too, and its newest"):
            Journal.open(second)
        assert numbers_in_doubt(path) == list(range(1, 13))

    def test_the_log_of_a_game_behind_a_symbolic_link_is_found(self, path: Path) -> None:
        link = path.with_name("link.game")
        link.symlink_to(path)
        spoil(log_of(path), 0.1)
        with pytest.raises(JournalError, match="its log is damaged after entry 4"):
            Journal.open(link)
        spoil(log_of(path), 0.1)
        assert numbers(link) == list(range(1, 13))
        assert link.is_symlink()

    def test_what_recover_is_given_may_be_the_log_itself(self, path: Path) -> None:
        path.unlink()
        assert [entry.id for entry in salvage(log_of(path)).entries] == list(range(1, 13))


def numbers_in_doubt(path: Path) -> list[int]:
    with Journal.open(path) as journal:
        return [entry.id for entry in journal.entries()]


@pytest.fixture
def game(tmp_path: Path) -> Path:
    """A game of three entries that was closed."""
    path = tmp_path / "x.game"
    keep(path, 3).close()
    return path


def test_a_file_with_another_name_elsewhere_is_in_doubt(game: Path) -> None:
    (game.parent / "far").mkdir()
    os.link(game, game.parent / "far" / "x.game")
    with Journal.open(game) as journal:
        assert "has another name, too" in journal.doubt
        assert len(journal.entries()) == 3


@pytest.mark.parametrize("name", ["x.game-wal", "x.game-journal"])
def test_a_link_or_a_pipe_in_place_of_a_log_is_not_followed(game: Path, name: str) -> None:
    game.with_name(name).symlink_to(game.parent / "elsewhere")
    with pytest.raises(JournalError, match="expected a file beside it, got a link or device"):
        Journal.open(game)
    game.with_name(name).unlink()
    os.mkfifo(game.with_name(name))
    with pytest.raises(JournalError, match="expected a file beside it, got a link or device"):
        Journal.open(game)


def test_a_rollback_journal_is_not_played_into_the_game(game: Path) -> None:
    game.with_name("x.game-journal").write_bytes(b"\xd9\xd5\x05\xf9\x20\xa1\x63\xd7" + bytes(600))
    before = files(game.parent)
    with pytest.raises(JournalError, match=r"x\.game-journal beside it is not a game's"):
        Journal.open(game)
    assert files(game.parent) == before
    assert len(salvage(game).entries) == 3


def test_a_new_game_has_no_moment_with_a_rollback_journal(tmp_path: Path) -> None:
    """Its file is in the mode of a write-ahead log from the start: file format, section 1.3.3."""
    path = tmp_path / "x.game"
    with Journal.create(path, SETUP) as journal:
        assert path.read_bytes()[18:20] == b"\x02\x02"
        write_copy(journal.snapshot(), tmp_path / "copy")
    assert (tmp_path / "copy").read_bytes()[18:20] == b"\x02\x02"


@pytest.fixture
def running(game: Path) -> Iterator[Path]:
    """A game that another program has open."""
    code = "import sys; from pathlib import Path; from tests.table.book.test_leftover import keep; "
    code += "keep(Path(sys.argv[1]), 2); print('kept', flush=True); sys.stdin.read()"
    command = [sys.executable, "-c", code, str(game)]
    with subprocess.Popen(command, stdin=subprocess.PIPE, stdout=subprocess.PIPE) as process:
        assert process.stdout is not None
        assert process.stdout.readline() == b"kept\n"
        yield game
        process.communicate()


@pytest.mark.skipif(sys.platform == "win32", reason="the system does not tell of locks there")
def test_a_running_game_is_not_recovered(running: Path) -> None:
    assert in_use(running)
    with pytest.raises(JournalError, match="another program has this game open"):
        salvage(running)
    with pytest.raises(JournalError, match="another program has this game open"):
        Journal.open(running)


def test_what_a_killed_program_left_of_a_copy_is_replaced(game: Path) -> None:
    """Its `.part`, and a rollback journal that would be played into the next one."""
    for end in ("", "-journal", "-wal"):
        game.with_name(f"x.game-copy.part{end}").write_bytes(b"\xd9\xd5 cut")
    with Journal.open(game) as journal:
        write_copy(journal.snapshot(), game.with_name("x.game-copy"))
    assert sorted(files(game.parent)) == ["x.game", "x.game-copy"]
    assert numbers(game.with_name("x.game-copy")) == [1, 2, 3]
