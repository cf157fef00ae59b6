"""Copies of a game at each period's end: its book as text, and its whole file.

They are written beside the game, and onto a stick if one is named. The game's thread only takes a
snapshot in memory; a slow or missing stick delays another thread, and no call. Where another game
of the same name has its copies on the stick, from another table or another day, these get a number.
"""

from __future__ import annotations

import errno
import os
import queue
import sqlite3
import sys
import threading
from collections.abc import Callable, Iterable
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path
from typing import Final

from callout.errors import JournalError
from callout.game.events import GameEnded, PeriodEnded
from callout.game.notices.kinds import Notice
from callout.language.words import words_of
from callout.paper.text import book_text
from callout.reading import exists
from callout.table.book.backup import game_id, game_in, write_copy
from callout.table.book.files import make_private, why, write_whole
from callout.table.book.leftover import refuse_leftovers
from callout.table.session import Session
from callout.table.speech.kinds import COPY_FAILED

MOST_NAMES: Final = 100
"""The most games of one name that may have their copies in one folder."""

PATIENCE_S: Final = 10.0
"""How long the game's end waits for the copies."""


@dataclass(frozen=True, slots=True)
class _Picture:
    """A game at one moment."""

    database: sqlite3.Connection
    text: str


class Copies:
    """Writes them in the background."""

    def __init__(self, session: Session, to: Path | None, tell: Callable[[Notice], None]) -> None:
        """`tell` is called once each time that a folder stops working."""
        self._session, self._tell = session, tell
        game = session.journal.path
        self._name = game.name
        self._folders = list(
            dict.fromkeys([game.absolute().parent, *([to.absolute()] if to else [])])
        )
        if to is not None and not exists(to):
            print(f"--copy-to: {to} is not there now; it is tried again at each period's end",
                  file=sys.stderr, flush=True)  # fmt: skip
        self._broken: set[Path] = set()
        self._names: dict[Path, str] = {}
        """The name that this game's copies have in each folder that was written to."""
        self._wanted: queue.Queue[_Picture | None] = queue.Queue()
        self._thread = threading.Thread(target=self._work, name="copies", daemon=True)
        self._thread.start()

    def after(self, entries: Iterable[int]) -> bool:
        """Writes them if one of these new entries ended a period or the game; whether one did."""
        made = set(entries)
        ended = any(
            isinstance(event, PeriodEnded | GameEnded)
            for entry in self._session.entries[-len(made) :]
            if entry.id in made
            for event in entry.events
        )
        if ended:
            self.write()
        return ended

    def write(self) -> None:
        """Writes them as the game stands now; whatever goes wrong with that, the game goes on."""
        try:
            self._wanted.put(self._picture())
        except Exception as error:  # A copy is never worth the game.
            for folder in self._folders:
                self._failed(folder, error)

    def _picture(self) -> _Picture:
        session = self._session
        for path in (each for folder in self._folders for each in self._paths(folder)):
            # A journal that cannot be written says so at the next call.
            with suppress(JournalError):
                session.journal.copied(path)
        setup, mark = session.journal.setup, session.journal.mark
        words, left = words_of(setup.language), session.now().left_tenths
        text = book_text(session.game, setup, left, words, mark)
        return _Picture(session.journal.snapshot(), text)

    def close(self) -> None:
        """Waits until they are written, for `PATIENCE_S` at most."""
        self._wanted.put(None)
        self._thread.join(PATIENCE_S)
        with suppress(JournalError):
            for folder in list(self._names):
                for path in self._paths(folder):
                    self._session.journal.copied(path)

    def _paths(self, folder: Path) -> tuple[Path, Path]:
        name = self._names.get(folder, self._name)
        return folder / f"{name}-book.txt", folder / f"{name}-copy"

    def _work(self) -> None:
        while (picture := self._wanted.get()) is not None:
            for folder in self._folders:
                self._write(picture, folder)
            picture.database.close()

    def _write(self, picture: _Picture, folder: Path) -> None:
        try:
            if folder not in self._names and folder != self._folders[0]:
                self._names[folder] = _free_name(folder, self._name, game_id(picture.database))
            text, copy = self._paths(folder)
            write_whole(text, picture.text.encode())
            write_copy(picture.database, copy)
            self._broken.discard(folder)
        except Exception as error:  # The next period's end must find this thread alive.
            self._unclaim(folder)
            self._failed(folder, error)

    def _unclaim(self, folder: Path) -> None:
        """Gives up a name under which nothing could be written."""
        copy = self._paths(folder)[1]
        with suppress(OSError):
            if folder in self._names and copy.stat().st_size == 0:
                copy.unlink()
                del self._names[folder]

    def _failed(self, folder: Path, error: Exception) -> None:
        if folder not in self._broken:
            self._broken.add(folder)
            print(f"{folder}: no copy could be written: {why(error)}", file=sys.stderr)
            # A name that is not valid text can be neither said nor kept.
            place = os.fsencode(folder.name).decode(errors="replace")
            self._tell(Notice(COPY_FAILED, slots={"place": place}))


def _free_name(folder: Path, name: str, game: bytes) -> str:
    """The name for the copies of a game in a folder that other games may share.

    Raises:
        OSError, JournalError: the folder cannot be written to, or a log lies in the way.
    """
    names = (name, *(f"{name}-{nth}" for nth in range(2, MOST_NAMES)))
    for each in names:
        copy = folder / f"{each}-copy"
        if not exists(copy):
            refuse_leftovers(copy)
        # An empty file claims the name: the other table may look at the same moment.
        with suppress(FileExistsError):
            make_private(copy)
            return each
        if game_in(copy) == game:
            return each
    raise FileExistsError(errno.EEXIST, os.strerror(errno.EEXIST), str(copy))
