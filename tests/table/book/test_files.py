"""Files written whole. What is expected of rename is POSIX's: atomic in place of an older file."""

from __future__ import annotations

import os
import stat
from pathlib import Path

import pytest

from callout.errors import InputError
from callout.table.book.files import make_private, why, write_whole, writing


def test_a_file_is_written_in_place_of_an_older_one_and_is_only_the_user_s(tmp_path: Path) -> None:
    path = tmp_path / "book.txt"
    path.write_text("old")
    write_whole(path, b"new")
    assert path.read_bytes() == b"new"
    assert [each.name for each in tmp_path.iterdir()] == ["book.txt"]
    if os.name == "posix":
        assert stat.S_IMODE(path.stat().st_mode) == 0o600


def test_what_a_crash_left_half_written_is_no_hindrance(tmp_path: Path) -> None:
    (tmp_path / "book.txt.part").write_text("hal")
    write_whole(tmp_path / "book.txt", b"whole")
    assert [each.name for each in tmp_path.iterdir()] == ["book.txt"]


def test_a_file_that_cannot_be_written_leaves_the_older_one(tmp_path: Path) -> None:
    path = tmp_path / "book.txt"
    path.mkdir()  # nothing can be renamed to a folder that is there
    with pytest.raises(OSError, match="directory"):
        write_whole(path, b"new")
    assert [each.name for each in tmp_path.iterdir()] == ["book.txt"]
    with pytest.raises(FileExistsError):
        make_private(path)


def test_a_file_that_a_person_asked_for_is_named_where_it_cannot_be_written(tmp_path: Path) -> None:
    path = tmp_path / "lists" / "book.txt"
    with pytest.raises(InputError) as caught, writing(path):
        write_whole(path, b"new")
    assert str(caught.value) == f"{path}: cannot be written: no such file or directory"


def test_an_error_is_one_line_in_lower_case() -> None:
    assert why(FileNotFoundError(2, "No such file or directory")) == "no such file or directory"
    assert why(ValueError("two\n  lines")) == "two lines"
