"""`callout sheet`: the book of games, as a sheet to sign, as text, as CSV tables or as JSON."""

from __future__ import annotations

import sys
from collections.abc import Iterable, Iterator, Sequence
from pathlib import Path

from rich.console import Console
from rich.progress import track

from callout.commands.names_due import names_due
from callout.commands.pages import forms
from callout.commands.sheet_pages import Printing, print_sheet
from callout.commands.twice import Twice
from callout.edges.typesetting import TypesetError
from callout.errors import CalloutError
from callout.language.words import words_of
from callout.paper.export import SCHEMA, Recorded, csv_tables, json_line
from callout.paper.read import read_recorded
from callout.paper.text import book_text
from callout.plain import plain
from callout.table.book.files import write_whole, writing
from callout.table.setup.game_path import check_game_path


def run(
    games: Sequence[Path],
    text: bool = False,
    folder: Path | None = None,
    as_json: bool = False,
    schema: bool = False,
    printing: Printing | None = None,
) -> int:
    """What was asked for on the command line; returns the exit status.

    Raises:
        CalloutError: more than one form was named, or no game.
    """
    pages = printing is not None and bool(printing.files)
    if text + as_json + schema + (folder is not None) + pages > 1:
        raise CalloutError("expected one of --text, --csv, --json, --schema and --pdf or --png")
    if schema:
        print(SCHEMA.read_text(encoding="utf-8"), end="")
        return 0
    if not games:
        raise CalloutError("expected a game's file, such as saturday.game, got none")
    if printing is not None and pages:
        return print_sheets(games, printing)
    return sheet(games, "csv" if folder is not None else "json" if as_json else "text", folder)


def wanted(
    pdf: bool, png: bool, paper: str, form: str, unfinished: bool, to: Path | None
) -> Printing:
    """What was asked for of the sheet that is signed."""
    return Printing(tuple(forms(pdf, png)), paper, form, unfinished, to)


def print_sheets(games: Sequence[Path], printing: Printing) -> int:
    """Write a score sheet for each game; a game that has none is told, and the others go on.

    Returns the exit status: 2 if a game of several has none.

    Raises:
        CalloutError: the paper or the form is unknown, the only game cannot be printed, or none
            can.
    """
    printing.check(games)
    status = 0
    for game, recorded in readable(games, "Printing the sheets"):
        if recorded is None:
            status = 2
            continue
        try:
            print_sheet(game, recorded, printing)
            names_due(game, one_of_many=len(games) > 1)
        except CalloutError as error:
            if len(games) == 1 or isinstance(error, TypesetError):
                raise
            print(f"callout: {error}", file=sys.stderr)
            status = 2
    return status


def sheet(games: Sequence[Path], form: str = "text", folder: Path | None = None) -> int:
    """Print the books as `text` or `json`, or write them as the tables of `csv` into a folder.

    Returns the exit status: 2 if a book of several cannot be read; the others are printed. No
    table is written before every game has been tried.

    Raises:
        CalloutError: two games have one name, or a table cannot be written.
        JournalError: the only game cannot be read.
    """
    if form == "csv":
        return _write_tables(games, folder or Path())
    status, between = 0, ""
    for _, recorded in readable(games, "Reading the games"):
        if recorded is None:
            status = 2
        elif form == "json":
            print(json_line(recorded))
        else:
            print(between + _text(recorded), end="")
            between = "\n"
    return status


def _text(recorded: Recorded) -> str:
    words = words_of(recorded.setup.language)
    return book_text(recorded.game, recorded.setup, recorded.left_tenths, words, recorded.mark)


def _write_tables(games: Sequence[Path], folder: Path) -> int:
    names = [path.stem for path in games]
    if twice := next((name for name in names if names.count(name) > 1), None):
        raise CalloutError(f"{twice}: expected games of different names, got two of this one")
    lacking: list[str] = []
    tables = csv_tables(_whole(games, lacking))
    if len(lacking) == len(games):
        # Older tables hold what can no longer be read: empty ones must not take their place.
        print("callout: no game can be read, so no table is written", file=sys.stderr)
        return 2
    for name, text in tables.items():
        path = folder / f"{name}.csv"
        with writing(path):
            folder.mkdir(parents=True, exist_ok=True)
            # The mark at the start tells spreadsheets that the text is UTF-8.
            write_whole(path, text.encode("utf-8-sig"))
        print(path)
    if lacking:
        print(plain(f"callout: these tables lack {', '.join(lacking)}"), file=sys.stderr)
        return 2
    return 0


def _whole(games: Sequence[Path], lacking: list[str]) -> Iterator[Recorded]:
    """The games that can be read; the paths of the others are added to `lacking`."""
    for path, recorded in readable(games, "Reading the games"):
        if recorded is None:
            lacking.append(str(path))
        else:
            yield recorded


def readable(games: Sequence[Path], doing: str) -> Iterator[tuple[Path, Recorded | None]]:
    """Each file with its game; of several one that cannot be read is told, and has None.

    Raises:
        CalloutError: the only game cannot be read.
    """
    twice = Twice()
    for path in _shown(games, doing):
        try:
            recorded = read(path)
        except CalloutError as error:
            if len(games) == 1:
                raise
            print(f"callout: {error}", file=sys.stderr)
            yield path, None
            continue
        twice.tell(path, recorded.origin, recorded.mark)
        yield path, recorded


def _shown(games: Sequence[Path], doing: str) -> Iterable[Path]:
    """The games; several with a bar of progress on a terminal."""
    if len(games) > 1 and sys.stderr.isatty():
        return track(games, doing, console=Console(stderr=True))
    return games


def read(path: Path) -> Recorded:
    """The game of a file, as it stands.

    Raises:
        CalloutError: the name is no game's.
        JournalError: the game cannot be read.
    """
    check_game_path(path)
    recorded, doubt = read_recorded(path)
    if doubt:
        print(doubt, file=sys.stderr)
    return recorded
