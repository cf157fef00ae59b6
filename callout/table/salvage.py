"""Every whole entry out of a damaged journal.

Two ways, and what both find is put together. SQLite is asked for the rows from either end, until
it meets the damage. And the raw bytes of the file and of its log are searched for rows, wherever
they lie: a row proves itself by its hash, so no page, no index and no table need be sound.

A row of more than 4,061 bytes, which SQLite splits over pages, is found the first way only; the
longest entry of all games in the tests has 338. Entries of version 1 have no hash: they are taken
as SQLite reads them, and counted as unproven.
"""

from __future__ import annotations

import hashlib
import json
import shutil
import sqlite3
import tempfile
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Final

from callout.errors import CalloutError, InputError, JournalError
from callout.game.fold import Entry
from callout.table.chain import Row, proven
from callout.table.database import log_of
from callout.table.files import why
from callout.table.journal import Journal
from callout.table.names import Name, with_names
from callout.table.reply import Said
from callout.table.rows import ENTRY_COLUMNS, read_entry, read_said
from callout.table.setup import Item, Setup, make_setup

_COLUMNS: Final = ENTRY_COLUMNS + 2
_HASHES: Final = b"\x4c\x4c"
"""How the head of an entry's record ends: two blobs of 32 bytes.

Source: SQLite, "Database File Format", section 2.1: a blob of n bytes has the type 12 + 2 n.
"""
_LONGEST_HEAD: Final = 24
_INTEGERS: Final = {1: 1, 2: 2, 3: 3, 4: 4, 5: 6, 6: 8, 8: 0, 9: 0}
"""Bytes of an integer by its type: the same section."""
_SETUP_BEGINS: Final = b'{"profile":"'


@dataclass(frozen=True, slots=True)
class Salvage:
    """What is whole in a damaged journal."""

    setup: Setup | None
    entries: tuple[Entry, ...]
    said: tuple[Said, ...]
    lost: tuple[int, ...]
    """Numbers of entries that are missing before the newest whole one."""
    unproven: int = 0
    """How many entries are of a version without hashes: what was changed in them does not show."""


def salvage(path: Path) -> Salvage:
    """What is whole in that file; the file itself is left as it is.

    Raises:
        JournalError: it cannot be read.
    """
    with tempfile.TemporaryDirectory(prefix="callout-recover-") as folder:
        copy = Path(folder) / "game"
        raw = b"".join(_copied(path, copy))
        tables = {name: list(_asked(copy, name)) for name in ("header", "name", "entry", "reply")}
    setups = [row[1] for row in tables["header"] if len(row) > 1] + list(_setups(raw))
    unproven: dict[Any, Row] = {row[0]: row for row in tables["entry"] if len(row) == ENTRY_COLUMNS}
    rows = unproven | {row[0]: row for row in (*_entries(raw), *tables["entry"]) if proven(row)}
    entries = tuple(_read(read_entry, rows.values()))
    there = {entry.id for entry in entries}
    return Salvage(
        next((setup for text in setups if (setup := _setup(text, tables["name"], path))), None),
        entries,
        tuple(_read(read_said, tables["reply"])),
        tuple(number for number in range(1, max(there, default=0)) if number not in there),
        len(there & unproven.keys()),
    )


def write_salvage(found: Salvage, setup: Setup, path: Path) -> None:
    """Writes what was found into a new journal, its hashes made anew.

    Raises:
        JournalError: there is a file of that name, or none can be made there.
    """
    with Journal.create(path, setup) as journal:
        for entry in found.entries:
            journal.append(entry, [said for said in found.said if said.entry == entry.id])
        there = {entry.id for entry in found.entries}
        journal.note(said for said in found.said if said.entry not in there)


def _copied(path: Path, copy: Path) -> Iterator[bytes]:
    try:
        shutil.copyfile(path, copy)
        if log_of(path).exists():
            shutil.copyfile(log_of(path), log_of(copy))
    except OSError as error:
        raise JournalError(f"{path}: cannot be read: {why(error)}") from None
    for each in (copy, log_of(copy)):
        if each.exists():
            yield each.read_bytes()


# --- what SQLite can still read -------------------------------------------------------------


def _asked(path: Path, table: str) -> Iterator[Row]:
    """The rows of a table that can be read from its beginning, or from its end."""
    seen: set[Row] = set()
    for order in ("ASC", "DESC"):
        database = sqlite3.connect(path)
        try:
            for row in database.execute(f"SELECT * FROM {table} ORDER BY rowid {order}"):
                if row not in seen:
                    seen.add(row)
                    yield row
        except (sqlite3.Error, UnicodeDecodeError):
            continue  # From here on it is damaged; the other end may be whole.
        finally:
            database.close()


def _read(read: Any, rows: Iterable[Row]) -> Iterator[Any]:
    """Those rows that can be read."""
    for row in sorted(rows, key=lambda row: str(type(row[0])) + f"{row[0]!s:>9}"):
        try:
            yield read(row)
        except (CalloutError, ValueError, TypeError, KeyError, AttributeError):
            continue


def _setup(text: object, names: Iterable[Row], path: Path) -> Setup | None:
    try:
        setup = make_setup([Item(*pair) for pair in json.loads(str(text)).items()], path)
    except (ValueError, TypeError, AttributeError, InputError):
        return None
    known: list[Name] = [(str(t), str(n), str(name)) for t, n, name in names]
    # Version 1 has them in its header.
    return with_names(setup, known) if known else setup


# --- what lies in the bytes -----------------------------------------------------------------


def _setups(raw: bytes) -> Iterator[str]:
    """Headers that are followed by their own hash."""
    at = raw.find(_SETUP_BEGINS)
    while at >= 0:
        try:
            # One byte is one character here, so that the place of the end is right.
            _, end = json.JSONDecoder().raw_decode(raw[at : at + 65_536].decode("latin-1"))
        except ValueError:
            end = 0
        text = raw[at : at + end]
        if end and raw[at + end :].startswith(hashlib.sha256(text).digest()):
            yield text.decode()
        at = raw.find(_SETUP_BEGINS, at + 1)


def _entries(raw: bytes) -> Iterator[Row]:
    """Entries wherever they lie; each is proven by its hash."""
    end = raw.find(_HASHES)
    while end >= 0:
        values = end + len(_HASHES)
        for start in range(max(0, values - _LONGEST_HEAD), end):
            # The head begins with its own length, and the number of the row stands before it.
            if raw[start] == values - start and (types := _types(raw[start + 1 : values])):
                columns = _values(raw, values, types)
                rows = ((number, *columns[1:]) for number in _numbers(raw, start))
                yield from (row for row in rows if columns and proven(row))
        end = raw.find(_HASHES, end + 1)


def _types(head: bytes) -> list[int]:
    """The types in a record's head; empty if it cannot be an entry's."""
    types, value = [], 0
    for byte in head:
        value = value << 7 | byte & 0x7F
        if byte < 0x80:
            types.append(value)
            value = 0
    texts = [types[at] for at in (1, 2, 3, 6)] if len(types) == _COLUMNS else [0]
    whole = all(each >= 13 and each % 2 for each in texts) and types[0] == 0
    return types if whole and types[4] in _INTEGERS and types[5] in _INTEGERS else []


def _values(raw: bytes, at: int, types: list[int]) -> list[Any]:
    """The values behind a head; empty where a text is none."""
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
    """What the number of a row may be that ends at that place, in one to three bytes."""
    number = 0
    for nth in range(3):
        byte = raw[end - 1 - nth] if end - 1 - nth >= 0 else 0x80
        if nth and byte < 0x80:
            return
        number |= (byte & 0x7F) << 7 * nth
        yield number
