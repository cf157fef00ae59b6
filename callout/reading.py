"""Reading files that people hand in: only regular files, of limited size, as text.

A pipe is never waited for, a device is never read, and reading stops at the size limit. Whatever is
wrong with a path is one error that begins with the path.
"""

from __future__ import annotations

import os
import re
import stat
import tomllib
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Any, Final, NamedTuple, TypeVar

from callout.errors import InputError, why

MOST: Final = 256 * 1024
"""Bytes of a text file; the longest of the program's own has 27,000."""
LONGEST_LINE: Final = 2_000
"""Characters of a line; the longest of the program's own has 300."""
DEEPEST: Final = 20
"""Nested lists and tables."""
DOTS: Final = 100
"""Dots in one line of TOML: parsing a dotted key takes time quadratic in its parts."""

T = TypeVar("T")


def read_bytes(path: Path, most: int = MOST) -> bytes:
    """The content of a file of at most `most` bytes.

    Raises:
        InputError: it is missing, cannot be read, is not a regular file, or is larger.
    """
    before = "expected a file that can be read: "
    _check_is_file(path, _at(path, lambda: os.stat(path), before))
    handle = _at(path, lambda: os.open(path, _FLAGS), before)
    try:
        # Another file may have been put in its place since.
        _check_is_file(path, os.fstat(handle))
        data = _at(path, lambda: _read(handle, most + 1), before)
    finally:
        os.close(handle)
    if len(data) > most:
        raise InputError(path, f"expected at most {most:,} bytes, got more")
    return data


def _check_is_file(path: Path, found: os.stat_result) -> None:
    if not stat.S_ISREG(found.st_mode):
        what = "a folder" if stat.S_ISDIR(found.st_mode) else "a pipe or a device"
        raise InputError(path, f"expected a file, got {what}")


def _read(handle: int, most: int) -> bytes:
    """The rest of an open file, but at most `most` bytes."""
    parts: list[bytes] = []
    while most > 0 and (part := os.read(handle, min(most, 1 << 20))):
        parts.append(part)
        most -= len(part)
    return b"".join(parts)


_FLAGS: Final = os.O_RDONLY | getattr(os, "O_NONBLOCK", 0) | getattr(os, "O_BINARY", 0)
"""Non-blocking, because opening a pipe would wait for its writer; and binary."""


def read_text(path: Path) -> str:
    """The content of a text file, with every line end turned into a line feed.

    Raises:
        InputError: as `read_bytes`, or it is not UTF-8, or a line is too long.
    """
    data = read_bytes(path)
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = data.count(b"\n", 0, error.start) + 1
        what = "expected a text file in UTF-8, got other bytes"
        raise InputError(path, what, line) from None
    text = text.replace("\r\n", "\n").replace("\r", "\n")
    for number, line_text in enumerate(text.split("\n"), start=1):
        if len(line_text) > LONGEST_LINE:
            what = f"expected at most {LONGEST_LINE:,} characters, got {len(line_text):,}"
            raise InputError(path, what, number)
    return text


def read_toml(path: Path) -> tuple[dict[str, Any], str]:
    """The data of a TOML file, and its text.

    Raises:
        InputError: as `read_text`, or it is not TOML, or is nested too deeply.
    """
    text = read_text(path)
    for number, line in enumerate(text.split("\n"), start=1):
        if line.count(".") > DOTS:
            raise InputError(path, f"expected at most {DOTS} dots, got {line.count('.')}", number)
    try:
        data = tomllib.loads(text)
    except ValueError as error:  # tomllib's own error is a ValueError
        found = re.search(r"line (\d+)", str(error))
        line_number = int(found[1]) if found else None
        raise InputError(path, f"expected TOML: {error}", line_number) from None
    except RecursionError:
        raise InputError(path, _TOO_DEEP) from None
    if _depth(data) > DEEPEST:
        raise InputError(path, _TOO_DEEP)
    return data, text


class KeyLine(NamedTuple):
    """The line of a TOML file that comes nearest to giving a value."""

    parts: int
    """How many parts of the value's dotted name the line gives; 0 where no line gives any."""
    line: int


def key_line(text: str, names: Sequence[str]) -> KeyLine:
    """The line that gives the value of a dotted name, or the nearest part around it.

    A part named `is` counts for nothing: profiles write each value `{ is = …, source = … }`.
    """
    section: tuple[str, ...] = ()
    best = KeyLine(0, 1)
    for number, row in enumerate(text.splitlines(), start=1):
        header, key = _HEADER.match(row), _KEY.match(row)
        if header:
            section = given = _parts(header[1])
        elif key:
            given = (*section, *_parts(key[1]))
        else:
            continue
        given = tuple(part for part in given if part != "is")
        if given == tuple(names[: len(given)]) and len(given) > best.parts:
            best = KeyLine(len(given), number)
    return best


_ONE: Final = r"""(?:[A-Za-z0-9_-]+|"(?:[^"\\]|\\.)*"|'[^']*')"""
_DOTTED: Final = rf"({_ONE}(?:\s*\.\s*{_ONE})*)"
_HEADER: Final = re.compile(rf"\s*\[\s*{_DOTTED}\s*\]")
_KEY: Final = re.compile(rf"\s*{_DOTTED}\s*=")


def _parts(dotted: str) -> tuple[str, ...]:
    """The parts of a TOML key; none where it is no key, but a line within a longer text."""
    parts: list[str] = []
    try:
        inner: Any = tomllib.loads(f"{dotted} = 0")
    except ValueError:
        return ()
    while inner:
        ((name, inner),) = inner.items()
        parts.append(name)
    return tuple(parts)


_TOO_DEEP: Final = f"expected lists and tables at most {DEEPEST} deep, got deeper"


def _depth(value: object) -> int:
    depth, level = 0, [value]
    while level:
        inner = [list(x.values()) if isinstance(x, dict) else x for x in level]
        level = [each for x in inner if isinstance(x, list) for each in x]
        depth += 1
    return depth


# --- what a path leads to -------------------------------------------------------------------------


def exists(path: Path) -> bool:
    """Whether there is anything at a path.

    Raises:
        InputError: that cannot be found out: the name is too long, a folder is not accessible.
    """
    return _found(path) is not None


def is_file(path: Path) -> bool:
    """Whether there is a regular file at a path.

    Raises:
        InputError: as `exists`.
    """
    found = _found(path)
    return found is not None and stat.S_ISREG(found.st_mode)


def is_folder(path: Path) -> bool:
    """Whether there is a folder at a path.

    Raises:
        InputError: as `exists`.
    """
    found = _found(path)
    return found is not None and stat.S_ISDIR(found.st_mode)


def _found(path: Path) -> os.stat_result | None:
    def ask() -> os.stat_result | None:
        try:
            return os.stat(path)
        except FileNotFoundError:
            return None

    return _at(path, ask)


def paths_in(folder: Path, ending: str) -> list[Path]:
    """The paths in a folder whose names have that ending, sorted; none if there is no folder.

    Raises:
        InputError: the folder cannot be read.
    """
    names = _at(folder, lambda: os.listdir(folder)) if is_folder(folder) else None
    return sorted(folder / name for name in names or () if name.endswith(ending))


def _at(path: Path, ask: Callable[[], T], before: str = "") -> T:
    try:
        return ask()
    except (OSError, ValueError) as error:  # ValueError for a name with NUL in it
        raise InputError(path, f"{before}{why(error)}") from None
