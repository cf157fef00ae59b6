"""The window that a game runs in: a line for each call with its answer, or the large screen."""

from __future__ import annotations

import sys
from collections.abc import Callable

from callout.edges.live.screen import Board, View
from callout.edges.live.voice import LiveVoice
from callout.table.clock import clock_text
from callout.table.setup.setup import Setup


class Window:
    """Shows each reply once: a voice in print leaves out what stands here already."""

    def __init__(self, setup: Setup, large: bool, voice: LiveVoice) -> None:
        """`large` is for terminals; anything else gets lines."""
        names = {"home": setup.home.name, "guest": setup.guest.name}
        self._voice = voice
        self._board = Board(names) if large and sys.stdout.isatty() else None

    def called(self, left_tenths: int, words: str, answer: str) -> None:
        """Show a call, or what the table says by itself, and the answer."""
        if self._board is not None:
            self._board.called(words or "(table)", answer)
        else:
            left = clock_text(left_tenths)
            print(f"{left:>6}  {words or '(table)'}  ->  {answer}", flush=True)
        if sys.stdout.isatty() and sys.stderr.isatty():
            self._voice.shown(answer)

    def draw(self, ear: Callable[[], str], view: Callable[[], View]) -> None:
        """Bring the large screen up to date, if there is one."""
        if self._board is not None:
            self._board.ear = ear()
            self._board.show(view())

    def close(self) -> None:
        """Leave the terminal as it was before."""
        if self._board is not None:
            self._board.close()
