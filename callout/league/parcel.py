"""What is sent of one game: its id, its header, its entries with their hashes, and its people."""

from __future__ import annotations

from contextlib import closing
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Final

from callout.errors import CalloutError
from callout.game.fold import Entry
from callout.game.terms import Team
from callout.table.book.chain import GAME_BYTES, first_hash, follow, mark
from callout.table.book.journal import Journal
from callout.table.book.recorded_header import read_header
from callout.table.book.rows import ENTRY_COLUMNS, read_entry
from callout.table.setup.setup import Setup

Row = tuple[Any, ...]
"""An entry's columns, the hash before it, and its own."""

_ENTRIES: Final = "SELECT * FROM entry ORDER BY id"
_OWN: Final = ENTRY_COLUMNS + 1


@dataclass(frozen=True, slots=True)
class Person:
    """One player of a game."""

    side: str
    number: str
    initials: str
    name: str


@dataclass(frozen=True, slots=True)
class Parcel:
    """A game as rows."""

    game: bytes
    header: str
    start: bytes
    """The hash before the first entry."""
    rows: tuple[Row, ...]
    people: tuple[Person, ...] = ()

    def hash_at(self, number: int) -> bytes | None:
        """The hash of the entry of that number; of none, the hash before the first."""
        if not number:
            return self.start
        return next((row[_OWN] for row in self.rows if row[0] == number), None)

    @property
    def newest(self) -> int:
        """The number of its newest entry; 0 for none."""
        return int(self.rows[-1][0]) if self.rows else 0

    @property
    def mark(self) -> str:
        """The mark of the game, as on its printed sheet."""
        return mark(self.rows[-1][_OWN] if self.rows else self.start)

    def after(self, number: int) -> tuple[Row, ...]:
        """The rows of later entries."""
        return tuple(row for row in self.rows if row[0] > number)


def parcel_of(journal: Journal) -> Parcel:
    """The game of a journal, as it stands.

    Raises:
        CalloutError: it was recorded before games had an id.
    """
    with closing(journal.snapshot()) as database:
        header, start, game = database.execute("SELECT setup, hash, game FROM header").fetchone()
        rows = database.execute(_ENTRIES).fetchall()
    if len(game) != GAME_BYTES:
        what = "was recorded by a callout that gave games no id, and cannot be sent"
        raise CalloutError(f"{journal.path}: {what}")
    shortened = tuple(row[: ENTRY_COLUMNS + 2] for row in rows)
    return Parcel(game, header, start, shortened, people_of(journal.setup))


def people_of(setup: Setup) -> tuple[Person, ...]:
    """Everybody on both lists."""
    return tuple(
        Person(team.value, player.number, initials(player.name), player.name)
        for team in Team
        for player in setup.team(team).players
    )


def initials(name: str) -> str:
    """The first letter of each part of a name: `Ada Moss` is `A. M.`"""
    return " ".join(f"{part[0].upper()}." for part in name.split() if part[0].isalnum())[:20]


def read_parcel(parcel: Parcel) -> tuple[Setup, tuple[Entry, ...]]:
    """The setup and the entries of a parcel, once its chain is checked from first to last.

    Raises:
        CalloutError: something is not as it was recorded.
    """
    if first_hash(parcel.game, parcel.header) != parcel.start:
        raise CalloutError("the header is not as it was recorded")
    follow(parcel.start, parcel.game, ((*row, parcel.game) for row in parcel.rows))
    try:
        setup = read_header(parcel.header, Path("header"))
        return setup, tuple(read_entry(row) for row in parcel.rows)
    except (ValueError, TypeError, KeyError, AttributeError) as error:
        raise CalloutError(f"cannot be read: {error}") from None
