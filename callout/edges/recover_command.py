"""`callout recover`: every whole entry out of a damaged file, into a new one."""

from __future__ import annotations

import sys
from pathlib import Path

from callout.errors import JournalError
from callout.table.game_path import check_game_path
from callout.table.salvage import salvage, write_salvage
from callout.table.setup import read_setup


def recover(file: Path, to: Path | None = None, setup: Path | None = None) -> int:
    """Write what is whole into `to`; 1 if entries are missing, else 0.

    Raises:
        JournalError: nothing is whole, the teams are lost and no setup is given, or the new file
            cannot be written.
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
    newest = found.entries[-1].id if found.entries else 0
    print(f"{new}: {len(found.entries)} whole entries; the newest is number {newest}")
    if found.unproven:
        what = f"{found.unproven} of these are of a version without hashes"
        print(f"{new}: {what}: compare them with what was printed", file=sys.stderr)
    for number in found.lost:
        print(f"{new}: entry {number} is lost", file=sys.stderr)
    return int(bool(found.lost))
