"""The table before a game: the live table with the checklist's calls, keys and session."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from typing import Any

from callout.edges.live.table import LiveTable
from callout.edges.live.voice import Outlets
from callout.errors import CalloutError
from callout.game.calls import Call
from callout.game.decide import Refusal
from callout.game.notices.kinds import Notice
from callout.game.state import Phase
from callout.language.grammar import BEFORE_PART
from callout.language.replies import Level
from callout.plain import plain, quoted
from callout.table.before import BeforeSession, Tries
from callout.table.book.journal import Journal
from callout.table.speech.wording import words_of
from callout.table.talk.questions import KEY

_print = partial(print, flush=True)


class BeforeTable(LiveTable):
    """Goes through the checklist of a game that has not begun."""

    part = BEFORE_PART

    def __init__(
        self,
        journal: Journal,
        outlets: Outlets,
        *given: Any,
        tip: Call | None = None,
        tries: Tries | None = None,
        write: Callable[[str], None] = _print,
        **named: Any,
    ) -> None:
        """`tip` is the call that says when the game begins, if that is known; `write` prints what
        was found of a device; what else is given goes to the live table.

        Raises:
            CalloutError: the game has begun, or the time of the tip is past.
        """

        def show(told: str) -> None:
            write(f"        {plain(told)}")

        self.new_session = partial(BeforeSession, tries=tries, show=show)
        super().__init__(journal, outlets, *given, **named)
        if self.session.game.phase is not Phase.BEFORE:
            self.close()
            raise CalloutError(
                f"{journal.path}: the game has begun; go on: callout live {quoted(journal.path)}"
            )
        if tip is not None:
            self._set(tip)

    def _set(self, tip: Call) -> None:
        """Books the time of the tip before anything is said.

        Raises:
            CalloutError: it is past.
        """
        made = self.session.book.enter(tip, KEY, self.session.now())
        if isinstance(made, Refusal):
            self.close()
            why = words_of(self.session.speaker.replies, Notice(made.kind), Level.NORMAL)
            raise CalloutError(f"--tip: {why}")
