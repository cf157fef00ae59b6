"""A live game sent to its league's server at each period's end and at the close.

A process of its own sends, and a thread waits for it: the game never waits for a network. What
cannot be sent is tried again until it is there.
"""

from __future__ import annotations

import subprocess
import sys
import threading
from collections.abc import Callable
from contextlib import suppress
from pathlib import Path
from typing import Final

from callout.counted import counted
from callout.edges.child_environment import child_environment
from callout.edges.league.sent import confirmed
from callout.game.notices.kinds import Notice
from callout.plain import plain, quoted
from callout.table.session import Session
from callout.table.setup.server_address import host_of
from callout.table.speech.kinds import LEAGUE_BACK, LEAGUE_UNSENT

AGAIN_S: Final = 60.0
"""How long after a failure it is tried again."""

LONGEST_S: Final = 180.0
"""A sender that takes longer hangs."""

PATIENCE_S: Final = 10.0
"""How long the game's end waits for what is being sent."""

Run = Callable[[Path, str], bool]
"""Sends a game to a server; whether all of it is there."""


def send_by_process(game: Path, address: str) -> bool:
    """Send a game by `callout send`; what it says to nobody is left out."""
    command = [sys.executable, "-m", "callout", "send", str(game), "--to", address]
    try:
        done = subprocess.run(
            command, stdin=subprocess.DEVNULL, stdout=subprocess.DEVNULL, stderr=subprocess.PIPE,
            env=child_environment(), timeout=LONGEST_S,
            # Ctrl-C at the terminal ends the game, not what is being sent.
            start_new_session=True,
        )  # fmt: skip
    except (OSError, subprocess.TimeoutExpired):
        return False
    if done.returncode:
        told = done.stderr.decode(errors="replace").strip().splitlines()
        print(plain(f"league: {told[0] if told else 'it cannot be sent'}"), file=sys.stderr)
    return not done.returncode


class LiveLeague:
    """Sends one game in the background, if its setup names a server."""

    def __init__(
        self, session: Session, tell: Callable[[Notice], None], run: Run = send_by_process,
        again_s: float = AGAIN_S,
    ) -> None:  # fmt: skip
        """`tell` is called when sending stops working, and when it works again."""
        self._session, self._tell, self._run, self._again_s = session, tell, run, again_s
        self._game, self._address = session.journal.path, session.journal.setup.league
        self._wanted, self._ended = threading.Event(), threading.Event()
        self._fails = False
        self._thread: threading.Thread | None = None
        if self._address:
            self._thread = threading.Thread(target=self._work, name="league", daemon=True)
            self._thread.start()
            if self._unsent and session.entries:
                self._wanted.set()  # Left over from a day without a network.

    def send(self) -> None:
        """Sends what the server lacks, soon."""
        self._wanted.set()

    @property
    def _unsent(self) -> int:
        known = confirmed(self._game, self._address).entries
        return sum(entry.id > known for entry in list(self._session.entries))

    def close(self) -> None:
        """Sends what is left, for `PATIENCE_S` at most, and says what is unsent."""
        if self._thread is None:
            return
        self._ended.set()
        self._wanted.set()
        self._thread.join(PATIENCE_S)
        if count := self._unsent:
            what = f"not sent to {host_of(self._address)}: {counted(count, 'entry', 'entries')}"
            with suppress(OSError):
                print(
                    plain(f"league: {what}; later: callout send {quoted(self._game)}"),
                    file=sys.stderr,
                )

    def _work(self) -> None:
        last = False
        while not last:
            self._wanted.wait(self._again_s if self._fails else None)
            self._wanted.clear()
            last = self._ended.is_set()
            if self._unsent:
                self._try()

    def _try(self) -> None:
        worked = self._run(self._game, self._address)
        if worked == self._fails:
            self._fails = not worked
            kind = LEAGUE_BACK if worked else LEAGUE_UNSENT
            self._tell(Notice(kind))
