"""One game in memory and in its journal: no call is in the game before it is on the disk."""

from __future__ import annotations

from typing import Final

from callout.errors import JournalError
from callout.game.calls import Call
from callout.game.decide import Decisions, Refusal
from callout.game.due import due
from callout.game.fold import Entry, advance, fold, new_game
from callout.game.put_right import PastEntries
from callout.game.state import At, Game, Phase
from callout.table.book.backoff import Backoff
from callout.table.book.journal import Journal
from callout.table.clock import Time
from callout.table.speech.kinds import NOT_RECORDED
from callout.table.talk.evidence import evidence_in, heard_too
from callout.table.talk.questions import CLOCK as CLOCK
from callout.table.talk.questions import Readings
from callout.table.talk.suspicion import Suspects, explained

LATE_MS: Final = 10_000
"""A warning before the game is still given this long after its moment: a start of the program takes
some seconds. Common practice, no source.
"""


class Scorebook:
    """The entries of a journal and the game that they make."""

    def __init__(self, journal: Journal, time: Time) -> None:
        setup = journal.setup
        self.journal = journal
        self.start = new_game(setup.rules(), setup.home.side(), setup.guest.side(), setup.owner)
        self.entries: list[Entry] = list(journal.entries())
        self.game: Game = fold(self.start, self.entries)
        self.decisions = self._decisions()
        self.backoff = Backoff(time)
        self._pass_over(time.wall_ms() - LATE_MS)

    def _pass_over(self, until_ms: int) -> None:
        """Books, without a word, what was announced to nobody before the game began: the program
        did not run, and "three minutes" would be wrong by now.
        """
        while self.game.phase is Phase.BEFORE and (first := next(iter(due(self.game)), None)):
            if first.wall_ms > until_ms:
                return
            made = self.enter(first.call, CLOCK, At(self.game.clock.left_tenths, first.wall_ms))
            if not isinstance(made, Entry):
                return

    def enter(
        self, call: Call, source: str, moment: At, others: Readings = ()
    ) -> Entry | Refusal | None:
        """Makes a call an entry, or gives the reason why it is none; `others` is what else its
        sound may have been.

        None: a call of the clock could not be written again, which has been said already.
        """
        decision = self.decisions.on(call, moment)
        if isinstance(decision, Refusal):
            return decision
        entry = Entry(self.game.entry + 1, call, source, moment, decision)
        after = advance(self.start, self.entries, self.game, entry)
        try:
            self.journal.append(entry, heard_too(others, entry, after.period))
        except JournalError as error:
            if not self.backoff.failed() and source == CLOCK:
                return None
            why = str(error).rpartition(": ")[2]
            return Refusal(NOT_RECORDED, slots={"why": why})
        self.backoff.worked()
        self.entries.append(entry)
        self.game = after
        self.decisions = self._decisions()
        return entry

    def _decisions(self) -> Decisions:
        past = PastEntries(self.start, self.entries, self.game)
        return Decisions(self.game, past, self._explained)

    def _explained(self, call: Call, at: At) -> Suspects:
        """What could explain a difference between this book and another one."""
        return explained(self.game, self.entries, call, at, evidence_in(self.journal.replies()))
