"""`callout league page`: a league's answers in a browser on this machine, to be read only."""

from __future__ import annotations

import secrets
import threading
from collections.abc import Callable, Sequence
from contextlib import closing
from datetime import datetime
from typing import Final

from callout.counted import counted
from callout.edges.league.answers import ANSWERS, LEADERS, ask, not_counted, number_columns, told
from callout.edges.league.migrations import check_schema
from callout.edges.league.server import connected
from callout.edges.league.setting_up import season_of, season_title
from callout.edges.page.addresses import LOOPBACK, TOKEN_BYTES
from callout.edges.page.league_app import Shown, league_application
from callout.edges.page.server import listening, new_server, serve_until_ended
from callout.errors import CalloutError, why
from callout.plain import plain

LONGEST_MS: Final = 5_000
"""A question that takes the server longer is given up: a page is not worth a busy server."""

AT_ONCE: Final = 4
"""The most questions that are asked at once, each with a connection of its own."""

WORDS: Final = {word: tuple(LEADERS) if word == "leaders" else () for word in ANSWERS}


def league_page(address: str, season: str, values: Sequence[str]) -> int:
    """Serve the page until it is interrupted; `values` may hold a port.

    Raises:
        CalloutError: the server cannot be asked, or nothing can listen on the port.
    """
    port = _port(values)
    source = Source(address, season)
    source.ask("table")  # What is wrong with the address is told here and not on the page.
    try:
        listener = listening(None, port)
    except OSError as error:
        raise CalloutError(f"port {port}: {why(error)}; choose another: callout league page "
                           "PORT") from None  # fmt: skip
    number = int(listener.getsockname()[1])
    hosts = frozenset(f"{name}:{number}" for name in (LOOPBACK, "localhost"))
    token = secrets.token_urlsafe(TOKEN_BYTES)
    server = new_server(league_application(token, hosts, WORDS, source.ask), complains=False)
    print(f"Open this page in a browser: http://{LOOPBACK}:{number}/league/{token}", flush=True)
    print("Ctrl-C ends it. It reads, and changes nothing.", flush=True)
    with closing(listener):
        serve_until_ended(server, listener)
    return 0


def _port(values: Sequence[str]) -> int:
    if not values:
        return 0
    if len(values) > 1 or not values[0].isdecimal() or int(values[0]) > 65_535:
        raise CalloutError(f"expected a port, got {' '.join(values)!r:.40}")
    return int(values[0])


class Source:
    """Asks the league's server for what a page shows."""

    def __init__(
        self, address: str, season: str = "", now: Callable[[], datetime] = datetime.now
    ) -> None:
        self._address, self._season, self._now = address, season, now
        self._places = threading.BoundedSemaphore(AT_ONCE)

    def ask(self, word: str, about: str = "") -> Shown:
        """One answer, read in a transaction that can change nothing.

        Raises:
            CalloutError: the server cannot be asked now, or refuses.
        """
        if not self._places.acquire(timeout=LONGEST_MS / 1000):
            raise CalloutError("too many questions are being asked; ask again in a moment")
        try:
            with connected(self._address, LONGEST_MS, reads=True) as connection:
                check_schema(connection)
                with connection.transaction():
                    season = season_of(connection, self._season)
                    answer = ask(connection, season, word, about)
                    league, waiting = season_title(connection, season), not_counted(connection)
        finally:
            self._places.release()
        names = answer.heads.index("team") if "team" in answer.heads else 0
        notes = [f"Asked at {self._now():%H:%M:%S}."]
        if waiting:
            notes.append(f"Not counted yet: {counted(waiting, 'book')} with new entries. The "
                         "secretary counts them by: callout league table")  # fmt: skip
        rows = [[plain(str(told(value))) for value in row] for row in answer.rows]
        numbers = number_columns(answer)
        return Shown(answer.title, answer.heads, rows, numbers, names, plain(league), notes)
