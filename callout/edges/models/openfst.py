"""The header of an OpenFst file, read and written.

Source of the format: OpenFst's documented vector FST, version 2, standard arcs.
"""

from __future__ import annotations

import struct
from typing import BinaryIO, Final, NamedTuple

FST_MAGIC: Final = 2_125_659_606
SYMBOLS_MAGIC: Final = 2_125_658_996

INPUT_SYMBOLS: Final = 1
"""The flag of a file with a table of input symbols, here words."""

OUTPUT_SYMBOLS: Final = 2
"""The flag of a file with a table of output symbols, after that of the input."""

SORTED_BY_INPUT: Final = 0x0000_0000_1000_0000

LONGEST: Final = 1_000
"""Bytes of a text; a file with a longer one is damaged."""

FIELDS: Final = struct.Struct("<iiQqqq")


class Head(NamedTuple):
    """The numbers of a header, which follow the names of the FST's type and arc type."""

    version: int
    flags: int
    properties: int
    start: int
    states: int
    arcs: int

    def bytes(self) -> bytes:
        """The header as it is written."""
        kinds = struct.pack("<i", FST_MAGIC) + text("vector") + text("standard")
        return kinds + FIELDS.pack(*self)


def read_head(file: BinaryIO) -> Head:
    """Read the header of a file, and stop after it.

    Raises:
        ValueError, struct.error: it is no header of an OpenFst file.
    """
    (magic,) = read(file, "<i")
    if magic != FST_MAGIC:
        raise ValueError(magic)
    read_text(file), read_text(file)
    return Head(*FIELDS.unpack(file.read(FIELDS.size)))


def read_symbols_head(file: BinaryIO) -> int:
    """Read the head of a symbol table, which tells how many symbols follow.

    Raises:
        ValueError, struct.error: no symbol table begins here.
    """
    (magic,) = read(file, "<i")
    if magic != SYMBOLS_MAGIC:
        raise ValueError(magic)
    read_text(file)
    _, count = read(file, "<qq")
    return count


def text(word: str) -> bytes:
    """A text as it is written in such a file."""
    data = word.encode()
    return struct.pack("<i", len(data)) + data


def read_text(file: BinaryIO) -> str:
    """Read a text.

    Raises:
        ValueError, struct.error: none follows.
    """
    (length,) = read(file, "<i")
    if not 0 <= length <= LONGEST:
        raise ValueError(length)
    return file.read(length).decode()


def read(file: BinaryIO, form: str) -> tuple[int, ...]:
    """Read integers in the format `form` of `struct`.

    Raises:
        struct.error: the file ends before them.
    """
    return struct.unpack(form, file.read(struct.calcsize(form)))
