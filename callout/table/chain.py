"""The running hash over a journal's entries: what is changed after the fact shows.

The header without people's names gives the first hash. Each entry keeps the hash before it and
its own, made of that and of the entry's columns; so one row can be proven by itself, and all of
them against one another. It shows a change, not who made it: whoever may write the file can make
the whole chain anew, but the mark on a sheet that was printed before then no longer fits.

People's names stand outside, for they may be struck for good, and the same game must be left. So
do the words of what was said: they follow from the book and the language.

Source: SHA-256, FIPS 180-4.
"""

from __future__ import annotations

import hashlib
from collections.abc import Iterable, Sequence
from typing import Final

from callout.errors import CalloutError
from callout.table.rows import ENTRY_COLUMNS, write_json

Row = Sequence[object]
"""An entry's columns, the hash before it, and its own."""

_HASH_BYTES: Final = 32
_MARK_DIGITS: Final = 8


def first_hash(setup: str) -> bytes:
    """The hash before the first entry; `setup` is the header as it stands in the file."""
    return hashlib.sha256(setup.encode()).digest()


def next_hash(former: bytes, columns: Row) -> bytes:
    """The hash of an entry, from the one before it and its columns."""
    return hashlib.sha256(former + write_json(list(columns)).encode()).digest()


def proven(row: Row) -> bool:
    """Whether a row is as it was written, by its own two hashes."""
    columns, hashes = row[:ENTRY_COLUMNS], row[ENTRY_COLUMNS:]
    former, own = hashes if len(hashes) == 2 else (b"", b"")
    if not isinstance(former, bytes) or len(former) != _HASH_BYTES:
        return False
    try:
        return next_hash(former, columns) == own
    except (TypeError, ValueError):
        return False  # A damaged column may hold what no entry does.


def follow(start: bytes, rows: Iterable[Row]) -> bytes:
    """The hash after all rows, the oldest first.

    Raises:
        CalloutError: a row was changed, or one before it was taken out; it names the first.
    """
    for row in rows:
        if not proven(row):
            raise CalloutError(f"entry {row[0]} is not as it was recorded")
        if row[-2] != start:
            raise CalloutError(f"entry {row[0]} does not follow the one before it")
        start = bytes(row[-1])  # type: ignore[call-overload]
    return start


def mark(newest: bytes) -> str:
    """The beginning of a hash, short enough to compare by eye with a printed one."""
    digits = newest.hex()[:_MARK_DIGITS]
    return f"{digits[:4]}-{digits[4:]}"
