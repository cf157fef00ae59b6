"""Folders of one process: what a killed one leaves is removed, and what a living one has is not."""

from __future__ import annotations

import os
import stat
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest

from callout.edges.private_folder import PrivateFolder

pytestmark = pytest.mark.skipif(sys.platform == "win32", reason="a folder has no lock there")

PREFIX = "callout-test-"

HOLDS = """
import sys, tempfile
from callout.edges.private_folder import PrivateFolder
tempfile.tempdir = sys.argv[1]
folder = PrivateFolder("callout-test-")
(folder.path / "am").mkdir()
(folder.path / "am" / "final.mdl").write_bytes(b"a copy")
print(folder.path, flush=True)
sys.stdin.read()
"""


@contextmanager
def another_process(folder: Path) -> Iterator[tuple[subprocess.Popen[str], Path]]:
    """A process that has a folder among those temporary files, and the folder."""
    process = subprocess.Popen(
        [sys.executable, "-c", HOLDS, str(folder)],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        text=True,
    )
    try:
        assert process.stdout is not None
        yield process, Path(process.stdout.readline().strip())
    finally:
        process.kill()
        process.communicate()


@pytest.fixture(autouse=True)
def temporary(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """The place for temporary files."""
    monkeypatch.setattr(tempfile, "tempdir", str(tmp_path))
    return tmp_path


def test_it_is_the_user_s_alone_and_is_removed_at_its_end(temporary: Path) -> None:
    with PrivateFolder(PREFIX) as folder:
        assert folder.parent == temporary
        assert stat.S_IMODE(folder.stat().st_mode) == 0o700
        (folder / "file").touch()
    assert list(temporary.iterdir()) == []


def test_what_a_killed_process_left_is_removed_with_the_next(temporary: Path) -> None:
    with another_process(temporary) as (process, left):
        process.kill()
        process.wait()
        assert (left / "am" / "final.mdl").is_file()
        with PrivateFolder(PREFIX) as folder:
            assert list(temporary.iterdir()) == [folder]


def test_what_another_process_or_this_one_has_is_left(temporary: Path) -> None:
    with another_process(temporary) as (_, theirs):
        with PrivateFolder(PREFIX) as mine, PrivateFolder(PREFIX) as other:
            assert sorted(temporary.iterdir()) == sorted([theirs, mine, other])
        assert (theirs / "am" / "final.mdl").is_file()


def test_what_is_no_such_folder_is_left(temporary: Path) -> None:
    """Whoever may write among temporary files may put a link or a pipe there."""
    target, others = temporary / "target", temporary / "others-folder"
    target.mkdir()
    others.mkdir()
    (temporary / f"{PREFIX}link").symlink_to(target)
    os.mkfifo(temporary / f"{PREFIX}pipe")
    before = sorted(temporary.iterdir())
    PrivateFolder(PREFIX).close()
    assert sorted(temporary.iterdir()) == before


@pytest.mark.skipif(
    sys.platform == "win32" or os.getuid() != 0, reason="only root can make another user's folder"
)
def test_what_is_another_user_s_is_left(temporary: Path) -> None:
    theirs = temporary / f"{PREFIX}theirs"
    theirs.mkdir()
    os.chown(theirs, 12_345, 12_345)
    PrivateFolder(PREFIX).close()
    assert theirs.is_dir()


def test_one_that_is_taken_for_abandoned_before_it_is_locked_is_made_anew(
    temporary: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    make, made = tempfile.mkdtemp, list[str]()

    def beside_another(prefix: str) -> str:
        folder = make(prefix=prefix)
        made.append(folder)
        if len(made) == 1:
            with PrivateFolder(PREFIX):
                assert not Path(folder).exists(), "the other process was quicker"
        return folder

    monkeypatch.setattr(tempfile, "mkdtemp", beside_another)
    with PrivateFolder(PREFIX) as folder:
        assert folder.is_dir()
        assert folder == Path(made[2])
