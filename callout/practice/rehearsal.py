"""Plays an invented game at the user: when the next play comes, and what is said of each call.

The clock is passed in with every question, and so is what was called. Moments are milliseconds
since 1970.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from typing import Final

from callout.game.calls import Call
from callout.game.notices.kinds import Notice
from callout.practice import kinds
from callout.practice.facts import Called, fact_of
from callout.practice.judge import LONGEST_MS, Judged, Judgement, Outcome, Wanted, judge
from callout.practice.levels import Level
from callout.practice.play import Play
from callout.practice.words import said

FIRST_MS: Final = 1_500
"""The time from the start to the first play."""
GRACE_MS: Final = 3_000
"""The number of a goal or a foul may follow for this long before it is asked for."""
LONGEST_WAIT_MS: Final = 6_000
"""The next play waits no longer than this for the table to have spoken."""
SPOKEN_MS: Final = 2_000
"""The longest time from the beginning of a spoken call until it comes from the ear."""
LAST_CHANCE: Final = 2
"""How often a lesson asks for one call."""

Refused = Callable[[Call], bool]
"""Whether the table would not book that call now."""


@dataclass(frozen=True, slots=True)
class Remark:
    """Something to be said of a call: a row, and the calls that its words name."""

    notice: Notice
    call: Notice | None = None
    was: Notice | None = None


class Rehearsal:
    """The course of one practice."""

    def __init__(
        self, plays: Iterator[Play], level: Level, pace: float, start_ms: int, length_ms: int
    ) -> None:
        """`pace` is one of `PACES`; it ends at a live ball once `length_ms` have passed."""
        self.level = level
        self._plays, self._pace = plays, pace
        self._end_ms = start_ms + length_ms
        self._next_ms = start_ms + FIRST_MS
        self._telling: Play | None = None
        self._last: Play | None = None
        self._first_wanted = 0
        self._times_asked = 0
        self._wanted: list[Wanted] = []
        self._told: set[tuple[str, int]] = set()
        self._over = False
        self._laid: tuple[list[Called], list[Wanted]] = [], []
        """What was laid beside each other last."""
        self.done = Judgement((), ())

    # --- the plays ----------------------------------------------------------------------------

    @property
    def over(self) -> bool:
        """Whether all is played, called and judged."""
        return self._over

    @property
    def telling(self) -> Play | None:
        """The play that is being told."""
        return self._telling

    def next(self, now_ms: int, busy: bool) -> Play | None:
        """The play to be told now; `busy`: the table or the play-by-play still speaks."""
        if self._over or self._telling or now_ms < self._next_ms:
            return None
        waits = self.level.waits and now_ms < self._next_ms + LONGEST_WAIT_MS
        patient = self.level.patient and self._open(now_ms)
        if (busy and waits) or patient or not self._is_settled(now_ms):
            return None
        last = self._last
        if last and last.live and not last.settled and now_ms >= self._end_ms:
            self._over = not self._open(now_ms)
            return None
        play = next(self._plays, None)
        if play is None:
            self._over = not self._open(now_ms)
            return None
        self._telling = play
        self._last, self._first_wanted, self._times_asked = play, len(self._wanted), 1
        for call in play.calls:
            until_ms = now_ms + LONGEST_MS
            self._wanted.append(Wanted(call, fact_of(call), now_ms, now_ms, until_ms, until_ms))
        return play

    def cued(self, now_ms: int, refused: Refused) -> None:
        """The play has been told: its calls are waited for from now on."""
        play, self._telling = self._telling, None
        if play is None:
            return
        for nth, call in enumerate(play.calls, start=1):
            at = self._first_wanted + nth - 1
            late, missed = nth * self.level.late_ms, nth * self.level.missed_ms
            self._wanted[at] = replace(self._wanted[at], cue_ms=now_ms, late_ms=now_ms + late,
                                       missed_ms=now_ms + missed, moot=refused(call))  # fmt: skip
        gap_ms = self.level.gap_ms * max(1, len(play.calls)) * self._pace
        self._next_ms = now_ms + round(gap_ms)

    def _open(self, now_ms: int) -> bool:
        """Whether a call may still come in time."""
        return any(
            each.called is None and each.wanted.missed_ms + SPOKEN_MS >= now_ms
            for each in self.done.judged
        )

    def _is_settled(self, now_ms: int) -> bool:
        """Whether a lesson may go on: its step has been called, or was asked for often enough."""
        if self._last is None or not self._last.settled:
            return True
        mine = self.done.judged[self._first_wanted :]
        if len(mine) == len(self._last.calls) and all(map(_is_good, mine)):
            return True
        past = all(each.wanted.missed_ms < now_ms for each in mine)
        return past and self._times_asked >= LAST_CHANCE

    def wake_ms(self, now_ms: int) -> int | None:
        """When there is something to do next, if nothing comes before."""
        missed = (each.wanted.missed_ms + 1 for each in self.done.judged if each.called is None)
        return min((ms for ms in (self._next_ms, *missed) if ms > now_ms), default=None)

    def finished(self, now_ms: int) -> Judgement:
        """What became of all calls; those that might still come in time are left out."""
        judged = tuple(
            each
            for each in self.done.judged
            if each.called is not None or each.wanted.missed_ms < now_ms
        )
        return replace(self.done, judged=judged)

    # --- the calls ----------------------------------------------------------------------------

    def asked(self) -> None:
        """The table asked back about what was just called."""
        if self._wanted:
            open_from = min(self._first_wanted, len(self._wanted) - 1)
            for at in range(open_from, len(self._wanted)):
                if at >= len(self.done.judged) or self.done.judged[at].called is None:
                    self._wanted[at] = replace(self._wanted[at], asked=True)
                    return
            self._wanted[-1] = replace(self._wanted[-1], asked=True)

    def judge(self, called: list[Called], now_ms: int, refused: Refused) -> list[Remark]:
        """What is said of the calls so far, each thing once."""
        for at, each in enumerate(self._wanted):
            if each.moot and each.missed_ms >= now_ms and not refused(each.call):
                self._wanted[at] = replace(each, moot=False)
        if (called, self._wanted) != self._laid:
            self.done = judge(self._wanted, called)
            self._laid = list(called), list(self._wanted)
        remarks = [self._remark(at, each, now_ms) for at, each in enumerate(self.done.judged)]
        extra = [self._extra(each) for each in self.done.extra]
        return [each for each in (*remarks, *extra) if each is not None]

    def _once(self, what: str, which: int) -> bool:
        if (what, which) in self._told:
            return False
        self._told.add((what, which))
        return True

    def _remark(self, at: int, judged: Judged, now_ms: int) -> Remark | None:
        wanted, called = judged.wanted, judged.called
        call, past = said(wanted.fact), now_ms > wanted.missed_ms
        lesson = self._in_lesson and at >= self._first_wanted
        if lesson and past and not _is_good(judged) and self._times_asked < LAST_CHANCE:
            return self._ask_again(now_ms, call)
        if called is None:
            ended = past and judged.outcome is not Outcome.MOOT and self._once("missed", at)
            return Remark(Notice(kinds.MISSED), call) if ended else None
        if judged.outcome is Outcome.WRONG:
            return self._wrong(at, judged, called, now_ms)
        if lesson and _is_good(judged):
            return Remark(Notice(kinds.GOOD)) if self._once("good", at) else None
        if judged.outcome is Outcome.LATE and self._once("late", at):
            seconds = f"{(judged.reaction_ms or 0) / 1000:.1f}"
            return Remark(Notice(kinds.LATE, {"seconds": seconds}), call)
        return None

    @property
    def _in_lesson(self) -> bool:
        return self._last is not None and self._last.settled

    def _ask_again(self, now_ms: int, call: Notice) -> Remark:
        self._times_asked += 1
        for at in range(self._first_wanted, len(self._wanted)):
            if not _is_good(self.done.judged[at]):
                late, missed = now_ms + self.level.late_ms, now_ms + self.level.missed_ms
                self._wanted[at] = replace(self._wanted[at], late_ms=late, missed_ms=missed)
        return Remark(Notice(kinds.ONCE_AGAIN), call)

    def _wrong(self, at: int, judged: Judged, called: Called, now_ms: int) -> Remark | None:
        if judged.differs == ("number",) and called.fact.number is None:
            if now_ms < called.wall_ms + GRACE_MS or not self._once("number", at):
                return None
            return Remark(Notice(kinds.NO_NUMBER, {"number": judged.wanted.fact.number}))
        if not self._once("wrong", at):
            return None
        return Remark(Notice(kinds.WRONG), said(judged.wanted.fact), said(called.fact))

    def _extra(self, called: Called) -> Remark | None:
        if not self._once("extra", called.entry):
            return None
        return Remark(Notice(kinds.EXTRA), was=said(called.fact))


def _is_good(judged: Judged) -> bool:
    return judged.outcome in (Outcome.RIGHT, Outcome.LATE)
