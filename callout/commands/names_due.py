"""Asks whether people's names are to be struck, once the league's time for them is over."""

from __future__ import annotations

import sys
import time
from collections.abc import Callable
from pathlib import Path
from typing import Final

import typer

from callout.commands.forget import forget
from callout.errors import JournalError
from callout.language.words import words_of
from callout.plain import plain, quoted
from callout.table.book.journal import Journal
from callout.table.book.names import names_of

Ask = Callable[[str], str]
"""What a person answers to a question; empty where nothing was typed."""

DAY_MS: Final = 86_400_000


def names_due(
    game: Path, ask: Ask | None = None, now_ms: int | None = None, one_of_many: bool = False
) -> bool:
    """Ask whether names are to be struck, where it is time, and strike them; whether they were.

    Of `one_of_many` it is only told: a long run must not stop in the midst for an answer.
    A file that cannot be read is for the command itself to tell.

    Raises:
        JournalError: the names cannot be struck.
    """
    try:
        with Journal.read(game) as journal:
            if not wants_struck(journal, ask, now_ms, one_of_many):
                return False
    except JournalError:
        return False
    forget(game)
    return True


def wants_struck(
    journal: Journal,
    ask: Ask | None = None,
    now_ms: int | None = None,
    one_of_many: bool = False,
) -> bool:
    """Whether the time for names is over, and the person who is asked says "strike them".

    The league's profile says how many days after the newest entry that is. Where nobody sits at a
    terminal, or the output goes elsewhere, it is only told.

    Raises:
        JournalError: the game cannot be read.
    """
    days = journal.setup.rules().roster.names_days
    count, entries = len(names_of(journal.setup)), journal.entries()
    now = time.time_ns() // 1_000_000 if now_ms is None else now_ms
    if not (days and count and entries) or now - entries[-1].at.wall_ms <= days * DAY_MS:
        return False
    game, words = plain(str(journal.path)), words_of(journal.setup.language)
    told = words("names_due", game=game, names=words.count("names", count), days=days)
    if one_of_many or (ask is None and not _somebody_reads()):
        print(words("strike_by", told=told, game=quoted(journal.path)), file=sys.stderr)
        return False
    return words.agrees((ask or prompt)(words("ask_strike_due", told=told)))


def _somebody_reads() -> bool:
    """Whether a question would be seen and can be answered: never in a pipe or with a file."""
    return all(each.isatty() for each in (sys.stdin, sys.stdout, sys.stderr))


def prompt(what: str) -> str:
    """Ask a person at the terminal."""
    answer: str = typer.prompt(what, default="", show_default=False, err=True)
    return answer.strip()
