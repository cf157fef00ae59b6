"""Files written whole or not at all, and readable by the user alone."""

from __future__ import annotations

import os
import sys
from contextlib import suppress
from pathlib import Path

from callout.errors import why as why


def make_private(path: Path) -> None:
    """An empty file that only the user may read.

    Raises:
        OSError: there is one already, or none can be made there.
    """
    os.close(os.open(path, os.O_CREAT | os.O_EXCL | os.O_RDWR, 0o600))


def make_empty(part: Path) -> None:
    """The same in place of what a program left there that was killed meanwhile.

    Raises:
        OSError: none can be made there.
    """
    remove_part(part)
    make_private(part)


def remove_part(part: Path) -> None:
    """Removes a file that was not finished, and what SQLite may have left beside it."""
    for each in (part, *(part.with_name(f"{part.name}{end}") for end in ("-journal", "-wal"))):
        with suppress(OSError):
            each.unlink()


def write_whole(path: Path, data: bytes) -> None:
    """Puts the bytes into that file: after a crash it holds the old ones or the new ones.

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


def put_in_place(part: Path, path: Path) -> None:
    """Gives a finished file its name, in place of an older one, once it is on the disk.

    Raises:
        OSError: it cannot be flushed or renamed.
    """
    flush(part)
    part.replace(path)
    flush(path.parent)


def flush(path: Path) -> None:
    """Sees a file, or a folder's names, onto the disk.

    Raises:
        OSError: the disk failed.
    """
    if sys.platform == "win32":
        return  # a folder cannot be opened there, and a closed file is written by the system
    handle = os.open(path, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)


def path_text(path: Path) -> str | bytes:
    """A path as a column of SQLite can hold it: as text, or as its bytes where these are none."""
    raw = os.fsencode(path)
    try:
        return raw.decode()
    except UnicodeDecodeError:
        return raw
