"""Everything that shows the game: the lines at the terminal, the large screen, and the pages."""

from __future__ import annotations

import sys
from collections import deque
from collections.abc import Callable
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path
from time import monotonic
from typing import Final

from callout.counted import counted
from callout.edges.live.inbox import Put
from callout.edges.live.page import LivePage, PageLanguage
from callout.edges.live.screen import Board, Called
from callout.edges.page.addresses import own_address
from callout.edges.page.promised import promise, promised
from callout.errors import CalloutError
from callout.game.state import Game
from callout.language.check import open_language
from callout.table.clock import clock_text
from callout.table.hands.buttons import button_words, page_texts
from callout.table.setup.setup import Setup
from callout.table.speech.reply import Reply, Sort
from callout.table.view import view

LATEST: Final = 6
"""The calls that the partner's page shows."""

BY_ITSELF: Final = "(table)"
"""In the place of a call's words where nobody called."""


@dataclass(frozen=True, slots=True)
class Shown:
    """How a game is shown besides the lines at the terminal."""

    screen: bool = False
    """In large letters, where the output is a terminal."""
    page: int = 0
    """The port of the pages; 0 for none."""
    share: bool = False
    """Whether the hall's network may open them."""


PLAIN: Final = Shown()


class Displays:
    """What was called and answered goes to each of them; the game, where it has changed."""

    def __init__(self, board: Board | None = None, page: LivePage | None = None) -> None:
        self._board, self._page = board, page
        self._latest: deque[Called] = deque(maxlen=LATEST)
        self._asked = ""

    def start(self, put: Put) -> None:
        """Open what needs to be opened; `put` gets what is called on a page."""
        if self._page is not None:
            self._page.start(put)

    def called(self, words: str, reply: Reply, left_tenths: int) -> None:
        """A call, or what the table says by itself, and its answer."""
        words, text = words or BY_ITSELF, reply.text
        self._asked = next((s.text for s in reply.said if s.sort is Sort.QUESTION), self._asked)
        self._latest.appendleft((words, text))
        if self._board is not None:
            self._board.called(words, text)
        else:
            print(f"{clock_text(left_tenths):>6}  {words}  ->  {text}", flush=True)

    @property
    def read_beside_voice(self) -> bool:
        """Whether a voice in print would only repeat what stands here already."""
        return sys.stdout.isatty() and sys.stderr.isatty()

    def draw(self, game: Game, left_tenths: int, ear: Callable[[], str], asks: bool) -> None:
        """The game as it now is, and whether a question is open."""
        if self._board is None and self._page is None:
            return
        seen = view(game, left_tenths)
        if self._board is not None:
            self._board.ear = ear()
            self._board.show(seen)
        if self._page is not None:
            self._page.show(seen, self._latest, self._asked if asks else "")

    def close(self) -> None:
        """The terminal as it was before, and no more pages."""
        if self._board is not None:
            self._board.close()
        if self._page is not None:
            self._page.close()


def headline(game: Game) -> str:
    """The teams, and how many entries the game has."""
    return f"{game.home.name} - {game.guest.name}: {counted(game.entry, 'entry', 'entries')}"


def open_displays(shown: Shown, setup: Setup, game: Path, language: Path) -> Displays:
    """What shows a game; `game` is its file, `language` the folder of its calls.

    Raises:
        CalloutError: the pages are to be shared, and there are none, or this machine is in no
            network.
    """
    if shown.share and not shown.page:
        raise CalloutError("--share: there is no page to share; say --page PORT, too")
    names = {"home": setup.home.name, "guest": setup.guest.name}
    shared = own_address() if shown.share else None
    if shown.share and shared is None:
        raise CalloutError("--share: this machine is in no network; leave --share out")
    board = Board(names) if shown.screen and sys.stdout.isatty() else None
    if not shown.page:
        return Displays(board)
    addresses = promised(game, shown.page, shared)
    with suppress(OSError):  # Without the file the next start has other addresses.
        promise(game, addresses)
    rules = setup.rules()
    periods, arrow = rules.periods.count, rules.arrow.used
    spoken = PageLanguage(language.resolve().name, button_words(open_language(language)),
                    page_texts(language))  # fmt: skip
    path = str(game.resolve())
    tell = board.note if board is not None else None
    page = LivePage(addresses, names, periods, arrow, path, spoken, monotonic, tell)
    return Displays(board, page)
