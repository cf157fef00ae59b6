"""The tokens of a game that the set-up page has shown as codes, until that game takes them.

A game makes its tokens when it starts. Codes that are to be printed or put on a screen before it
need them earlier: they lie in a file of the user's own, which the game removes when it reads it.
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
"""Codes for a game that did not start within a day lead nowhere."""


def promise(game: Path, addresses: Addresses, folder: Path | None = None) -> None:
    """Keep the tokens that this game will take, and remove those of games that never started.

    Raises:
        OSError: they cannot be written.
    """
    path = _path(game, folder)
    path.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
    _remove_old(path.parent)
    told = {"hall": addresses.hall, "partner": addresses.partner}
    write_whole(path, json.dumps(told).encode())


def redeem(
    game: Path, port: int, shared: str, folder: Path | None = None, now_s: float | None = None
) -> Addresses:
    """The addresses of a game that starts: with the tokens that were promised, or with new ones."""
    path = _path(game, folder)
    try:
        age_s = (time.time() if now_s is None else now_s) - path.stat().st_mtime
        told = json.loads(path.read_bytes())
    except (OSError, ValueError):
        return Addresses(port, shared)
    finally:
        with suppress(OSError):
            path.unlink(missing_ok=True)
    if not 0 <= age_s <= KEEPS_S or not isinstance(told, dict):
        return Addresses(port, shared)
    hall, partner = told.get("hall"), told.get("partner")
    if not (isinstance(hall, str) and isinstance(partner, str) and len(hall) == len(partner) == 22):
        return Addresses(port, shared)
    return Addresses(port, shared, hall, partner)


def _remove_old(folder: Path) -> None:
    for each in folder.glob("*.json"):
        with suppress(OSError):  # Another game may take its own at the same moment.
            if time.time() - each.stat().st_mtime > KEEPS_S:
                each.unlink()


def _path(game: Path, folder: Path | None) -> Path:
    name = hashlib.sha256(str(game.resolve()).encode(errors="surrogateescape")).hexdigest()[:32]
    return (folder or folders.logs() / "promised") / f"{name}.json"
