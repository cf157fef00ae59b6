"""A live table at which an invented game is played."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

from callout.edges.live.inbox import Item, Put
from callout.edges.live.table import IDLE_S, LiveTable
from callout.edges.live.voice import Outlets
from callout.edges.practice.coach import Coach
from callout.edges.practice.hall import Hall, PlaySounded
from callout.edges.practice.wording import Wording
from callout.game.calls import Call
from callout.practice.facts import SCRIPT
from callout.practice.judge import Judgement
from callout.practice.rehearsal import Rehearsal
from callout.table.book.journal import Journal
from callout.table.speech.reply import Reply

NewRehearsal = Callable[[int], Rehearsal]
"""Makes the rehearsal, given when it begins."""


class PracticeTable(LiveTable):
    """Plays a game at the user. All that he calls goes through the session of a live table."""

    def __init__(
        self,
        journal: Journal,
        outlets: Outlets,
        rehearsal: NewRehearsal,
        wording: Wording,
        opening: tuple[Call, ...] = (),
        keys: Path | None = None,
        *,
        hall: Callable[[Outlets, Put], Hall],
        **given: Any,
    ) -> None:
        """`wording` has the words, `opening` what is booked before the first play; `hall`
        opens the hall, and what else is given goes to the live table.
        """
        super().__init__(journal, outlets, keys=keys, **given)
        self._talk_over = outlets.talk_over
        self._opening = opening
        self._telling = False
        self.rehearsal = rehearsal(self._time.wall_ms())
        self._wording = wording
        self._coach = Coach(self.session, self.rehearsal, wording)
        self._hall = hall(outlets, self.put)

    # --- the loop -------------------------------------------------------------------------------

    def turn(self, longest_s: float = IDLE_S) -> bool:
        """Take the next item, after what the game itself has due."""
        self._begin()
        if self._inbox.is_empty:
            self._rehearse()
        now_ms = self._time.wall_ms()
        wake_ms = self.rehearsal.wake_ms(now_ms)
        wait_s = longest_s if wake_ms is None else (wake_ms - now_ms) / 1000
        return super().turn(min(longest_s, wait_s))

    @property
    def running(self) -> bool:
        """Whether the practice goes on."""
        return not self.rehearsal.over and super().running

    def _begin(self) -> None:
        """Book what stands in the book before the first play, without a word."""
        opening, self._opening = self._opening, ()
        for call in opening:
            self.session.book.enter(call, SCRIPT, self.session.now())

    def _rehearse(self) -> None:
        for remark in self._coach.remarks(self._time.wall_ms()):
            self._act(self.session.tell(remark, tone=""), "")
        busy = self._telling or self._voice.sounds or self.session.announcer.busy
        play = self.rehearsal.next(self._time.wall_ms(), busy)
        if play is not None:
            self._telling = True
            # Keys would only be in the way of one who speaks.
            keymap = self._keymap if self._ear.mode is None else None
            self._hall.tell(self._wording.told(play, keymap), play.sound)

    # --- what comes -----------------------------------------------------------------------------

    def _on(self, item: Item) -> None:
        if not isinstance(item, PlaySounded):
            super()._on(item)
            return
        self._telling = item.what == "started"
        self._gate()
        if self._telling:
            return
        # What a partner does at a whistle is done before anything is expected of the user.
        play = self.rehearsal.telling
        for call in play.partner if play else ():
            if self.session.may(call):
                self._act(self.session.take(call, SCRIPT), self._wording.partner)
        self.rehearsal.cued(self._time.wall_ms(), self._coach.refuses)

    @property
    def _reaches_the_ear(self) -> bool:
        """Whether the table or the play-by-play sounds, and the microphone may hear it."""
        hall = self._telling and self._hall.aloud and not self._talk_over
        return super()._reaches_the_ear or hall

    # --- what is said of it ---------------------------------------------------------------------

    def _act(self, reply: Reply, words: str) -> None:
        super()._act(reply, words)
        self._coach.follow(reply, words not in ("", self._wording.partner), self._time.wall_ms())

    def finished(self) -> Judgement:
        """What became of all calls by now."""
        return self._coach.finished(self._time.wall_ms())

    def close(self) -> None:
        """End the hall, the ear and the voice."""
        self._hall.close()
        super().close()
