"""What the engine makes of the games on the server, kept beside their entries.

A result is only a copy of what follows from the entries: `rebuild` makes all of them again and
compares.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import astuple, dataclass, field
from itertools import groupby
from typing import TYPE_CHECKING, Any, Final

from callout.errors import CalloutError
from callout.league.parcel import Parcel, read_parcel
from callout.league.result import Offence, PlayerLine, Result, result_of

if TYPE_CHECKING:
    from callout.edges.league.server import Connection

Book = tuple[bytes, int]
"""A game's id and the number of the version."""

BATCH: Final = 50
"""Books counted in one transaction. Their senders wait meanwhile."""

MOST: Final = 10_000
"""The largest figure of a game that is believed."""

_MAY_COUNT: Final = """
SELECT has_table_privilege('callout.result', 'INSERT')
   AND current_setting('transaction_read_only') = 'off'
"""
_LOCKED: Final = """
SELECT game, version, header, start FROM callout.version
WHERE (game, version) IN (SELECT * FROM unnest(%s::bytea[], %s::smallint[]))
ORDER BY game, version FOR UPDATE
"""
_ENTRIES: Final = """
SELECT game, version, number, call, fields, source, left_tenths, wall_ms, events, former, hash
FROM callout.entry
WHERE (game, version) IN (SELECT * FROM unnest(%s::bytea[], %s::smallint[]))
ORDER BY game, version, number
"""
_RESULTS: Final = """
SELECT game, version, entries, over, period, home, guest, lost, defaulted, problems, signed
FROM callout.result
WHERE (game, version) IN (SELECT * FROM unnest(%s::bytea[], %s::smallint[]))
"""
_LINES: Final = """
SELECT game, version, side, number, points, made_1, made_2, made_3, missed_1, fouls
FROM callout.player_line
WHERE (game, version) IN (SELECT * FROM unnest(%s::bytea[], %s::smallint[]))
"""
_OFFENCES: Final = """
SELECT game, version, side, who, kind, count FROM callout.offence
WHERE (game, version) IN (SELECT * FROM unnest(%s::bytea[], %s::smallint[]))
"""


@dataclass(slots=True)
class Rebuilt:
    """What a rebuild found."""

    games: int = 0
    entries: int = 0
    differing: list[tuple[bytes, int, Result | None, Result]] = field(default_factory=list)
    """Books whose kept result was another: id, version, the kept one, and the right one."""
    sums: int = 0
    """Teams whose kept sums were not those of the results."""


def catch_up(connection: Connection) -> int:
    """Counts what came since the last time; how many books that was.

    A role that may not write results finds them as they were last counted, and so does everybody
    at a replica, where nothing can be written.
    """
    if connection.execute(_MAY_COUNT).fetchone() != (True,):
        return 0
    query = "SELECT game, version FROM callout.version WHERE uncounted ORDER BY game, version"
    books = [(bytes(game), version) for game, version in connection.execute(query).fetchall()]
    for batch in _batches(books):
        with connection.transaction():
            counted = _count(connection, batch)
            _keep(connection, [(book, each) for book, each, _ in counted])
    _sum_again(connection)
    return len(books)


def _sum_again(connection: Connection) -> None:
    """Makes the sums again of all teams for which something has changed."""
    with connection.transaction():
        connection.execute("SELECT callout.sum_again()")


def _check_sums(connection: Connection) -> int:
    """For how many teams the kept sums are not what the results make; they are put right."""
    _sum_again(connection)
    wrong = connection.execute("SELECT callout.check_sums()").fetchall()
    _sum_again(connection)
    return len(wrong)


def rebuild(connection: Connection) -> Iterator[Rebuilt]:
    """Counts every book again, compares, and puts right; what was found so far after each batch.

    After the last batch all sums are compared with what the results make, and put right, too.
    """
    catch_up(connection)
    query = "SELECT game, version FROM callout.version ORDER BY game, version"
    books = [(bytes(game), version) for game, version in connection.execute(query).fetchall()]
    found = Rebuilt()
    for batch in _batches(books):
        with connection.transaction():
            counted = _count(connection, batch)
            kept = read_results(connection, batch)
            wrong = [(book, right) for book, right, _ in counted if kept.get(book) != right]
            found.differing += [(*book, kept.get(book), right) for book, right in wrong]
            _keep(connection, wrong)
        found.games += len(batch)
        found.entries += sum(count for _, _, count in counted)
        if found.games == len(books):
            found.sums = _check_sums(connection)
        yield found


def _batches(books: Sequence[Book]) -> Iterator[Sequence[Book]]:
    for at in range(0, len(books), BATCH):
        yield books[at : at + BATCH]


def _count(connection: Connection, books: Sequence[Book]) -> list[tuple[Book, Result, int]]:
    """The result of each book, and how many entries it has; no entry is added meanwhile."""
    keys = _keys(books)
    heads = connection.execute(_LOCKED, keys).fetchall()
    rows: dict[Book, tuple[Any, ...]] = {
        (bytes(game), version): tuple((*row[2:9], bytes(row[9]), bytes(row[10])) for row in of_book)
        for (game, version), of_book in groupby(
            connection.execute(_ENTRIES, keys), lambda row: (row[0], row[1])
        )
    }
    counted = []
    for game, version, header, start in heads:
        book = (bytes(game), version)
        parcel = Parcel(book[0], header, bytes(start), rows.get(book, ()))
        counted.append((book, counted_from(parcel), len(parcel.rows)))
    return counted


def counted_from(parcel: Parcel) -> Result:
    """The result of a book. One that cannot be read has none but the reason, as a problem."""
    try:
        made = result_of(*read_parcel(parcel))
        if _fits(made):
            return made
        why = "has figures that no game has"
    except CalloutError as error:
        why = str(error)
    except Exception as error:  # What a sender made up must not stop the others' results.
        why = f"cannot be played again: {type(error).__name__}"
    return Result(parcel.newest, False, 0, 0, 0, problems=(why,))


def _fits(made: Result) -> bool:
    """Whether its figures fit into the table."""
    figures = [made.home, made.guest, made.period]
    figures += [each for line in made.lines for each in astuple(line) if isinstance(each, int)]
    return all(abs(each) <= MOST for each in figures)


def read_results(connection: Connection, books: Sequence[Book]) -> dict[Book, Result]:
    """The results that are kept."""
    keys = _keys(books)
    lines, offences = _by_book(connection, _LINES, keys), _by_book(connection, _OFFENCES, keys)
    made = {}
    for row in connection.execute(_RESULTS, keys):
        book = (bytes(row[0]), row[1])
        entries, over, period, home, guest, lost, defaulted, problems, signed = row[2:]
        made[book] = Result(
            entries, over, period, home, guest, lost, defaulted, tuple(problems),
            tuple(sorted(PlayerLine(*each) for each in lines.get(book, ()))),
            tuple(sorted(Offence(*each) for each in offences.get(book, ()))), signed,
        )  # fmt: skip
    return made


def _keys(books: Sequence[Book]) -> tuple[list[bytes], list[int]]:
    return [game for game, _ in books], [version for _, version in books]


def _by_book(
    connection: Connection, query: str, keys: tuple[list[bytes], list[int]]
) -> dict[Book, list[tuple[Any, ...]]]:
    found: dict[Book, list[tuple[Any, ...]]] = {}
    for game, version, *rest in connection.execute(query.encode(), keys):
        found.setdefault((bytes(game), version), []).append(tuple(rest))
    return found


def _keep(connection: Connection, counted: Iterable[tuple[Book, Result]]) -> None:
    results, lines, offences, books = [], [], [], []
    for book, each in counted:
        books.append(book)
        results.append((*book, each.entries, each.over, each.period, each.home, each.guest,
                        each.lost, each.defaulted, list(each.problems), each.signed))  # fmt: skip
        lines += [(*book, *astuple(line)) for line in each.lines]
        offences += [(*book, *astuple(offence)) for offence in each.offences]
    keys = _keys(books)
    with connection.cursor() as cursor:
        cursor.execute(
            "DELETE FROM callout.result WHERE (game, version) IN "
            "(SELECT * FROM unnest(%s::bytea[], %s::smallint[]))", keys,
        )  # fmt: skip
        _copy(cursor, "result (game, version, entries, over, period, home, guest, lost, defaulted, "
              "problems, signed)", results)  # fmt: skip
        _copy(cursor, "player_line (game, version, side, number, points, made_1, made_2, made_3, "
              "missed_1, fouls)", lines)  # fmt: skip
        _copy(cursor, "offence (game, version, side, who, kind, count)", offences)
        cursor.execute(
            "UPDATE callout.version SET uncounted = false WHERE uncounted AND (game, version) IN "
            "(SELECT * FROM unnest(%s::bytea[], %s::smallint[]))", keys,
        )  # fmt: skip


def _copy(cursor: Any, into: str, rows: Iterable[Sequence[Any]]) -> None:
    with cursor.copy(f"COPY callout.{into} FROM STDIN") as copy:
        for row in rows:
            copy.write_row(row)
