"""The hash chain over a journal's entries, which shows what was changed after the fact.

The first hash is that of the game's id and the header without people's names. Each entry stores the
id, the hash before it and its own, which is computed from both and the entry's columns. So each row
alone can be shown to belong to the game and to be unchanged, and all rows together to be complete.
The chain does not show who changed something: whoever may write the file can compute the whole
chain again. But then the mark on a sheet printed before no longer matches.

Names are not part of the hash, since they may be deleted and the same game must remain. Nor are the
words of what was said, which follow from the book and the language.

Source: SHA-256, FIPS 180-4.
"""

from __future__ import annotations

import hashlib
from collections.abc import Iterable, Sequence
from typing import Final

from callout.errors import CalloutError
from callout.table.book.rows import ENTRY_COLUMNS, write_json

Row = Sequence[object]
"""An entry's columns, the hash before it, its own hash, and its game's id.

Version 2 had no ids: there the last column is missing or empty, and the hashes do not contain one.
"""

GAME_BYTES: Final = 16
"""The length of a game's id: 128 random bits, drawn when the journal is created."""

HASH_BYTES: Final = 32
"""The length of a hash: that of SHA-256."""
_MARK_DIGITS: Final = 20
"""80 bits. To find another book with the mark of a sheet that is already printed takes about 2**80
trials. Two books with the same mark, both made before either is printed, take about 2**40.
"""
_GROUP: Final = 4


def first_hash(game: bytes, setup: str) -> bytes:
    """The hash before the first entry; `setup` is the header's text as stored in the file."""
    return hashlib.sha256(game + setup.encode()).digest()


def next_hash(game: bytes, former: bytes, columns: Row) -> bytes:
    """The hash of an entry, from its game's id, the hash before it and its columns."""
    return hashlib.sha256(game + former + write_json(list(columns)).encode()).digest()


def game_of(row: Row) -> bytes:
    """The id of the game in a row; empty for a row of version 2."""
    game = row[ENTRY_COLUMNS + 2] if len(row) == ENTRY_COLUMNS + 3 else b""
    return game if isinstance(game, bytes) else b""


def proven(row: Row) -> bool:
    """Whether a row is as it was written, by its two hashes and its game's id."""
    columns, hashes = row[:ENTRY_COLUMNS], row[ENTRY_COLUMNS : ENTRY_COLUMNS + 2]
    former, own = hashes if len(hashes) == 2 else (b"", b"")
    if not isinstance(former, bytes) or len(former) != HASH_BYTES:
        return False
    if len(row) > ENTRY_COLUMNS + 2 and len(game_of(row)) not in (0, GAME_BYTES):
        return False
    try:
        return next_hash(game_of(row), former, columns) == own
    except (TypeError, ValueError):
        return False  # A damaged column may hold what no entry does.


def follow(start: bytes, game: bytes, rows: Iterable[Row]) -> bytes:
    """The hash after all rows, oldest first; `start` and `game` are those of the header.

    Raises:
        CalloutError: a row was changed, belongs to another game, or does not follow the row before
            it; the message names the first such row.
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
    """The first digits of a hash, in groups that are easily compared with a printed mark."""
    digits = newest.hex()[:_MARK_DIGITS]
    return "-".join(digits[at : at + _GROUP] for at in range(0, _MARK_DIGITS, _GROUP))
