"""The running hash over a journal's entries: what is changed after the fact shows.

The game's id and the header without people's names give the first hash. Each entry keeps the id,
the hash before it and its own, made of both and of the entry's columns; so one row can be proven by
itself to be of that game, and all of them against one another. It shows a change, not who made it:
whoever may write the file can make the whole chain anew, but the mark on a sheet that was printed
before then no longer fits.

People's names stand outside, for they may be struck for good, and the same game must be left. So
do the words of what was said: they follow from the book and the language.

Source: SHA-256, FIPS 180-4.
"""

from __future__ import annotations

import hashlib
from collections.abc import Iterable, Sequence
from typing import Final

from callout.errors import CalloutError
from callout.table.book.rows import ENTRY_COLUMNS, write_json

Row = Sequence[object]
"""An entry's columns, the hash before it, its own, and its game's id.

Version 2 had no ids: the last is then missing, or empty, and its hashes are made without one.
"""

GAME_BYTES: Final = 16
"""A game's id: 128 random bits, drawn when it is made."""

_HASH_BYTES: Final = 32
_MARK_DIGITS: Final = 20
"""80 bits. Nobody can search for another book with the mark of a sheet that is already printed.

Whoever makes both books before either is printed needs only some 2**40 trials.
"""
_GROUP: Final = 4


def first_hash(game: bytes, setup: str) -> bytes:
    """The hash before the first entry; `setup` is the header as it stands in the file."""
    return hashlib.sha256(game + setup.encode()).digest()


def next_hash(game: bytes, former: bytes, columns: Row) -> bytes:
    """The hash of an entry, from its game's id, the hash before it and its columns."""
    return hashlib.sha256(game + former + write_json(list(columns)).encode()).digest()


def game_of(row: Row) -> bytes:
    """The id of the game that a row says it belongs to; empty for a row of version 2."""
    game = row[ENTRY_COLUMNS + 2] if len(row) == ENTRY_COLUMNS + 3 else b""
    return game if isinstance(game, bytes) else b""


def proven(row: Row) -> bool:
    """Whether a row is as it was written, by its own two hashes and its game's id."""
    columns, hashes = row[:ENTRY_COLUMNS], row[ENTRY_COLUMNS : ENTRY_COLUMNS + 2]
    former, own = hashes if len(hashes) == 2 else (b"", b"")
    if not isinstance(former, bytes) or len(former) != _HASH_BYTES:
        return False
    if len(row) > ENTRY_COLUMNS + 2 and len(game_of(row)) not in (0, GAME_BYTES):
        return False
    try:
        return next_hash(game_of(row), former, columns) == own
    except (TypeError, ValueError):
        return False  # A damaged column may hold what no entry does.


def follow(start: bytes, game: bytes, rows: Iterable[Row]) -> bytes:
    """The hash after all rows, the oldest first; `start` and `game` are the header's.

    Raises:
        CalloutError: a row was changed, is of another game, or one before it was taken out; it
            names the first.
    """
    for row in rows:
        if not proven(row):
            raise CalloutError(f"entry {row[0]} is not as it was recorded")
        if game_of(row) != game:
            raise CalloutError(f"entry {row[0]} is of another game")
        if row[ENTRY_COLUMNS] != start:
            raise CalloutError(f"entry {row[0]} does not follow the one before it")
        start = bytes(row[ENTRY_COLUMNS + 1])  # type: ignore[call-overload]
    return start


def mark(newest: bytes) -> str:
    """The beginning of a hash, in groups that can be compared by eye with printed ones."""
    digits = newest.hex()[:_MARK_DIGITS]
    return "-".join(digits[at : at + _GROUP] for at in range(0, _MARK_DIGITS, _GROUP))
