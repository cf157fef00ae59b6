"""One game at one table: call, dialogue, decision, record, next state, reply.

Spoken calls, keys and the clock all take this one path. An entry is on the disk before any word of
its reply is made.
"""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import suppress

from callout.errors import JournalError
from callout.game import calls
from callout.game.calls import Call
from callout.game.decide import Refusal
from callout.game.due import due
from callout.game.fold import Entry
from callout.game.kind import Kind
from callout.game.notices.kinds import Notice
from callout.game.state import At, Game, Owner
from callout.game.terms import Team
from callout.language.parser import Parsed, Parser
from callout.language.replies import Replies
from callout.table.book.journal import Journal
from callout.table.book.scorebook import CLOCK, Scorebook
from callout.table.clock import Time, at, shows_ms
from callout.table.hands.composing import KeyStep
from callout.table.resume import carry_on, last_booked, numbers_alike, ran_out, remember, stopped
from callout.table.speech import kinds
from callout.table.speech.announcer import Announcer, Command
from callout.table.speech.foresight import foreseen
from callout.table.speech.reply import Reply, Sort
from callout.table.speech.speaker import Speaker
from callout.table.talk.dialogue import Dialogue, Step, booked, expire, hear, open_question
from callout.table.talk.prior import can_answer, prior
from callout.table.talk.question_kinds import EXPIRED
from callout.table.talk.questions import ANSWER_MS, SPOKEN, Doubt, Heard, Made, Question, Readings
from callout.table.talk.requests import Requests, unknown


class Session:
    """A game as it is kept at the table, from a journal that may already hold a part of it."""

    def __init__(self, journal: Journal, replies: Replies, time: Time) -> None:
        self.time = time
        self.book = Scorebook(journal, time)
        self.dialogue = Dialogue()
        for entry in self.entries:
            self.dialogue = booked(self.dialogue, entry)
        self.speaker = Speaker(replies, time)
        self.requests = Requests(self.speaker)
        remember(self.speaker, self.book.start, self.entries, journal.replies())
        self._asked_out_ms: int | None = None

    @property
    def game(self) -> Game:
        """The game as it stands."""
        return self.book.game

    @property
    def entries(self) -> list[Entry]:
        """All that was booked, the oldest first."""
        return self.book.entries

    @property
    def journal(self) -> Journal:
        """Where they are kept."""
        return self.book.journal

    @property
    def listening(self) -> bool:
        """Whether spoken calls are taken."""
        return self.requests.listening

    @property
    def announcer(self) -> Announcer:
        """What is being said, and what waits for its turn."""
        return self.speaker.announcer

    def now(self) -> At:
        """This moment, with what the game clock shows."""
        return at(self.game, self.time.wall_ms())

    @property
    def shown_tenths(self) -> int:
        """What the table's own clock shows now, in tenths of a second."""
        return self.now().left_tenths

    # --- what comes in ----------------------------------------------------------------------

    def opening(self, heard: bool = False) -> Reply:
        """What is said first: numbers that are not legal or, for an ear that hears, sound alike; or
        where a game is taken up again.
        """
        if self.entries:
            return self._take_up()
        reply = Reply()
        for notice in self.journal.setup.warnings():
            reply += self._say(Sort.NOTICE, notice)
        for team in Team if heard else ():
            numbers = self.journal.setup.team(team).side().numbers
            for notice in numbers_alike(team, numbers, self.speaker):
                reply += self._say(Sort.NOTICE, notice)
        return reply

    def take(
        self,
        call: Call,
        source: str,
        moment: At | None = None,
        doubt: Doubt | None = None,
        others: Readings = (),
    ) -> Reply:
        """What comes of a call; `moment` is when it was made, by default now."""
        # What falls due after the call was made must wait for it: a stop in the last tenth counts.
        before = self.tick(moment.wall_ms if moment else None, called=True)
        if not self.listening and source == SPOKEN and not isinstance(call, calls.ListenAgain):
            return before
        heard = Heard(call, source, moment or self.now(), doubt, others)
        return before + self._follow(hear(self.dialogue, heard, self.book.decisions))

    def prior(self, call: Call, moment: At | None = None) -> float:
        """The prior weight of a call made at that moment, by default now; 1 is neutral."""
        return prior(self.book.decisions, self.dialogue, self.entries, call, moment or self.now())

    def may(self, call: Call) -> bool:
        """Whether the call would do something now: be booked, be an answer, or be told."""
        does = can_answer(self.dialogue.question, call) and self.requests.may(call)
        return does and not self.book.decisions.refuses(call, self.now())

    def hear(self, parser: Parser, words: str, source: str, made: Made = None) -> Reply:
        """What comes of words; `made` makes another call of each, such as a signed one."""
        result = parser.parse(words)
        if isinstance(result, Parsed):
            return sum((self.take(made(c) if made else c, source) for c in result.calls), Reply())
        return self.not_heard(source)

    def tick(self, by_ms: int | None = None, called: bool = False) -> Reply:
        """What falls due until now, or until an earlier moment: calls of the clock, the end of a
        question, repeated notices.

        A call of the clock that could not be written is tried again after some seconds, or as soon
        as somebody calls something.
        """
        reply = self.speaker.last_seconds(self.game)
        now = self.time.wall_ms() if by_ms is None else by_ms
        ready = called or self.book.backoff.ready
        while ready and (first := next(iter(due(self.game)), None)) and first.wall_ms <= now:
            made = self._book(Heard(first.call, CLOCK, at(self.game, first.wall_ms)))
            reply += made
            ready = bool(made.entries)
        while step := expire(self.dialogue, now):
            reply += self._follow(step)
        return reply + self._time_is_up() + self.speaker.again(self.game)

    def wake_ms(self) -> int | None:
        """When `tick` has something to do next.

        Units: milliseconds since 1970.
        """
        moments = [self.book.backoff.not_before(each.wall_ms) for each in due(self.game)[:1]]
        if self.dialogue.question:
            moments.append(self.dialogue.question.until_ms)
        moments += [m for m in (self.speaker.wake_ms(self.game), self._up_ms()) if m is not None]
        return min(moments, default=None)

    # --- what is said beside the calls --------------------------------------------------------

    def tell(self, notice: Notice, tone: str = "attention") -> Reply:
        """Says what happened beside the game: to the ear, the voice, a copy."""
        return self._say(Sort.NOTICE, notice, tone=tone)

    def not_heard(self, source: str) -> Reply:
        """What is said of words that make no call."""
        if not self.listening and source == SPOKEN:
            return Reply()
        return self._say(Sort.REFUSAL, Notice(unknown(source)), tone="unheard")

    def key_told(self, step: KeyStep) -> Reply:
        """What is said of a key that made no call: what must follow it, or that it has no use."""
        if step.refused:
            return self.key_trouble(kinds.KEY_UNKNOWN)
        if step.wants:
            return self._say(Sort.QUESTION, Notice(kinds.KEY_WANTS, slots={"wants": step.wants}))
        return Reply()

    def key_trouble(self, kind: Kind) -> Reply:
        """What is said of a key that has no meaning, or is held down for too long."""
        return self._say(Sort.REFUSAL, Notice(kind), tone="unheard")

    def read(self, text: str) -> Reply:
        """Reads a choice aloud, in place of the one before; the journal keeps none of them."""
        return self.speaker.read(text)

    def spoken(self, text: str) -> tuple[Command, ...]:
        """What the voice does next, now that it has said that text."""
        return self.speaker.finished(text)

    def foresee(self) -> Iterator[str]:
        """Texts that may have to be said next, the likeliest first.

        They are found as they are drawn, for the game as it is at this call.
        """
        book = (self.book.start, tuple(self.entries), self.game, self.now())
        return foreseen(*book, self.speaker.replies, self.speaker.level)

    # --- what follows -----------------------------------------------------------------------

    def _follow(self, step: Step) -> Reply:
        settled = step.dialogue.question is not self.dialogue.question
        self.dialogue = step.dialogue
        reply = self.speaker.unask() if settled else Reply()
        for notice in step.notices:
            reply += self._say(Sort.NOTICE, notice)
        if step.refusal:
            reply += self._refuse(step.refusal)
        for heard in step.calls:
            reply += self._do(heard)
        if step.asks:
            reply += self._say(Sort.QUESTION, step.asks, tone="question")
        elif step.then and not reply.refused:
            reply += self._ask(step.then)
        return reply

    def _do(self, heard: Heard) -> Reply:
        """Books a call, or does what it asks of the table."""
        done = self.requests.do(heard.call, self.game, heard.at)
        if done is None:
            return self._book(heard)
        reply = Reply(speech=done.commands)
        if done.refusal:
            reply += self._refuse(done.refusal)
        if done.notices:
            reply += self._say(Sort.NOTICE, *done.notices)
        return reply

    def _book(self, heard: Heard) -> Reply:
        before = self.game
        entry = self.book.enter(heard.call, heard.source, heard.at, heard.others)
        if entry is None:
            return Reply()
        if isinstance(entry, Refusal):
            return self._refuse(entry)
        # It is on the disk now: no failure in what follows can lose it.
        question, self.dialogue = self.dialogue.question, booked(self.dialogue, entry)
        settled = self.dialogue.question is not question
        announced = self.speaker.announce(entry, before, self.game)
        self._keep(announced)
        unasked = self.speaker.unask() if settled else Reply()
        return unasked + Reply(entries=(entry.id,)) + announced

    def _time_is_up(self) -> Reply:
        """Asks at our zero whether the period is over, where the gym's clock is the game's."""
        moment = self._up_ms()
        if moment is None or moment > self.time.wall_ms() or self.dialogue.question:
            return Reply()
        self._asked_out_ms = moment
        ending = Heard(calls.EndPeriod(), CLOCK, self.now())
        return self._ask(Question(EXPIRED, self.time.wall_ms() + ANSWER_MS, ending))

    def _up_ms(self) -> int | None:
        moment = shows_ms(self.game, 0) if self.game.owner is Owner.FOLLOW else None
        return None if moment == self._asked_out_ms else moment

    def _take_up(self) -> Reply:
        """Names what was booked last, and asks whether the game stands as the journal has it.

        The confirmation of the last entry may not have been heard. A clock that would have run out
        by now is stopped where it was last seen: whether the period is over is for the scorer to
        say.
        """
        last_ms, reply = self.journal.last_ms(), Reply()
        if last := last_booked(self.book.start, self.entries, self.journal.replies(), self.speaker):
            reply += self._say(Sort.NOTICE, last)
        if ran_out(self.game, self.time.wall_ms()):
            reply += self._book(stopped(self.game, last_ms))
        question = carry_on(self.game, last_ms, self.time.wall_ms())
        return reply + (self._ask(question) if question else Reply())

    # --- what is said -----------------------------------------------------------------------

    def _ask(self, question: Question) -> Reply:
        self.dialogue, asks = open_question(self.dialogue, question)
        return self._say(Sort.QUESTION, asks, tone="question")

    def _refuse(self, refusal: Refusal) -> Reply:
        notice = Notice(refusal.kind, refusal.slots, refusal.rule)
        return self._say(Sort.REFUSAL, notice, tone="refused")

    def _say(self, sort: Sort, *notices: Notice, tone: str = "") -> Reply:
        """Says and keeps what belongs to no entry."""
        reply = self.speaker.say(sort, notices, self.game, self.now(), tone)
        self._keep(reply)
        return reply

    def _keep(self, reply: Reply) -> None:
        # It changes nothing in the book, and on a failing disk it must still be heard.
        with suppress(JournalError):
            self.journal.note(reply.said)
