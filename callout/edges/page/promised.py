"""The tokens of a game's pages, kept for a day.

The set-up page shows them as codes before the game starts, and a game that starts again keeps those
that it had: the codes on the wall, and the pages that are open on telephones, still lead to it.
They lie in a file of the user's own.
"""

from __future__ import annotations

import hashlib
import json
import time
from contextlib import suppress
from pathlib import Path
from typing import Final

from callout.edges import folders
from callout.edges.page.addresses import Addresses
from callout.table.book.files import write_whole

KEEPS_S: Final = 24 * 3600.0
"""Tokens open nothing, and their file is removed, this long after they were last shown or used."""


def promise(game: Path, addresses: Addresses, folder: Path | None = None) -> None:
    """Keep the tokens that this game will take.

    Raises:
        OSError: they cannot be written.
    """
    path = _path(game, folder)
    path.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
    _remove_old(path.parent)
    told = {"hall": addresses.hall, "partner": addresses.partner}
    write_whole(path, json.dumps(told).encode())


def promised(
    game: Path, port: int, shared: str | None = None, folder: Path | None = None
) -> Addresses:
    """The addresses of a game that starts: with the tokens that it had, or with new ones.

    `shared` is this machine's address in the hall's network, where the pages are shared.
    """
    path = _path(game, folder)
    _remove_old(path.parent)
    try:
        told = json.loads(path.read_bytes())
    except (OSError, ValueError):
        return Addresses(port, shared)
    if not isinstance(told, dict):
        return Addresses(port, shared)
    hall, partner = told.get("hall"), told.get("partner")
    if not (isinstance(hall, str) and isinstance(partner, str) and len(hall) == len(partner) == 22):
        return Addresses(port, shared)
    return Addresses(port, shared, hall, partner)


def _remove_old(folder: Path) -> None:
    for each in folder.glob("*.json"):
        with suppress(OSError):  # Another program may remove it at the same moment.
            # A file of the future tells of a clock that was set back: its age is not known.
            if not 0.0 <= time.time() - each.stat().st_mtime <= KEEPS_S:
                each.unlink()


def _path(game: Path, folder: Path | None) -> Path:
    name = hashlib.sha256(str(game.resolve()).encode(errors="surrogateescape")).hexdigest()[:32]
    return (folder or folders.logs() / "promised") / f"{name}.json"
