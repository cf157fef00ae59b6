"""Which of people's files are read, and which are refused. Common practice, no source."""

from __future__ import annotations

import os
from collections.abc import Callable
from pathlib import Path

import pytest

from callout.errors import InputError
from callout.reading import (
    LONGEST_LINE,
    MOST,
    exists,
    is_file,
    is_folder,
    key_line,
    paths_in,
    read_bytes,
    read_text,
    read_toml,
)

LONG = "a" * 300


def refusal(read: Callable[[Path], object], path: Path) -> str:
    """The reason of the refusal, without the path."""
    with pytest.raises(InputError) as refused:
        read(path)
    assert str(refused.value).startswith(f"{path}"[:50])
    return refused.value.what


def test_a_file_is_read_to_its_largest_size_and_no_further(tmp_path: Path) -> None:
    path = tmp_path / "x"
    path.write_bytes(bytes(MOST))
    assert read_bytes(path) == bytes(MOST)
    path.write_bytes(bytes(MOST + 1))
    assert refusal(read_bytes, path) == "expected at most 262,144 bytes, got more"
    assert refusal(lambda each: read_bytes(each, 5), path) == "expected at most 5 bytes, got more"


def test_an_endless_file_is_given_up(tmp_path: Path) -> None:
    """A sparse file: no room on the disk, and larger than any memory."""
    path = tmp_path / "x"
    with path.open("wb") as file:
        file.truncate(1 << 40)
    assert refusal(read_text, path) == "expected at most 262,144 bytes, got more"


@pytest.mark.skipif(os.name == "nt", reason="no such devices there")
@pytest.mark.parametrize("device", ["/dev/zero", "/dev/null", "/dev/tty", "/dev/full"])
def test_a_device_is_not_read(device: str) -> None:
    assert refusal(read_bytes, Path(device)) == "expected a file, got a pipe or a device"


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="no such pipes there")
def test_a_pipe_is_not_waited_for(tmp_path: Path) -> None:
    os.mkfifo(tmp_path / "x")
    assert refusal(read_bytes, tmp_path / "x") == "expected a file, got a pipe or a device"


def test_a_folder_is_no_file(tmp_path: Path) -> None:
    assert refusal(read_bytes, tmp_path) == "expected a file, got a folder"


@pytest.mark.parametrize(
    ("name", "says"),
    [
        ("none", "no such file or directory"),
        (LONG, "file name too long"),
        ("file/x", "not a directory"),
        ("loop", "too many levels of symbolic links"),
        ("\0", "embedded null byte"),
    ],
)
def test_a_path_that_leads_nowhere_is_named(tmp_path: Path, name: str, says: str) -> None:
    (tmp_path / "file").touch()
    (tmp_path / "loop").symlink_to("loop")
    path = tmp_path / name
    assert refusal(read_bytes, path) == f"expected a file that can be read: {says}"


def test_what_a_path_is(tmp_path: Path) -> None:
    (tmp_path / "x").touch()
    asked = [(each(tmp_path / "x"), each(tmp_path), each(tmp_path / "no")) for each in
             (exists, is_file, is_folder)]  # fmt: skip
    assert asked == [(True, True, False), (True, False, False), (False, True, False)]
    for each in (exists, is_file, is_folder):
        assert refusal(each, tmp_path / LONG) == "file name too long"


def test_the_paths_in_a_folder_are_in_order(tmp_path: Path) -> None:
    for name in ("b.toml", "a.toml", "c.txt"):
        (tmp_path / name).touch()
    assert paths_in(tmp_path, ".toml") == [tmp_path / "a.toml", tmp_path / "b.toml"]
    assert paths_in(tmp_path / "none", ".toml") == []
    assert refusal(lambda path: paths_in(path, ""), tmp_path / LONG) == "file name too long"


# --- text -----------------------------------------------------------------------------------------


@pytest.mark.parametrize("end", [b"\n", b"\r\n", b"\r"])
def test_lines_end_as_every_system_ends_them(tmp_path: Path, end: bytes) -> None:
    path = tmp_path / "x"
    path.write_bytes(b"\xef\xbb\xbf" + end.join([b"a", b"b", b""]))
    assert read_text(path) == "a\nb\n"


def test_bytes_that_are_no_text_are_told_with_their_line(tmp_path: Path) -> None:
    path = tmp_path / "x"
    path.write_bytes(b"a\nb\xff\n")
    with pytest.raises(InputError, match=r"x:2: expected a text file in UTF-8, got other bytes"):
        read_text(path)


def test_a_line_has_an_end(tmp_path: Path) -> None:
    path = tmp_path / "x"
    path.write_text("a\n" + "b" * LONGEST_LINE, encoding="utf-8")
    assert len(read_text(path)) == LONGEST_LINE + 2
    path.write_text("a\n" + "b" * (LONGEST_LINE + 1), encoding="utf-8")
    with pytest.raises(InputError, match=r"x:2: expected at most 2,000 characters, got 2,001"):
        read_text(path)


# --- TOML -----------------------------------------------------------------------------------------


def test_toml_comes_with_its_text(tmp_path: Path) -> None:
    path = tmp_path / "x"
    path.write_text("a.b = [1]\n", encoding="utf-8")
    assert read_toml(path) == ({"a": {"b": [1]}}, "a.b = [1]\n")


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("a = \n", ":1: expected TOML: "),
        ("a = 1\nb = 2\nb = 3\n", ":3: expected TOML: "),
        ("a = " + "[\n" * 5_000, ": expected lists and tables at most 20 deep, got deeper"),
        ("a = " + "[\n" * 21 + "]\n" * 21, ": expected lists and tables at most 20 deep"),
        ("a." * 30 + "a = 1\n", ": expected lists and tables at most 20 deep"),
        ("a." * 900 + "a = 1\n", ":1: expected at most 100 dots, got 900"),
        ("b = 1\na = { " + "a." * 101 + "a = 1 }\n", ":2: expected at most 100 dots"),
        ("a = " + "9" * 1_900, ""),
        ("a = 2001-02-30\n", ":1: expected TOML: "),
    ],
)
def test_toml_that_cannot_be_is_one_line(tmp_path: Path, text: str, says: str) -> None:
    path = tmp_path / "x"
    path.write_text(text, encoding="utf-8")
    if not says:
        assert read_toml(path)[0]["a"] > 0
        return
    with pytest.raises(InputError) as caught:
        read_toml(path)
    assert str(caught.value).startswith(f"{path}{says}")


def test_a_number_of_thousands_of_digits_is_no_traceback(tmp_path: Path) -> None:
    """Python reads none of more than 4,300 digits; a line here has at most 2,000 characters."""
    path = tmp_path / "x"
    path.write_text("a = " + "9" * 10_000, encoding="utf-8")
    assert "expected at most 2,000 characters" in refusal(read_toml, path)


@pytest.mark.parametrize(
    ("names", "expected"),
    [
        ("top", (1, 1)),
        ("a", (1, 2)),
        ("a.b", (2, 3)),
        ("a.b.c", (2, 3)),
        ("a.none", (1, 2)),
        ('a.with "both".c', (2, 5)),
        ("a.p g", (2, 4)),
        ("x.y.z", (3, 9)),
        ("x.y.w", (3, 6)),
        ("none", (0, 1)),
    ],
)
def test_the_line_of_a_key_is_found(names: str, expected: tuple[int, int]) -> None:
    assert key_line(TOML, names.split(".")) == expected


TOML = r"""top = 1
[ a ]
b = { is = 2, source = "b" }
'p g' = "c"
"with \"both\"" = 3
[x."y".w]
is = 1
[x]
y.z = 3
[x.
# y.z.deeper = 2
"not a \key" = 4
"""
