"""One game at one table: call, dialogue, decision, record, next state, reply. The one loop.

Whatever it came by, a call takes this way and no other. What it brought is on the disk before a
word of it is made, let alone said.
"""

from __future__ import annotations

from collections.abc import Iterator

from callout.errors import JournalError
from callout.game import calls
from callout.game.calls import Call
from callout.game.decide import Refusal, decide
from callout.game.due import due
from callout.game.fold import Entry, advance, fold, new_game
from callout.game.kind import Kind, Reason
from callout.game.notices.after_entry import Notice
from callout.game.notices.answers import answers
from callout.game.state import At, Game, Owner
from callout.game.terms import Topic
from callout.language.parser import Parsed, Parser
from callout.language.replies import Replies
from callout.table.book.backoff import Backoff
from callout.table.book.journal import Journal
from callout.table.clock import Time, at, shows_ms
from callout.table.hands.composing import KeyStep
from callout.table.resume import carry_on, last_booked, ran_out, remember, stopped
from callout.table.speech import kinds
from callout.table.speech.announcer import Announcer, Command, Speak
from callout.table.speech.foresight import foreseen
from callout.table.speech.reply import Reply, Said, Sort
from callout.table.speech.speaker import HORN, Speaker
from callout.table.speech.wording import due_of, found_of
from callout.table.talk.dialogue import Dialogue, Step, booked, expire, hear, open_question
from callout.table.talk.prior import may, prior
from callout.table.talk.question_kinds import EXPIRED
from callout.table.talk.questions import ANSWER_MS, SPOKEN, Doubt, Heard, Question


class Session:
    """A game as it is kept at the table, from a journal that may already hold a part of it."""

    def __init__(self, journal: Journal, replies: Replies, time: Time) -> None:
        setup = journal.setup
        self.journal, self.time = journal, time
        self.start = new_game(setup.rules(), setup.home.side(), setup.guest.side(), setup.owner)
        self.entries: list[Entry] = list(journal.entries())
        self.game: Game = fold(self.start, self.entries)
        self.dialogue = Dialogue()
        for entry in self.entries:
            self.dialogue = booked(self.dialogue, entry)
        self.speaker = Speaker(replies, time)
        remember(self.speaker, self.start, self.entries, journal.replies())
        self.listening = True
        self._backoff = Backoff(time)
        self._asked_out_ms: int | None = None

    @property
    def announcer(self) -> Announcer:
        """What is being said, and what waits for its turn."""
        return self.speaker.announcer

    def opening(self) -> Reply:
        """What is said first: numbers that are not legal, or where a game is taken up again."""
        if self.entries:
            return self._take_up()
        reply = Reply()
        for notice in self.journal.setup.warnings():
            reply += self._say(Sort.NOTICE, notice)
        return reply

    def tell(self, notice: Notice, tone: str = "attention") -> Reply:
        """Says what happened beside the game: to the ear, the voice, a copy."""
        return self._say(Sort.NOTICE, notice, tone=tone)

    # --- what comes in ----------------------------------------------------------------------

    def take(
        self, call: Call, source: str, moment: At | None = None, doubt: Doubt | None = None
    ) -> Reply:
        """What comes of a call; `moment` is when it was made, by default now."""
        # What falls due after the call was made must wait for it: a stop in the last tenth counts.
        before = self.tick(moment.wall_ms if moment else None, called=True)
        if not self.listening and source == SPOKEN and not isinstance(call, calls.ListenAgain):
            return before
        heard = Heard(call, source, moment or self.now(), doubt)
        return before + self._follow(hear(self.dialogue, heard, self.game), heard.at)

    def prior(self, call: Call) -> float:
        """How many times likelier a call is now than one of which nothing is known."""
        return prior(self.game, self.dialogue, self.entries, call, self.now())

    def may(self, call: Call) -> bool:
        """Whether the call would not be refused now."""
        return may(self.game, call, self.now())

    def hear(self, parser: Parser, words: str, source: str) -> Reply:
        """What comes of words."""
        result = parser.parse(words)
        if isinstance(result, Parsed):
            return sum((self.take(call, source) for call in result.calls), Reply())
        return self.not_heard(source)

    def not_heard(self, source: str) -> Reply:
        """What is said of words that make no call."""
        if not self.listening and source == SPOKEN:
            return Reply()
        return self._say(Sort.REFUSAL, Notice(kinds.UNHEARD), tone="unheard")

    def key_told(self, step: KeyStep) -> Reply:
        """What is said of keys beside the calls that they made: what is wanted, what is no use."""
        if step.refused:
            return self.key_trouble(kinds.KEY_UNKNOWN)
        if step.wants:
            return self._say(Sort.QUESTION, Notice(kinds.KEY_WANTS, slots={"wants": step.wants}))
        return Reply()

    def read(self, text: str) -> Reply:
        """A choice read aloud, in place of the one before; the journal keeps none of them."""
        return self.speaker.read(text)

    def key_trouble(self, kind: Kind) -> Reply:
        """What is said of a key that stands for nothing, or is held down for too long."""
        return self._say(Sort.REFUSAL, Notice(kind), tone="unheard")

    def tick(self, by_ms: int | None = None, called: bool = False) -> Reply:
        """What falls due by now, or by a moment before: clock calls, a question's end, reminders.

        What could not be written is tried again after some seconds, or when somebody has called.
        """
        reply = self.speaker.last_seconds(self.game)
        now = self.time.wall_ms() if by_ms is None else by_ms
        ready = called or self._backoff.ready
        while ready and (first := next(iter(due(self.game)), None)) and first.wall_ms <= now:
            made = self._book(Heard(first.call, "clock", at(self.game, first.wall_ms)))
            reply += made
            ready = bool(made.entries)
        while step := expire(self.dialogue, now):
            reply += self._follow(step, self.now())
        return reply + self._time_is_up() + self.speaker.again(self.game)

    def wake_ms(self) -> int | None:
        """When `tick` has something to do next.

        Units: milliseconds since 1970.
        """
        moments = [self._backoff.not_before(each.wall_ms) for each in due(self.game)[:1]]
        if self.dialogue.question:
            moments.append(self.dialogue.question.until_ms)
        moments += [m for m in (self.speaker.wake_ms(self.game), self._up_ms()) if m is not None]
        return min(moments, default=None)

    def now(self) -> At:
        """This moment, with what the game clock shows."""
        return at(self.game, self.time.wall_ms())

    def spoken(self, text: str) -> tuple[Command, ...]:
        """What the voice does next, now that it has said that text."""
        return self.speaker.finished(text)

    def foresee(self) -> Iterator[str]:
        """What may have to be said next, the likeliest first; found as it is drawn, from now on."""
        book = (self.start, tuple(self.entries), self.game, self.now())
        return foreseen(*book, self.speaker.replies, self.speaker.level)

    # --- what follows -----------------------------------------------------------------------

    def _follow(self, step: Step, moment: At) -> Reply:
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
        """Books a call, or does what the talk asks for."""
        match heard.call:
            case calls.Ask(topic=Topic.AGAIN):
                if not self.speaker.last:
                    return self._refuse(Refusal(kinds.NOTHING_SAID))
                return self._say(Sort.NOTICE, Notice(kinds.AGAIN, {"text": self.speaker.last}))
            case calls.Ask(topic=Topic.ALOUD):
                return self.speaker.aloud() or self._refuse(Refusal(kinds.NOTHING_TO_TELL))
            case calls.Ask() as ask:
                found = found_of(kinds.NO_ANSWER, lambda: answers(self.game, ask, heard.at))
                told = self._say(Sort.NOTICE, *found)
                return told if told.text else self._say(Sort.NOTICE, Notice(kinds.NO_ANSWER))
            case calls.RefereeTold():
                return self._change(kinds.TOLD, self.speaker.told(), kinds.NOTHING_TO_TELL)
            case calls.SayLevel(level=much):
                return self._change(kinds.SAID[much], self.speaker.say_much(much), kinds.SAID_SAME)
            case calls.SayHow(manner=manner):
                changed = self.speaker.say_how(manner)
                spoke = self._change(kinds.SPOKE[manner], bool(changed.speech), kinds.SAID_SAME)
                return changed + spoke
            case calls.SoundHorn():
                return self.speaker.sound(HORN)
            case calls.PauseListening():
                was, self.listening = self.listening, False
                return self._change(kinds.PAUSED, was, kinds.ALREADY_PAUSED)
            case calls.ListenAgain():
                was, self.listening = self.listening, True
                return self._change(kinds.LISTENING, not was, kinds.ALREADY_LISTENING)
            case _:
                return self._book(heard)

    def _book(self, heard: Heard) -> Reply:
        decision = decide(self.game, heard.call, heard.at)
        if isinstance(decision, Refusal):
            return self._refuse(decision)
        before = self.game
        entry = Entry(before.entry + 1, heard.call, heard.source, heard.at, decision)
        after = advance(self.start, self.entries, before, entry)
        try:
            self.journal.append(entry)
        except JournalError as error:
            if not self._backoff.failed() and heard.source == "clock":
                return Reply()
            why = str(error).rpartition(": ")[2]
            return self._refuse(Refusal(kinds.NOT_RECORDED, slots={"why": why}))
        self._backoff.worked()
        # From here on it is on the disk, and may be spoken of.
        self.entries.append(entry)
        self.game = after
        self.dialogue = booked(self.dialogue, entry)
        found = due_of(before, entry, after)
        said = [self.speaker.put(Sort.NOTICE, each, after, heard.at, entry.id) for each in found]
        self._keep(said)
        announced = self.speaker.announce(entry, found, said, before, after)
        return Reply(entries=(entry.id,)) + announced

    def _time_is_up(self) -> Reply:
        """Where the gym's clock is the game's, ours at zero only asks whether it is over."""
        moment = self._up_ms()
        if moment is None or moment > self.time.wall_ms() or self.dialogue.question:
            return Reply()
        self._asked_out_ms = moment
        ending = Heard(calls.EndPeriod(), "clock", self.now())
        return self._ask(Question(EXPIRED, self.time.wall_ms() + ANSWER_MS, ending))

    def _up_ms(self) -> int | None:
        moment = shows_ms(self.game, 0) if self.game.owner is Owner.FOLLOW else None
        return None if moment == self._asked_out_ms else moment

    # --- what is said -----------------------------------------------------------------------

    def _ask(self, question: Question) -> Reply:
        self.dialogue, asks = open_question(self.dialogue, question)
        return self._say(Sort.QUESTION, asks, tone="question")

    def _take_up(self) -> Reply:
        """Names what was booked last, and asks whether the game stands as the journal has it.

        Its confirmation may not have been heard. A clock that would have run out by now stands
        where it was last seen: whether the period is over is for the scorer to say.
        """
        last_ms, reply = self.journal.last_ms(), Reply()
        book = (self.start, self.entries, self.journal.replies())
        if last := last_booked(*book, self.speaker):
            reply += self._say(Sort.NOTICE, last)
        if ran_out(self.game, self.time.wall_ms()):
            reply += self._book(stopped(self.game, last_ms))
        question = carry_on(self.game, last_ms, self.time.wall_ms())
        return reply + (self._ask(question) if question else Reply())

    def _change(self, kind: Kind, changed: bool, refused: Reason) -> Reply:
        """The echo of a change in the talk; what would change nothing fails aloud."""
        return self._say(Sort.NOTICE, Notice(kind)) if changed else self._refuse(Refusal(refused))

    def _refuse(self, refusal: Refusal) -> Reply:
        notice = Notice(refusal.kind, refusal.slots, refusal.rule)
        return self._say(Sort.REFUSAL, notice, tone="refused")

    def _say(self, sort: Sort, *notices: Notice, tone: str = "") -> Reply:
        """Keeps and says what belongs to no entry."""
        said = [self.speaker.put(sort, notice, self.game, self.now()) for notice in notices]
        self._keep(said)
        return self.speaker.say(said, tone)

    def _keep(self, said: list[Said]) -> None:
        try:
            self.journal.note(said)
        except JournalError:
            # It changes nothing in the book, and on a failing disk it must still be heard.
            return


def commands_of(reply: Reply) -> tuple[Speak, ...]:
    """What the voice says of a reply, its interruptions left out."""
    return tuple(command for command in reply.speech if isinstance(command, Speak))
