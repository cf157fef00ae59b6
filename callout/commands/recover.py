"""`callout recover`: saves every whole entry of a damaged game into a new file."""

from __future__ import annotations

import sys
from collections.abc import Iterator
from pathlib import Path

from callout.counted import counted
from callout.errors import JournalError
from callout.table.book.audit import say_missing
from callout.table.book.journal import Journal
from callout.table.book.leftover import log_of
from callout.table.book.recovery import Salvage, salvage, write_salvage
from callout.table.setup.game_path import check_game_path
from callout.table.setup.setup import read_setup


def recover(file: Path, to: Path | None = None, setup: Path | None = None) -> int:
    """Write the whole entries into `to`; 1 if entries are missing or may be, else 0.

    Raises:
        JournalError: no entry is whole, the teams are lost and no setup is given, another program
            has the game open, or the new file cannot be written.
        InputError: the setup is wrong.
    """
    check_game_path(file)
    new = to or file.with_name(f"{file.name}-recovered")
    found = salvage(file)
    teams = read_setup(setup) if setup else found.setup
    if teams is None and not found.entries:
        raise JournalError(f"{file}: no part of a game was found in it")
    if teams is None:
        raise JournalError(f"{file}: its teams are lost; name them: --setup FILE")
    write_salvage(found, teams, new)
    with Journal.open(new) as journal:
        for each in (file, log_of(file), *([setup] if setup else [])):
            if each.exists():
                journal.copied(each)
    newest = found.entries[-1].id if found.entries else 0
    entries = counted(len(found.entries), "whole entry", "whole entries")
    which = f"{entries}; the newest is number {newest}"
    print(f"{new}: {which if newest else 'no whole entry was found: it has the teams alone'}")
    for line in _troubles(file, new, found, newest):
        print(line, file=sys.stderr)
    return int(bool(found.lost) or not found.complete)


def _troubles(file: Path, new: Path, found: Salvage, newest: int) -> Iterator[str]:
    """One line for everything that is lost, may be lost, or was left out."""
    if found.unproven:
        what = f"{found.unproven} of these were recorded by a version without hashes"
        yield f"{new}: {what}: compare them with what was printed"
    if found.others:
        entries = counted(found.others, "entry", "entries")
        yield f"{file}: {entries} of another game left out"
    for gap in found.lost:
        yield f"{new}: {say_missing(gap)} lost"
    if found.short:
        yield f"{file}: is cut short: it has {found.short[0]} of its {found.short[1]} pages"
    if not found.complete:
        which = f"followed number {newest}" if newest else "been there"
        what = f"entries may have {which}: what is left does not show it"
        yield f"{new}: {what}; compare it with what was printed or written"
