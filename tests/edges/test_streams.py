"""The program's input and output where they are closed, full, or read no more: a real shell's."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest

from tests.patience import HANG_S

pytestmark = pytest.mark.skipif(os.name != "posix", reason="a POSIX shell closes the streams")

PRINTS = ("rules nfhs-2026", "sheet --schema")
"""One that prints by a library, and one that prints by itself."""


def shell(line: str, folder: Path) -> subprocess.CompletedProcess[str]:
    """Run a line of `sh`, in which `$callout` is the program."""
    environment = os.environ | {"callout": f"{sys.executable} -m callout", "TERM": "dumb"}
    return subprocess.run(
        ["sh", "-c", line], cwd=folder, env=environment,
        capture_output=True, text=True, timeout=HANG_S,
    )  # fmt: skip


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="only Linux has a disk that is full")
@pytest.mark.parametrize("command", PRINTS)
def test_output_that_finds_no_room_is_one_line_and_status_2(command: str, tmp_path: Path) -> None:
    done = shell(f"$callout {command} >/dev/full", tmp_path)
    assert done.returncode == 2
    assert done.stderr == "callout: the output cannot be written: no space left on device\n"


@pytest.mark.parametrize("command", PRINTS)
def test_a_reader_who_has_enough_ends_it_without_a_word(command: str, tmp_path: Path) -> None:
    read, write = os.pipe()
    os.close(read)
    done = subprocess.run(
        [sys.executable, "-m", "callout", *command.split()],
        cwd=tmp_path, stdout=write, stderr=subprocess.PIPE, text=True, timeout=HANG_S,
    )  # fmt: skip
    os.close(write)
    assert (done.returncode, done.stderr) == (1, "")


def test_a_question_without_an_input_is_an_answer_that_is_over(tmp_path: Path) -> None:
    done = shell("$callout new x.setup <&-", tmp_path)
    assert (done.returncode, done.stderr) == (1, "Aborted.\n")
    assert list(tmp_path.iterdir()) == []


def test_without_an_output_files_are_written_as_ever(tmp_path: Path) -> None:
    """A file that was opened as the output would hold what is printed."""
    answers = "printf 'fiba-2024\\nKites 4 5\\nFoxes 3 8\\n'"
    for name, streams in (("open", ""), ("closed", ">&- 2>&-")):
        assert shell(f"{answers} | $callout new {name}.setup {streams}", tmp_path).returncode == 0
    assert (tmp_path / "closed.setup").read_bytes() == (tmp_path / "open.setup").read_bytes()
