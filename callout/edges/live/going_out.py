"""What leaves a live game at each period's end and at its close: copies, and what a league gets."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from pathlib import Path

from callout.edges.live.copies import Copies
from callout.edges.live.league import LiveLeague, Run, send_by_process
from callout.game.notices.kinds import Notice
from callout.table.session import Session


class GoingOut:
    """Both, in the background."""

    def __init__(
        self, session: Session, to: Path | None, tell: Callable[[Notice], None],
        run: Run = send_by_process,
    ) -> None:  # fmt: skip
        """`tell` is told of what goes wrong; the game goes on."""
        self._copies = Copies(session, to, tell)
        self._league = LiveLeague(session, tell, run)

    def after(self, entries: Iterable[int]) -> None:
        """Begins it if one of these new entries ended a period or the game."""
        if self._copies.after(entries):
            self._league.send()

    def close(self) -> None:
        """Waits for both, for a time."""
        self._copies.close()
        self._league.close()
