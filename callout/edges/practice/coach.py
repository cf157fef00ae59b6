"""Says at once what was missed, late or wrong, by what the table's session has booked."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from callout.edges.practice.wording import Wording
from callout.game.calls import Call
from callout.game.notices.kinds import TELL_SCORE, Notice
from callout.practice.facts import Called, Fact, called_by
from callout.practice.judge import Judgement
from callout.practice.rehearsal import Rehearsal
from callout.table.session import Session
from callout.table.speech.reply import Reply, Sort
from callout.table.talk.questions import KEY, SPOKEN

EARLY_MS: Final = 40
"""The ear reports that a call began this much earlier than its first sound.

Measured on 64 calls of the default voice against their samples: 48 ms clean, 40 at 18 dB and 38 at
12 dB, with a standard deviation of 11 to 16; the ear's own grid has 30 ms.
"""


class Coach:
    """Follows what the user calls, by the entries of the table's session."""

    def __init__(self, session: Session, rehearsal: Rehearsal, wording: Wording) -> None:
        self._session, self._rehearsal, self._wording = session, rehearsal, wording
        self._called: list[Called] = []
        self._read = 0
        """How many entries were read into them."""
        self._answered: list[Called] = []

    def follow(self, reply: Reply, by_user: bool, now_ms: int) -> None:
        """Take note of what the table said: the answer to a question, or a question of its own."""
        if any(said.kind == TELL_SCORE for said in reply.said):
            self._answered.append(Called(Fact("score"), now_ms, 0))
        if by_user and reply.of(Sort.QUESTION):
            self._rehearsal.asked()

    def remarks(self, now_ms: int) -> Sequence[Notice]:
        """What is to be said since it was last asked for."""
        if len(self._session.entries) != self._read:
            self._read = len(self._session.entries)
            self._called = called_by(self._session.entries, SPOKEN, KEY, EARLY_MS)
        called = [*self._called, *self._answered]
        remarks = self._rehearsal.judge(called, now_ms, self.refuses)
        return [self._wording.coached(each) for each in remarks]

    def refuses(self, call: Call) -> bool:
        """Whether the table would not book that call now."""
        session = self._session
        return session.book.decisions.refuses(call, session.now())

    def finished(self, now_ms: int) -> Judgement:
        """What became of all calls by now."""
        self.remarks(now_ms)
        return self._rehearsal.finished(now_ms)
