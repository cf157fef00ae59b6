"""Speaks for the table: puts notices into words, and keeps the queue of what is said."""

from __future__ import annotations

import logging
from collections.abc import Callable, Iterable, Sequence
from dataclasses import replace
from typing import Final

from callout.game import calls
from callout.game.fold import Entry
from callout.game.kind import Rank
from callout.game.notices.after_entry import Notice
from callout.game.state import At, Game
from callout.game.terms import Manner, SayMuch
from callout.language.replies import Level, Replies
from callout.table.clock import Time
from callout.table.speech import announcer as speech
from callout.table.speech import breaths, reminders
from callout.table.speech.announcer import Announcer, Command, Speak, Utterance
from callout.table.speech.delivery import Delivery, stepped
from callout.table.speech.kinds import ALL_KINDS, STILL_DEAD
from callout.table.speech.pending_notices import Pending, at_a_stop, done, may_come
from callout.table.speech.reply import Reply, Said, Sort
from callout.table.speech.tones import HORN, LAST_SECONDS, last_seconds_ms, tone_of
from callout.table.speech.wording import due_of, words_of

_LOG: Final = logging.getLogger(__name__)

LEVELS: Final = tuple(Level)


class Speaker:
    """What is said at one table, how much of it, and what must be repeated."""

    def __init__(self, replies: Replies, time: Time) -> None:
        self.replies, self.time = replies, time
        self.level = Level.NORMAL
        self.delivery = Delivery()
        self.announcer = Announcer()
        self.last = ""
        """The reply to the newest call, for "say again"."""
        self._toned_ms: int | None = None
        """The moment at which the tone for the last ten seconds sounded."""
        self._report_ms = 0
        """Until when the referee may still be reporting."""

    def put(
        self, sort: Sort, notice: Notice, game: Game, moment: At, entry: int | None = None
    ) -> Said:
        """A notice in words."""
        # At a period's end the board is read unasked, except at the urgent level.
        unasked = entry is not None and notice.kind.lasts and self.level is Level.URGENT
        text = "" if unasked else words_of(self.replies, notice, self.level)
        where = (game.period, moment.left_tenths, moment.wall_ms)
        return Said(sort, notice.kind, notice.rank, notice.rule, text, *where, entry)

    def say(
        self, sort: Sort, notices: Sequence[Notice], game: Game, moment: At, tone: str
    ) -> Reply:
        """Says what belongs to no entry; where that fails, only the tone sounds."""
        said: list[Said] = []
        try:
            said += [self.put(sort, notice, game, moment) for notice in notices]
            self.last = _joined(said) or self.last
            return Reply(tuple(said)) + self._speak([self._utterance(each) for each in said], tone)
        except Exception as error:
            _LOG.error("not said: %s: %r", _joined(said), error)
            return Reply(tuple(said), speech=(Speak("", tone or "attention"),))

    def horn(self) -> Reply:
        """The table's horn, at once, for the whole hall."""
        return Reply(speech=(Speak("", HORN, aloud=True),))

    def aloud(self) -> Reply | None:
        """Says the newest pending notice to the officials; None if there is none."""
        if not self.announcer.pending:
            return None
        now, text = self.time.wall_ms(), self.announcer.pending[-1].text
        if now >= self.announcer.quiet_until_ms:
            return Reply(speech=(Speak(text, "attention", aloud=True),))
        # An ear that a key has opened would hear calls in the words.
        waiting = Utterance(text, Rank.TELL, now, "attention", aloud=True)
        return self._step(speech.say(self.announcer, waiting, now))

    def read(self, text: str) -> Reply:
        """Reads a choice of one switch, unless the scorer speaks."""
        now = self.time.wall_ms()
        if now < self.announcer.quiet_until_ms:
            return Reply()
        return self._step(speech.read(self.announcer, text, now))

    def announce(self, entry: Entry, before: Game, now: Game) -> Reply:
        """Says what an entry brought; at a stop, what is for the horn waits for the report.

        Where that fails, a tone confirms the entry, and what was put into words is shown.
        """
        said: list[Said] = []
        try:
            found = due_of(before, entry, now)
            put = [self.put(Sort.NOTICE, each, now, entry.at, entry.id) for each in found]
            said += put if self.time.wall_ms() < self._report_ms else breaths.each_once(put, found)
            return self._announce(entry, found, said, before, now)
        except Exception as error:
            _LOG.error("not said: %s: %r", _joined(said), error)
            return Reply(tuple(said), speech=(Speak("", "accepted"),))

    def _announce(
        self, entry: Entry, found: Sequence[Notice], said: Sequence[Said], before: Game, now: Game
    ) -> Reply:
        self._settle(entry, found, said, before, now)
        reply = Reply(breaths.shown_in_one(said, found, self._horn_words))
        self.last = reply.text or self.last
        moment = self.time.wall_ms()
        reported = isinstance(entry.call, calls.Foul | calls.DoubleFoul)
        if at_a_stop(entry, before, now) or reported:
            self._report_ms = 0 if reported else moment + speech.HOLD_MS
        ready: list[Utterance] = []
        held: list[Utterance] = []
        for notice, each in zip(found, said, strict=True):
            waits = notice.kind.horn and moment < self._report_ms
            (held if waits else ready).append(self._utterance(each, notice))
        if isinstance(entry.call, calls.ClockExpired):
            reply += self.horn()
        # The tone comes first, because it would interrupt the echo of the same entry.
        for utterance in breaths.in_one(held, self._horn_words):
            toned = replace(utterance, tone="attention")
            reply += self._step(speech.hold(self.announcer, toned, moment, self._report_ms))
        self._in_one()
        ready = list(breaths.in_one(ready, self._horn_words))
        reply += self._speak(breaths.breaths(ready), tone_of(entry, ready))
        return reply + self._step(speech.release(self.announcer, moment)) if reported else reply

    def again(self, game: Game) -> Reply:
        """What was held or waited its turn, and while the ball is dead what nobody acted on.

        Where that fails, all of it is dropped: it would fail at each later call, and lose that.
        """
        try:
            return self._again(game)
        except Exception as error:
            _LOG.error("not said again: %r", error)
            self.announcer = Announcer(slack_ms=self.announcer.slack_ms)
            return Reply()

    def _again(self, game: Game) -> Reply:
        now = self.time.wall_ms()
        reply = self._step(speech.wake(self.announcer, now))
        self.announcer, due = reminders.due_again(self.announcer, now, self._may_come(game))
        again = [
            Utterance(p.text, p.notice.rank, now, "attention", p.notice.kind.place, of=p.notice)
            for p in due
            if not reminders.waits(self.announcer, p.notice)
        ]
        for each in breaths.in_one(again, self._horn_words):
            text = each.text
            if any(notice.kind.horn for notice in each.notices):
                still = Notice(STILL_DEAD, {"text": text})
                text = words_of(self.replies, still, self.level) or text
            reply += Reply(repeated=(text,))
            reply += self._step(speech.say(self.announcer, replace(each, text=text), now))
        return reply

    def _horn_words(self, waiting: Sequence[Notice]) -> str:
        return breaths.horn_words(self.replies, self.level, waiting)

    def _in_one(self) -> None:
        """Joins what waits for the horn, and words anew what has lost a part."""
        held = breaths.in_one(self.announcer.held, self._horn_words)
        queue = breaths.in_one(self.announcer.queue, self._horn_words)
        self.announcer = replace(
            self.announcer,
            held=breaths.reworded(held, self._horn_words),
            queue=breaths.reworded(queue, self._horn_words),
        )

    def unask(self) -> Reply:
        """Drops the question that is being said or waits, since it is settled."""
        return self._step(speech.withdraw(self.announcer, self.time.wall_ms()))

    def last_seconds(self, game: Game) -> Reply:
        """The tone at ten seconds left in a period."""
        moment = last_seconds_ms(game, self._toned_ms)
        if moment is None or moment > self.time.wall_ms():
            return Reply()
        self._toned_ms = moment
        return Reply(speech=(Speak("", LAST_SECONDS),))

    def wake_ms(self, game: Game) -> int | None:
        """When `again` or `last_seconds` has something to do next.

        Units: milliseconds since 1970.
        """
        later = speech.wake_ms(self.announcer, self._may_come(game))
        moment = last_seconds_ms(game, self._toned_ms)
        return min((each for each in (later, moment) if each is not None), default=None)

    def told(self) -> bool:
        """Removes the pending notices of the newest entry; False if there are none."""
        after = reminders.acknowledge(self.announcer)
        self.announcer = after or self.announcer
        self._in_one()
        return after is not None

    def say_much(self, much: SayMuch) -> bool:
        """Sets how much is said; False if that changes nothing."""
        at, before = LEVELS.index(self.level), self.level
        steps = {SayMuch.LESS: at - 1, SayMuch.MORE: at + 1, SayMuch.URGENT: 0}
        self.level = LEVELS[max(0, min(len(LEVELS) - 1, steps[much]))]
        return self.level is not before

    def say_how(self, manner: Manner) -> tuple[Command, ...]:
        """Speaks in another way from now on; no command where it goes no further."""
        before, self.delivery = self.delivery, stepped(self.delivery, manner)
        return (self.delivery,) if self.delivery != before else ()

    def remember(self, entry: Entry, found: Sequence[Notice], before: Game, now: Game) -> None:
        """Restores the pending notices of an entry, of a game that is taken up; says nothing."""
        put = [self.put(Sort.NOTICE, each, now, entry.at, entry.id) for each in found]
        self._settle(entry, found, put, before, now)

    def finished(self, text: str) -> tuple[Command, ...]:
        """The next commands, after the voice has said that text."""
        return self._step(speech.finished(self.announcer, self.time.wall_ms(), text)).speech

    def cut(self, text: str) -> tuple[Command, ...]:
        """The next commands, after the voice was stopped within that text."""
        return self._step(speech.cut(self.announcer, self.time.wall_ms(), text)).speech

    def be_quiet(self) -> tuple[Command, ...]:
        """Says no words while the scorer speaks."""
        return self._step(speech.be_quiet(self.announcer, self.time.wall_ms())).speech

    def go_on(self) -> tuple[Command, ...]:
        """Says what waited meanwhile."""
        return self._step(speech.go_on(self.announcer, self.time.wall_ms())).speech

    def trust_voice(self) -> None:
        """Waits from now on for the voice's report of its end; the estimate is the fallback."""
        self.announcer = replace(self.announcer, slack_ms=speech.SLACK_MS)

    def _settle(
        self, entry: Entry, found: Sequence[Notice], said: Sequence[Said], before: Game, now: Game
    ) -> None:
        """Removes pending notices that are done, and adds those of this entry."""
        self.announcer = reminders.settle(self.announcer, lambda p: done(p.notice, p.entry, now))
        moment = self.time.wall_ms()
        could, can = self._may_come(before), self._may_come(now)
        at_ms = moment + speech.HOLD_MS
        self.announcer = reminders.remind(self.announcer, lambda p: can(p) and not could(p), at_ms)
        for notice, each in zip(found, said, strict=True):
            of = notice.kind
            if each.text and (of.again or of.told):
                again = moment + speech.AGAIN_MS if of.again else None
                pending = Pending(notice, each.text, entry.id, again)
                self.announcer = reminders.watch(self.announcer, pending)
        self._in_one()

    def _may_come(self, game: Game) -> Callable[[Pending], bool]:
        now = self.time.wall_ms()
        return lambda pending: may_come(pending.notice, game, now)

    def _utterance(self, said: Said, notice: Notice | None = None) -> Utterance:
        """What is said, with its place in the queue."""
        of, now = ALL_KINDS[said.kind], self.time.wall_ms()
        return Utterance(said.text, said.rank, now, "", of.place, of.lasts, notice)

    def _speak(self, utterances: Sequence[Utterance], tone: str) -> Reply:
        """Says them one after another, with the tone before the first."""
        now, reply = self.time.wall_ms(), Reply()
        first, *more = [one for one in utterances if one.text] or [Utterance("", Rank.ECHO, now)]
        for utterance in (replace(first, tone=tone), *more):
            reply += self._step(speech.say(self.announcer, utterance, now))
        return reply

    def _step(self, step: speech.Step) -> Reply:
        self.announcer, commands = step
        return Reply(speech=commands)


def _joined(said: Iterable[Said]) -> str:
    return " ".join(each.text for each in said if each.text)
