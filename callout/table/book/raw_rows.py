"""Entries and headers found in raw bytes, wherever they lie; no page or table need be sound.

Each row found is proved by its hash. A row of more than 4,061 bytes, which SQLite splits over
several pages, is not found; the longest entry of all games in the tests has 338.
"""

from __future__ import annotations

import json
from collections.abc import Iterator
from typing import Any, Final, NamedTuple

from callout.table.book.chain import GAME_BYTES, HASH_BYTES, Row, first_hash, proven
from callout.table.book.rows import ENTRY_COLUMNS

_HASHES: Final = b"\x4c\x4c"
"""The types of the two hashes in the head of an entry's record: two blobs of 32 bytes.

Source: SQLite, "Database File Format", section 2.1: a blob of n bytes has the type 12 + 2 n.
"""
_GAMES: Final = (b"", b"\x0c", b"\x2c")
"""What may follow them: no game's id, as in version 2; an empty one; one of 16 bytes."""
_LONGEST_HEAD: Final = 25
_INTEGERS: Final = {1: 1, 2: 2, 3: 3, 4: 4, 5: 6, 6: 8, 8: 0, 9: 0}
"""The length in bytes of an integer by its type; the same section."""
_SETUP_BEGINS: Final = b'{"profile":"'
_LONGEST_SETUP: Final = 16_384
_COLUMNS: Final = (ENTRY_COLUMNS + 2, ENTRY_COLUMNS + 3)


class Header(NamedTuple):
    """A header with the hash that proves it."""

    text: str
    hash: bytes
    game: bytes


def headers(raw: bytes) -> Iterator[Header]:
    """The headers in these bytes."""
    at = raw.find(_SETUP_BEGINS)
    while at >= 0:
        try:
            # In latin-1 one byte is one character, so `end` counts bytes.
            part = raw[at : at + _LONGEST_SETUP].decode("latin-1")
            _, end = json.JSONDecoder().raw_decode(part)
            yield from _header(raw[at : at + end].decode(), raw[at + end :][:48])
        except (ValueError, RecursionError):
            pass  # It only begins like a header.
        at = raw.find(_SETUP_BEGINS, at + 1)


def _header(text: str, behind: bytes) -> Iterator[Header]:
    own = behind[:HASH_BYTES]
    for game in (behind[HASH_BYTES : HASH_BYTES + GAME_BYTES], b""):
        if len(game) in (0, GAME_BYTES) and first_hash(game, text) == own:
            yield Header(text, own, game)
            return


def entries(raw: bytes) -> Iterator[Row]:
    """The entries in these bytes, each proved by its hash."""
    end = raw.find(_HASHES)
    while end >= 0:
        for game in _GAMES:
            values = end + len(_HASHES) + len(game)
            if raw[values - len(game) : values] == game:
                yield from _ending_at(raw, values)
        end = raw.find(_HASHES, end + 1)


def _ending_at(raw: bytes, values: int) -> Iterator[Row]:
    """The entry whose head ends at `values`, where its values begin."""
    for start in range(max(0, values - _LONGEST_HEAD), values - len(_HASHES)):
        # A record's head begins with its own length; the row's number stands before the head.
        if raw[start] == values - start and (types := _types(raw[start + 1 : values])):
            columns = _values(raw, values, types)
            rows = ((number, *columns[1:]) for number in _numbers(raw, start))
            yield from (row for row in rows if columns and proven(row))


def _types(head: bytes) -> list[int]:
    """The column types in a record's head; empty if it cannot be the head of an entry."""
    types, value = [], 0
    for byte in head:
        value = value << 7 | byte & 0x7F
        if byte < 0x80:
            types.append(value)
            value = 0
    texts = [types[at] for at in (1, 2, 3, 6)] if len(types) in _COLUMNS else [0]
    whole = all(each >= 13 and each % 2 for each in texts) and types[0] == 0
    return types if whole and types[4] in _INTEGERS and types[5] in _INTEGERS else []


def _values(raw: bytes, at: int, types: list[int]) -> list[Any]:
    """The values that follow a head; empty if a text is not valid UTF-8."""
    made: list[Any] = []
    for kind in types:
        size = _INTEGERS.get(kind, max(0, kind - 12) // 2)
        part = raw[at : at + size]
        if kind in (8, 9):
            made.append(kind - 8)
        elif kind in _INTEGERS:
            made.append(int.from_bytes(part, "big", signed=True))
        elif kind % 2:
            try:
                made.append(part.decode())
            except UnicodeDecodeError:
                return []
        else:
            made.append(part)
        at += size
    return made


def _numbers(raw: bytes, end: int) -> Iterator[int]:
    """The row numbers that may end at `end`, in one to three bytes."""
    number = 0
    for nth in range(3):
        byte = raw[end - 1 - nth] if end - 1 - nth >= 0 else 0x80
        if nth and byte < 0x80:
            return
        number |= (byte & 0x7F) << 7 * nth
        yield number
