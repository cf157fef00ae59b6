"""What stands at the front of an OpenFst file, for whoever writes one and whoever reads one.

Source of the format: OpenFst's documented vector FST, version 2, standard arcs.
"""

from __future__ import annotations

import struct
from typing import BinaryIO, Final, NamedTuple

FST_MAGIC: Final = 2_125_659_606
SYMBOLS_MAGIC: Final = 2_125_658_996

INPUT_SYMBOLS: Final = 1
"""The flag of a file that lists the words of its input."""

OUTPUT_SYMBOLS: Final = 2
"""The flag of one that lists those of its output, after the others."""

SORTED_BY_INPUT: Final = 0x0000_0000_1000_0000

LONGEST: Final = 1_000
"""A longer text is a damaged file."""

FIELDS: Final = struct.Struct("<iiQqqq")


class Head(NamedTuple):
    """The numbers that follow the names of a file's kinds."""

    version: int
    flags: int
    properties: int
    start: int
    states: int
    arcs: int

    def bytes(self) -> bytes:
        """The head of such a file."""
        kinds = struct.pack("<i", FST_MAGIC) + text("vector") + text("standard")
        return kinds + FIELDS.pack(*self)


def read_head(file: BinaryIO) -> Head:
    """The head of a file; what follows it is read next.

    Raises:
        ValueError, struct.error: it is none of such a file.
    """
    (magic,) = read(file, "<i")
    if magic != FST_MAGIC:
        raise ValueError(magic)
    read_text(file), read_text(file)
    return Head(*FIELDS.unpack(file.read(FIELDS.size)))


def read_symbols_head(file: BinaryIO) -> int:
    """How many words a table holds; they are read next.

    Raises:
        ValueError, struct.error: no table of words begins here.
    """
    (magic,) = read(file, "<i")
    if magic != SYMBOLS_MAGIC:
        raise ValueError(magic)
    read_text(file)
    _, count = read(file, "<qq")
    return count


def text(word: str) -> bytes:
    """A text as such files hold it."""
    data = word.encode()
    return struct.pack("<i", len(data)) + data


def read_text(file: BinaryIO) -> str:
    """The text that comes next.

    Raises:
        ValueError, struct.error: there is none.
    """
    (length,) = read(file, "<i")
    if not 0 <= length <= LONGEST:
        raise ValueError(length)
    return file.read(length).decode()


def read(file: BinaryIO, form: str) -> tuple[int, ...]:
    """The whole numbers that come next, in the form of `struct`.

    Raises:
        struct.error: the file ends before.
    """
    return struct.unpack(form, file.read(struct.calcsize(form)))
