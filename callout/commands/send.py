"""`callout send`: adds games to a league's server."""

from __future__ import annotations

import sys
import time
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Final

from callout.counted import counted
from callout.edges.league.sending import Sent, send
from callout.edges.league.sent import Confirmed, confirm, confirmed
from callout.edges.league.server import connected
from callout.errors import CalloutError, why
from callout.league.parcel import Parcel, parcel_of
from callout.plain import plain
from callout.table.book.journal import Journal
from callout.table.setup.game_path import check_game_exists
from callout.table.setup.server_address import host_of

CLOCK_OFF_S: Final = 300.0
"""A clock that is wrong by more is worth a word; what is sent is kept by number all the same."""


def run(
    games: Sequence[Path], to: str = "", names: bool = False, now_s: Callable[[], float] = time.time
) -> int:
    """Send each game; one that cannot be sent is told with what is unsent, and the others go on.

    Returns the exit status: 1 if something is unsent.
    """
    status = 0
    for game in games:
        try:
            _send(game, to, names, now_s())
        except CalloutError as error:
            print(f"callout: {error}", file=sys.stderr)
            status = 1
    return status


def _send(game: Path, to: str, names: bool, now_s: float) -> None:
    check_game_exists(game)
    with Journal.read(game) as journal:
        address = to or journal.setup.league
        parcel = parcel_of(journal)
    if not address:
        raise CalloutError(f"{game}: no league's server is known: --to postgresql://…, or a line "
                           "'league: postgresql://…' in the setup file")  # fmt: skip
    try:
        with connected(address) as connection:
            sent = send(connection, parcel, now_s, names)
    except CalloutError:
        _unsent(game, address, parcel)
        raise
    try:
        confirm(game, Confirmed(address, max(parcel.newest, 0), parcel.mark))
    except OSError as error:
        print(f"{game}: sent, but this cannot be noted: {why(error)}", file=sys.stderr)
    _tell(game, address, parcel, sent)


def _unsent(game: Path, address: str, parcel: Parcel) -> None:
    known = confirmed(game, address)
    count = len(parcel.after(known.entries))
    what = f"not sent: {count} of {counted(len(parcel.rows), 'entry', 'entries')}"
    print(plain(f"{game}: {what if count else 'all that was sent before stays'}"), file=sys.stderr)


def _tell(game: Path, address: str, parcel: Parcel, sent: Sent) -> None:
    entries, host = counted(sent.added, "entry", "entries"), host_of(address)
    told = f"{game}: {entries} sent to {host}, {len(parcel.rows)} there in all"
    if not sent.added:
        told = f"{game}: nothing new to send, {host} has all {len(parcel.rows)} already"
        if sent.there > parcel.newest:
            told = f"{told}; that book goes on to entry {sent.there}"
    print(plain(f"{told}; mark {parcel.mark}"))
    if sent.beside:
        print(plain(f"{game}: the league has another book of this game. This one is kept beside "
                    f"it as version {sent.version}; the secretary says which one counts."),
              file=sys.stderr)  # fmt: skip
    if abs(sent.clock_off_s) > CLOCK_OFF_S:
        way = "ahead of" if sent.clock_off_s > 0 else "behind"
        print(f"This machine's clock is {_long(abs(sent.clock_off_s))} {way} the server's. "
              "Entries are kept by their numbers, so nothing is lost; set the clock.",
              file=sys.stderr)  # fmt: skip


def _long(seconds: float) -> str:
    for unit, size in (("days", 86_400), ("hours", 3_600)):
        if seconds >= 2 * size:
            return f"{seconds / size:.0f} {unit}"
    return f"{seconds / 60:.0f} minutes"
