"""Saves every whole entry of a damaged journal.

Entries are looked for in two ways. SQLite reads the rows from both ends of each table until it
meets the damage. And the raw bytes of the file and its log are searched for rows, wherever they
lie: the hash of a row proves that it is whole and to which game it belongs. All this is done in
memory; the file and what lies beside it stay as they are.

Entries of version 1 have no hash: they are taken as SQLite reads them, and counted as unproven.
Those of version 2 have no game's id: they are taken if their chain leads back to the header, or to
an entry that is lost.
"""

from __future__ import annotations

import sqlite3
from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Set
from contextlib import closing
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Final

from callout.errors import CalloutError, JournalError
from callout.game.fold import Entry
from callout.reading import exists, is_file
from callout.table.book import raw_rows
from callout.table.book.audit import missing
from callout.table.book.chain import Row, first_hash, game_of, proven
from callout.table.book.files import why
from callout.table.book.journal import Journal
from callout.table.book.leftover import in_use, in_use_error, kept_logs, log_of, size_of
from callout.table.book.raw_rows import Header
from callout.table.book.recorded_header import read_header, setup_of
from callout.table.book.rows import ENTRY_COLUMNS, load_json, read_entry, read_said
from callout.table.book.write_ahead_log import Log, State, merged, open_image, pages_short, read_log
from callout.table.setup.setup import Setup
from callout.table.speech.reply import Said

_TABLES: Final = ("header", "name", "entry", "reply")
_FORMER, _OWN = ENTRY_COLUMNS, ENTRY_COLUMNS + 1
_MOST_SILENT: Final = 5
"""The most entries in a row without a reply in the journal. A number further beyond the newest
entry than this is taken for damage, not for the trace of a lost entry."""


@dataclass(frozen=True, slots=True)
class Salvage:
    """What is whole in a damaged journal."""

    setup: Setup | None
    game: bytes | None
    """The game's id; None if neither header nor entries show it."""
    entries: tuple[Entry, ...]
    said: tuple[Said, ...]
    lost: tuple[range, ...]
    """Numbers of entries that are missing, also after the newest whole one if there is a trace."""
    complete: bool
    """Whether no newer entry can have existed: everything was read to its end without damage."""
    short: tuple[int, int] | None = None
    """The pages that the file has and those that it should have, if some are missing."""
    unproven: int = 0
    """Entries of version 1, which has no hashes: a change in them cannot be detected."""
    others: int = 0
    """Entries of other games that were found and not saved."""


@dataclass(frozen=True, slots=True)
class _Found:
    """The rows of the tables that SQLite could read."""

    rows: Mapping[str, list[Row]]
    sound: bool
    """Whether SQLite finds no damage and could read all entries."""


def salvage(path: Path) -> Salvage:
    """What is whole in a game's file and in the log beside it.

    Raises:
        JournalError: it cannot be read, or another program has the game open.
    """
    main, raw, kept = _bytes(path)
    log = read_log(raw)
    found = _found(main, log)
    headers = [*raw_rows.headers(main), *_headers(found.rows["header"]), *raw_rows.headers(raw)]
    read = [row for row in found.rows["entry"] if proven(row)]
    rows = [*raw_rows.entries(main + raw + kept), *read]
    header = headers[0] if headers else None
    game = header.game if header else _most_common_game(rows)
    old = {row[0]: row for row in found.rows["entry"] if len(row) == ENTRY_COLUMNS}
    mine = {**old, **_chained([row for row in rows if game_of(row) == game], header)}
    entries = tuple(_read(read_entry, mine.values()))
    said = tuple(_read(read_said, found.rows["reply"]))
    numbers = {entry.id for entry in entries}
    newest = max(numbers, default=0)
    # The number in a damaged row may be wrong, too; but each such row was one more entry.
    more = sum(1 for row in found.rows["entry"] if _number(row) > newest)
    answered = {each.entry for each in said if each.entry}
    lost = missing(
        numbers, _newest_trace(newest, answered | {*range(newest + 1, newest + 1 + more)})
    )
    short = pages_short(main, log)
    whole = found.sound and log.state is State.WHOLE and short is None
    return Salvage(
        _setup(header, found, path),
        game,
        entries,
        said,
        lost,
        whole and _all_accounted_for(found.rows["entry"], numbers, lost),
        short,
        len(numbers & old.keys()),
        len({(game_of(row), row[0]) for row in rows if game_of(row) != game}),
    )


def write_salvage(found: Salvage, setup: Setup, path: Path) -> None:
    """Writes what was found into a new journal of the same game, with new hashes.

    Raises:
        JournalError: a file of that name exists, or none can be made there.
    """
    with Journal.create(path, setup, found.game) as journal:
        for entry in found.entries:
            journal.append(entry, [said for said in found.said if said.entry == entry.id])
        there = {entry.id for entry in found.entries}
        journal.note(said for said in found.said if said.entry not in there)


def _bytes(path: Path) -> tuple[bytes, bytes, bytes]:
    """The bytes of the file, of its log, and of the logs kept beside it."""
    log = log_of(path)
    if in_use(path):
        raise in_use_error(path)
    if exists(path) and not is_file(path):
        raise JournalError(f"{path}: expected a game's journal, got another kind of file")
    try:
        main = path.read_bytes() if exists(path) or not size_of(log) else b""
        raw = log.read_bytes() if log.is_file() else b""
        kept = b"".join(each.read_bytes() for each in kept_logs(path))
    except OSError as error:
        raise JournalError(f"{path}: cannot be read: {why(error)}") from None
    if read_log(main).pages:
        return b"", main, b""  # The path given is that of a log.
    return main, raw, kept


# --- what SQLite can still read -------------------------------------------------------------


def _found(main: bytes, log: Log) -> _Found:
    """The rows that SQLite reads in the file merged with its log.

    If the log is damaged, also those in the file merged with the frames behind the damage.
    """
    images = [merged(main, log)] + ([merged(main, log, beyond=True)] if log.beyond else [])
    rows: dict[str, dict[Row, None]] = {name: {} for name in _TABLES}
    sound = _is_sound(images[0])
    for nth, image in enumerate(images):
        for name in _TABLES:
            for order in ("ASC", "DESC"):
                with closing(open_image(image)) as database:
                    ended = _read_from(database, name, order, rows[name])
                sound = sound and (ended or nth > 0 or name != "entry")
    return _Found({name: list(found) for name, found in rows.items()}, sound)


def _is_sound(image: bytes) -> bool:
    try:
        with closing(open_image(image)) as database:
            return bool(database.execute("PRAGMA quick_check").fetchone() == ("ok",))
    except (sqlite3.Error, UnicodeDecodeError):
        return False  # SQLite's own report of damage may quote bytes that are not text.


def _read_from(database: sqlite3.Connection, table: str, order: str, rows: dict[Row, None]) -> bool:
    """Adds the rows that can be read from one end of a table; whether the other end was reached."""
    try:
        kind = database.execute("SELECT type FROM sqlite_master WHERE name = ?", (table,))
        if kind.fetchone() != ("table",):
            return False
        for row in database.execute(f"SELECT * FROM {table} ORDER BY rowid {order}"):
            rows.setdefault(row)
    except (sqlite3.Error, UnicodeDecodeError):
        return False  # The rest is damaged from this end; the other end may be whole.
    return True


def _read(read: Any, rows: Iterable[Row]) -> Iterator[Any]:
    """The rows that can be read, in the order of their numbers."""
    for row in sorted(rows, key=lambda row: str(type(row[0])) + f"{row[0]!s:>9}"):
        try:
            yield read(row)
        except (CalloutError, ValueError, TypeError, KeyError, AttributeError):
            continue


def _headers(rows: Iterable[Row]) -> Iterator[Header]:
    """The headers whose own hash proves them."""
    for row in rows:
        text, own, game = (*row[1:4], b"")[:3] if len(row) > 2 else (None, None, None)
        if isinstance(text, str) and isinstance(game, bytes) and first_hash(game, text) == own:
            yield Header(text, own, game)


def _setup(header: Header | None, found: _Found, path: Path) -> Setup | None:
    names: list[Any] = found.rows["name"]
    try:
        if header is not None:
            return read_header(header.text, path, names)
        for row in found.rows["header"]:
            if len(row) == 2:  # Version 1 has no hash, and its header contains the names.
                return setup_of(load_json(row[1]), path)
    except (CalloutError, ValueError, TypeError, AttributeError):
        pass
    return None


# --- which entries are this game's -----------------------------------------------------------


def _most_common_game(rows: Iterable[Row]) -> bytes | None:
    """The id of the game to which most entries belong; None if there are no entries."""
    games = Counter(game for game, _ in {(game_of(row), row[0]) for row in rows})
    return games.most_common(1)[0][0] if games else None


def _chained(rows: Iterable[Row], header: Header | None) -> dict[Any, Row]:
    """The rows, by number, whose chain leads back to the header or to an entry that is lost."""
    known = {row[_OWN]: row for row in rows}
    roots: dict[object, Row] = {}
    chosen: dict[Any, Row] = {}
    for row in sorted(known.values(), key=lambda row: int(str(row[0]))):
        root = roots.get(row[_FORMER], row)
        roots[row[_OWN]] = root
        begins = header is None or root[_FORMER] == header.hash
        if begins or (root[0] != 1 and row[0] not in chosen):
            chosen[row[0]] = row
    return chosen


def _all_accounted_for(rows: Iterable[Row], numbers: Set[int], lost: Iterable[range]) -> bool:
    """Whether the rows that SQLite gives are exactly those that were saved or are named as lost."""
    given = {row[0] for row in rows}
    named = {number for number in given if any(number in gap for gap in lost)}
    return given == numbers | named


def _number(row: Row) -> int:
    return row[0] if isinstance(row[0], int) else 0


def _newest_trace(newest: int, beyond: Iterable[int]) -> int:
    """The number of the newest entry that left a trace.

    A number far beyond the others may itself be damaged, and does not count.
    """
    for number in sorted(beyond):
        if newest < number <= newest + _MOST_SILENT:
            newest = number
    return newest
