"""Printing in a folder that may only be read, by a user who is not root.

Where the tests run as root, the command runs as the user 65534, who may read everything, so that
the interpreter is found, and may write nothing.
"""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from collections.abc import Iterator, Sequence
from pathlib import Path

import pytest

from callout.commands.replay import replay

pytestmark = [
    pytest.mark.thorough,
    pytest.mark.skipif(sys.platform != "linux", reason="folders are locked by their mode"),
]

DEMO = Path(__file__).parents[1] / "games" / "demo.game"
NOBODY = ("setpriv", "--reuid=65534", "--regid=65534", "--clear-groups",
          "--inh-caps=+dac_read_search", "--ambient-caps=+dac_read_search")  # fmt: skip


def run(*words: str, folder: Path) -> subprocess.CompletedProcess[str]:
    root = os.geteuid() == 0
    if root and shutil.which("setpriv") is None:
        pytest.skip("root may write everywhere, and setpriv is not there")
    command = (*(NOBODY if root else ()), sys.executable, "-m", "callout", *words)
    # Without a home of its own nothing is written beside the folder either.
    surroundings = {**os.environ, "HOME": "/nonexistent", "PYTHONDONTWRITEBYTECODE": "1"}
    return subprocess.run(
        command, cwd=folder, env=surroundings, capture_output=True, text=True, timeout=120
    )


@pytest.fixture(scope="module")
def played(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The demo's game."""
    path = tmp_path_factory.mktemp("played") / "demo.game"
    assert replay([DEMO], keep=path) == 0
    return path


@pytest.fixture
def locked(tmp_path: Path, played: Path) -> Iterator[Path]:
    """A folder with that game, in which nothing can be written."""
    _open_to_all(tmp_path)
    folder = tmp_path / "locked"
    folder.mkdir()
    Path(shutil.copy(played, folder)).chmod(0o644)
    folder.chmod(0o555)
    yield folder
    folder.chmod(0o755)


def _open_to_all(folder: Path) -> None:
    """Let others through to the folder; pytest makes it for its own user alone."""
    folder.chmod(0o777)
    for above in folder.parents[:3]:  # One is that of a process among several.
        above.chmod(above.stat().st_mode | 0o011)


def names(folder: Path) -> Sequence[str]:
    return sorted(path.name for path in folder.iterdir())


@pytest.mark.parametrize(
    "words",
    ["sheet demo.game --pdf", "sheet demo.game --png", "sheet demo.game --csv tables",
     "box demo.game --pdf", "keys --league nfhs-2026 --pdf", "blank nfhs-2026"],
)  # fmt: skip
def test_what_cannot_be_written_is_one_line(words: str, locked: Path) -> None:
    made = run(*words.split(), folder=locked)
    assert made.returncode == 2
    assert made.stdout == ""
    assert len(made.stderr.splitlines()) == 1
    assert "cannot be written: " in made.stderr
    assert names(locked) == ["demo.game"]


@pytest.mark.parametrize("words", ["sheet demo.game --pdf", "box demo.game --pdf"])
def test_another_folder_takes_the_pages(words: str, locked: Path, tmp_path: Path) -> None:
    to = tmp_path / "to"
    to.mkdir()
    to.chmod(0o777)
    made = run(*words.split(), "--to", str(to), folder=locked)
    assert (made.returncode, made.stderr) == (0, "")
    assert len(names(to)) == 1
    assert names(locked) == ["demo.game"]


@pytest.mark.parametrize("words", ["sheet demo.game", "sheet demo.game --json", "box demo.game"])
def test_what_is_only_printed_needs_no_right_to_write(words: str, locked: Path) -> None:
    made = run(*words.split(), folder=locked)
    assert (made.returncode, made.stderr) == (0, "")
    assert "Harbour Kites" in made.stdout
    assert names(locked) == ["demo.game"]


@pytest.mark.parametrize("words", [("new",), ("new", "x.setup"), ("new", "--page", "8765")])
def test_a_list_is_not_typed_for_a_file_that_cannot_be(words: Sequence[str], locked: Path) -> None:
    done = run(*words, folder=locked)
    assert (done.returncode, done.stdout) == (2, "")
    assert done.stderr == (
        f"callout: {locked}: nothing can be written here; go to another folder\n"
    )
