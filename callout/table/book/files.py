"""Writing files whole or not at all, readable by the user alone."""

from __future__ import annotations

import os
import sys
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

from callout.errors import InputError
from callout.errors import why as why


def make_private(path: Path) -> None:
    """Creates an empty file that only the user may read.

    Raises:
        OSError: the file exists, or cannot be created there.
    """
    os.close(os.open(path, os.O_CREAT | os.O_EXCL | os.O_RDWR, 0o600))


def make_empty(part: Path) -> None:
    """Creates it empty even if a program that was killed left a part of it there.

    Raises:
        OSError: it cannot be created there.
    """
    remove_part(part)
    make_private(part)


def remove_part(part: Path) -> None:
    """Removes an unfinished file and what SQLite may have left beside it."""
    for each in (part, *(part.with_name(f"{part.name}{end}") for end in ("-journal", "-wal"))):
        with suppress(OSError):
            each.unlink()


def write_whole(path: Path, data: bytes) -> None:
    """Writes the bytes into a file; after a crash it holds either the old or the new ones.

    Raises:
        OSError: it cannot be written.
    """
    part = path.with_name(f"{path.name}.part")
    try:
        make_empty(part)
        part.write_bytes(data)
        put_in_place(part, path)
    except OSError:
        remove_part(part)
        raise


@contextmanager
def writing(path: Path) -> Iterator[None]:
    """What is done in it writes a file that a person asked for.

    Raises:
        InputError: the system refuses it.
    """
    try:
        yield
    except OSError as error:
        raise InputError(path, f"cannot be written: {why(error)}") from None


def put_in_place(part: Path, path: Path) -> None:
    """Flushes a finished file to the disk and renames it, replacing an older one.

    Raises:
        OSError: it cannot be flushed or renamed.
    """
    flush(part)
    part.replace(path)
    flush(path.parent)


def flush(path: Path) -> None:
    """Flushes a file, or the names in a folder, to the disk.

    Raises:
        OSError: the disk failed.
    """
    if sys.platform == "win32":
        return  # There a folder cannot be opened, and the system writes a closed file.
    handle = os.open(path, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)


def path_text(path: Path) -> str | bytes:
    """A path as SQLite can store it: as text, or as bytes if it is not valid UTF-8."""
    raw = os.fsencode(path)
    try:
        return raw.decode()
    except UnicodeDecodeError:
        return raw
