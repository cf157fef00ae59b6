"""What the league's server has confirmed of a game, kept in a small file beside it.

The server knows better; the file only lets the table say, without a network, what is unsent.
"""

from __future__ import annotations

import json
from dataclasses import dataclass
from pathlib import Path
from typing import Final

from callout.errors import CalloutError
from callout.reading import exists, read_text
from callout.table.book.files import write_whole

ENDING: Final = "-sent.json"


@dataclass(frozen=True, slots=True)
class Confirmed:
    """How far a game is at a server."""

    address: str = ""
    entries: int = 0
    """The number of the newest entry that is there."""
    mark: str = ""
    """The game's mark at that entry."""


def path_of(game: Path) -> Path:
    """The file beside a game."""
    return game.with_name(f"{game.name}{ENDING}")


def confirmed(game: Path, address: str) -> Confirmed:
    """What that server has confirmed; nothing if the file is missing, damaged or of another."""
    path = path_of(game)
    try:
        said = json.loads(read_text(path)) if exists(path) else {}
        known = Confirmed(str(said["address"]), int(said["entries"]), str(said["mark"]))
    except (CalloutError, ValueError, KeyError, TypeError):
        return Confirmed(address)
    return known if known.address == address else Confirmed(address)


def confirm(game: Path, known: Confirmed) -> None:
    """Keep what was confirmed. Raises: OSError."""
    said = {"address": known.address, "entries": known.entries, "mark": known.mark}
    write_whole(path_of(game), (json.dumps(said) + "\n").encode())
