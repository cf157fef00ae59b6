"""`callout sheet`: the book of one or more games, as text, as CSV tables or as JSON."""

from __future__ import annotations

import sys
from collections.abc import Iterable, Iterator, Sequence
from pathlib import Path

from rich.console import Console
from rich.progress import track

from callout.errors import CalloutError, why
from callout.paper.export import SCHEMA, Recorded, csv_tables, json_line
from callout.paper.text import book_text
from callout.table.book.files import write_whole
from callout.table.book.journal import Journal
from callout.table.book.read import read_game
from callout.table.setup.game_path import check_game_path


def run(games: Sequence[Path], text: bool, folder: Path | None, as_json: bool, schema: bool) -> int:
    """What was asked for on the command line; returns the exit status.

    Raises:
        CalloutError: more than one form was named, or no game.
    """
    if text + as_json + schema + (folder is not None) > 1:
        raise CalloutError("expected one of --text, --csv, --json and --schema")
    if schema:
        print(SCHEMA.read_text(encoding="utf-8"), end="")
        return 0
    if not games:
        raise CalloutError("expected a game's file")
    return sheet(games, "csv" if folder is not None else "json" if as_json else "text", folder)


def sheet(games: Sequence[Path], form: str = "text", folder: Path | None = None) -> int:
    """Print the books as `text` or `json`, or write them as the tables of `csv` into a folder.

    Returns the exit status. No table is written before every game has been read.

    Raises:
        CalloutError: two games have one name, or a table cannot be written.
        JournalError: a game cannot be read.
    """
    if form == "csv":
        _write_tables(games, folder or Path())
        return 0
    for nth, recorded in enumerate(read_all(games)):
        if form == "json":
            print(json_line(recorded))
        else:
            print("\n" * bool(nth) + _text(recorded), end="")
    return 0


def _text(recorded: Recorded) -> str:
    return book_text(recorded.game, recorded.setup, recorded.left_tenths, recorded.mark)


def _write_tables(games: Sequence[Path], folder: Path) -> None:
    names = [path.stem for path in games]
    if twice := next((name for name in names if names.count(name) > 1), None):
        raise CalloutError(f"{twice}: expected games of different names, got two of this one")
    for name, text in csv_tables(read_all(games)).items():
        path = folder / f"{name}.csv"
        try:
            folder.mkdir(parents=True, exist_ok=True)
            # The mark at the start tells spreadsheets that the text is UTF-8.
            write_whole(path, text.encode("utf-8-sig"))
        except OSError as error:
            raise CalloutError(f"{path}: cannot be written: {why(error)}") from None
        print(path)


def read_all(games: Sequence[Path]) -> Iterator[Recorded]:
    """The games of these files, in order; several with a bar of progress on a terminal.

    Raises:
        CalloutError: a name is no game's.
        JournalError: a game cannot be read.
    """
    shown: Iterable[Path] = games
    if len(games) > 1 and sys.stderr.isatty():
        shown = track(games, "Reading the games", console=Console(stderr=True))
    for path in shown:
        yield _read(path)


def _read(path: Path) -> Recorded:
    check_game_path(path)
    with Journal.read(path) as journal:
        if journal.doubt:
            print(journal.doubt, file=sys.stderr)
        kept = read_game(journal)
        return Recorded(
            path.stem, journal.setup, kept.game, kept.entries, kept.left_tenths, journal.mark
        )
