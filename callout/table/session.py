"""One game at one table: call, dialogue, decision, record, next state, reply. The one loop.

Whatever it came by, a call takes this way and no other. What it brought is on the disk before a
word of it is said.
"""

from __future__ import annotations

from collections.abc import Iterable

from callout.game import calls
from callout.game.answers import answer
from callout.game.calls import Call
from callout.game.decide import Refusal, decide
from callout.game.due import due
from callout.game.fold import Entry, advance, fold, new_game
from callout.game.notices import Notice, Rank, notices
from callout.game.state import At, Game
from callout.game.terms import SayMuch, Topic
from callout.language.parser import Parsed, Parser
from callout.language.replies import Level, Replies
from callout.table import announcer as speech
from callout.table.announcer import Announcer, Command, Pending, Speak, Utterance
from callout.table.asking import Doubt, Heard
from callout.table.clock import Time, at
from callout.table.dialogue import Dialogue, Step, booked, expire, hear, open_question
from callout.table.journal import Journal
from callout.table.pending import done, held_until_foul
from callout.table.reply import Reply, Said, Sort

LEVELS = tuple(Level)


class Session:
    """A game as it is kept at the table, from a journal that may already hold a part of it."""

    def __init__(self, journal: Journal, replies: Replies, time: Time) -> None:
        setup = journal.setup
        self.journal, self.replies, self.time = journal, replies, time
        self.start = new_game(setup.rules(), setup.home.side(), setup.guest.side(), setup.owner)
        self.entries: list[Entry] = list(journal.entries())
        self.game: Game = fold(self.start, self.entries)
        self.dialogue = Dialogue()
        self.announcer = Announcer()
        self.level = Level.NORMAL
        self.listening = True

    # --- what comes in ----------------------------------------------------------------------

    def take(
        self, call: Call, source: str, moment: At | None = None, doubt: Doubt | None = None
    ) -> Reply:
        """What comes of a call; `moment` is when it was made, by default now.

        Raises:
            JournalError: it could not be recorded; then nothing of it counts.
        """
        before = self.tick()
        heard = Heard(call, source, moment or self.now(), doubt)
        return before + self._follow(hear(self.dialogue, heard, self.game), heard.at)

    def hear(self, parsers: Iterable[Parser], words: str, source: str) -> Reply:
        """What comes of words, read by the first parser that makes calls of them."""
        for parser in parsers:
            result = parser.parse(words)
            if isinstance(result, Parsed):
                reply = Reply()
                for call in result.calls:
                    reply += self.take(call, source)
                return reply
        return self._say([self._said(Sort.REFUSAL, Notice("unheard"))], "unheard")

    def tick(self) -> Reply:
        """What falls due by now: the clock's own calls, a question's end, repeated notices."""
        reply = Reply()
        now = self.time.wall_ms()
        while (first := next(iter(due(self.game)), None)) and first.wall_ms <= now:
            moment = at(self.game, first.wall_ms)
            made = self._book(Heard(first.call, "clock", moment))
            reply += made
            if not made.entries:
                break
        while step := expire(self.dialogue, now):
            reply += self._follow(step, self.now())
        return reply + self._again(now)

    def wake_ms(self) -> int | None:
        """When `tick` has something to do next.

        Units: milliseconds since 1970.
        """
        moments = [each.wall_ms for each in due(self.game)[:1]]
        if self.dialogue.question:
            moments.append(self.dialogue.question.until_ms)
        later = speech.wake_ms(self.announcer, repeats=True)
        return min([*moments, *([] if later is None else [later])], default=None)

    def now(self) -> At:
        """This moment, with what the game clock shows."""
        return at(self.game, self.time.wall_ms())

    def spoken(self) -> tuple[Command, ...]:
        """What the voice does next, now that it has said what it was told to."""
        now = self.time.wall_ms()
        self.announcer, commands = speech.finished(self.announcer, now)
        return commands

    # --- what follows -----------------------------------------------------------------------

    def _follow(self, step: Step, moment: At) -> Reply:
        self.dialogue = step.dialogue
        reply = Reply()
        if step.notices:
            reply += self._say([self._said(Sort.NOTICE, each) for each in step.notices])
        if step.refusal:
            reply += self._refuse(step.refusal)
        for heard in step.calls:
            reply += self._do(heard)
        asks = step.asks
        if step.then and not reply.refused:
            self.dialogue, asks = open_question(self.dialogue, step.then)
        if asks:
            reply += self._say([self._said(Sort.QUESTION, asks)], "question")
        return reply

    def _do(self, heard: Heard) -> Reply:
        """Books a call, or does what the talk asks for."""
        match heard.call:
            case calls.Ask(topic=Topic.AGAIN):
                return self._speak(self.announcer.last, Rank.ECHO, "")
            case calls.Ask() as ask:
                return self._say([self._said(Sort.NOTICE, answer(self.game, ask, heard.at))])
            case calls.RefereeTold():
                return self._told()
            case calls.SayLevel(level=much):
                return self._say_much(much)
            case calls.SoundHorn():
                return self._speak("", Rank.ACT, "horn")
            case calls.PauseListening():
                self.listening = False
                return self._say([self._said(Sort.NOTICE, Notice("paused"))])
            case calls.ListenAgain():
                self.listening = True
                return self._say([self._said(Sort.NOTICE, Notice("listening"))])
            case _:
                return self._book(heard)

    def _book(self, heard: Heard) -> Reply:
        decision = decide(self.game, heard.call, heard.at)
        if isinstance(decision, Refusal):
            return self._refuse(decision)
        before = self.game
        entry = Entry(before.entry + 1, heard.call, heard.source, heard.at, decision)
        after = advance(self.start, self.entries, before, entry)
        found = notices(before, entry, after)
        said = [self._said(Sort.NOTICE, each, after, entry.id, heard.at) for each in found]
        self.journal.append(entry, said)
        # From here on it is on the disk, and may be spoken of.
        self.entries.append(entry)
        self.game = after
        self.dialogue = booked(self.dialogue, entry)
        return Reply(entries=(entry.id,)) + self._announce(entry, found, said)

    def _refuse(self, refusal: Refusal) -> Reply:
        notice = Notice(refusal.kind, Rank.ECHO, refusal.slots, refusal.rule)
        return self._say([self._said(Sort.REFUSAL, notice)], "refused")

    def _told(self) -> Reply:
        told = speech.acknowledge(self.announcer)
        if told is None:
            return self._refuse(Refusal("nothing_to_tell"))
        self.announcer = told
        return self._say([self._said(Sort.NOTICE, Notice("told"))])

    def _say_much(self, much: SayMuch) -> Reply:
        place = LEVELS.index(self.level)
        steps = {SayMuch.LESS: place - 1, SayMuch.MORE: place + 1, SayMuch.URGENT: 0}
        self.level = LEVELS[max(0, min(len(LEVELS) - 1, steps[much]))]
        return self._say([self._said(Sort.NOTICE, Notice(f"said_{much.value}"))])

    # --- what is said -----------------------------------------------------------------------

    def _said(
        self,
        sort: Sort,
        notice: Notice,
        game: Game | None = None,
        entry: int | None = None,
        moment: At | None = None,
    ) -> Said:
        game, moment = game or self.game, moment or self.now()
        text = self.replies.say(notice.kind, notice.slots, self.level)
        where = (game.period, moment.left_tenths, moment.wall_ms)
        return Said(sort, notice.kind, notice.rank, notice.rule, text, *where, entry)

    def _say(self, said: list[Said], tone: str = "") -> Reply:
        """Keeps and says what belongs to no entry."""
        self.journal.note(said)
        text = " ".join(each.text for each in said if each.text)
        rank = min(each.rank for each in said)
        return Reply(tuple(said)) + self._speak(text, rank, tone)

    def _announce(self, entry: Entry, found: tuple[Notice, ...], said: list[Said]) -> Reply:
        now = self.time.wall_ms()
        pairs = list(zip(found, said, strict=True))
        self.announcer = speech.settle(self.announcer, lambda p: done(p.notice, self.game))
        for notice, each in pairs:
            if notice.rank is Rank.ACT and each.text:
                again = now + speech.AGAIN_MS
                pending = Pending(notice, each.text, entry.id, again)
                self.announcer = speech.watch(self.announcer, pending)
        waits = [each for notice, each in pairs if held_until_foul(entry, notice)]
        rest = [each for each in said if each not in waits]
        reply = Reply(tuple(said)) + self._speak(
            _joined(rest), min((each.rank for each in rest), default=Rank.ECHO), _tone(entry, rest)
        )
        if waits:
            utterance = Utterance(_joined(waits), Rank.ACT, now, "attention")
            self.announcer, commands = speech.hold(self.announcer, utterance, now)
            reply += Reply(speech=commands)
        elif isinstance(entry.call, calls.Foul | calls.DoubleFoul):
            self.announcer, commands = speech.release(self.announcer, now)
            reply += Reply(speech=commands)
        return reply

    def _speak(self, text: str, rank: Rank, tone: str) -> Reply:
        now = self.time.wall_ms()
        utterance = Utterance(text, rank, now, tone)
        self.announcer, commands = speech.say(self.announcer, utterance, now)
        return Reply(speech=commands)

    def _again(self, now: int) -> Reply:
        """What was held, what waited its turn, and what nobody has acted on yet."""
        self.announcer, commands = speech.wake(self.announcer, now)
        self.announcer, again = speech.due_again(self.announcer, now)
        reply = Reply(speech=commands, repeated=tuple(each.text for each in again))
        for each in again:
            reply += self._speak(each.text, Rank.ACT, "attention")
        return reply


def _joined(said: Iterable[Said]) -> str:
    return " ".join(each.text for each in said if each.text)


def _tone(entry: Entry, said: list[Said]) -> str:
    """The tone before the words: what is urgent, or what the clock did."""
    if any(each.rank is Rank.ACT for each in said):
        return "attention"
    if isinstance(entry.call, calls.StartClock):
        return "clock_started"
    return "clock_stopped" if isinstance(entry.call, calls.StopClock) else ""


def commands_of(reply: Reply) -> tuple[Speak, ...]:
    """What the voice says of a reply, its interruptions left out."""
    return tuple(command for command in reply.speech if isinstance(command, Speak))
