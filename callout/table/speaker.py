"""The table's voice: notices become words, and the announcer's steps become commands."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Final

from callout.game import calls
from callout.game.fold import Entry
from callout.game.notices import Notice, Rank
from callout.game.state import At, Game, Phase
from callout.game.terms import Manner, SayMuch
from callout.language.replies import Level, Replies
from callout.table import announcer as speech
from callout.table.announcer import Announcer, Command, Hush, Pending, Speak, Utterance
from callout.table.asking import QUIET
from callout.table.clock import Time, shows_ms
from callout.table.delivery import Delivery, stepped
from callout.table.pending import done, held_until_foul, horn_wanted, told_to_referee
from callout.table.reply import Reply, Said, Sort

LEVELS: Final = tuple(Level)
HORN: Final = "horn"
"""The table's horn."""
LAST_TENTHS: Final = 100
"""From here to the horn nothing is said unasked."""


class Speaker:
    """What is said at one table, at which level, and what must be said again."""

    def __init__(self, replies: Replies, time: Time) -> None:
        self.replies, self.time = replies, time
        self.level = Level.NORMAL
        self.delivery = Delivery()
        self.announcer = Announcer()
        self.last = ""
        """What the newest call brought, to say it again."""
        self._toned_ms: int | None = None

    def put(
        self, sort: Sort, notice: Notice, game: Game, moment: At, entry: int | None = None
    ) -> Said:
        """A notice in words."""
        text = self.replies.say(notice.kind, notice.slots, self.level)
        where = (game.period, moment.left_tenths, moment.wall_ms)
        return Said(sort, notice.kind, notice.rank, notice.rule, text, *where, entry)

    def say(self, said: Sequence[Said], tone: str = "") -> Reply:
        """Says what belongs to no entry."""
        rank = min((each.rank for each in said), default=Rank.ECHO)
        return Reply(tuple(said)) + self._speak(_joined(said), rank, tone)

    def sound(self, tone: str) -> Reply:
        """A tone by itself, at once."""
        return Reply(speech=(Speak("", tone, aloud=tone == HORN),))

    def aloud(self) -> Reply | None:
        """The newest notice that waits, said to the officials; None if there is none."""
        if not self.announcer.pending:
            return None
        return Reply(speech=(Speak(self.announcer.pending[-1].text, "attention", aloud=True),))

    def read(self, text: str) -> Reply:
        """Reads a choice, in place of one that is being read; anything else is said to its end."""
        now, busy = self.time.wall_ms(), self.announcer.speaking
        cut: Reply = Reply()
        if busy is not None and busy.rank is Rank.ASK:
            cut = Reply(speech=(Hush(),)) + self._step(speech.finished(self.announcer, now))
        return cut + self._step(speech.say(self.announcer, Utterance(text, Rank.ASK, now), now))

    def announce(
        self, entry: Entry, found: Sequence[Notice], said: Sequence[Said], before: Game, now: Game
    ) -> Reply:
        """Says what an entry brought; at a stop, what is for the referee waits for the report."""
        self._settle(entry, found, said, before, now)
        waits = [s for n, s in zip(found, said, strict=True) if held_until_foul(entry, n)]
        rest = [each for each in said if each not in waits]
        rank = min((each.rank for each in rest), default=Rank.ECHO)
        reply = Reply(tuple(said))
        if isinstance(entry.call, calls.ClockExpired):
            reply += self.sound(HORN)
        if isinstance(entry.call, calls.Foul | calls.DoubleFoul):
            reply += self._step(speech.release(self.announcer, self.time.wall_ms()))
        reply += self._speak(_joined(rest), rank, _tone(entry, rest))
        if waits:
            moment = self.time.wall_ms()
            utterance = Utterance(_joined(waits), Rank.ACT, moment, "attention")
            reply += self._step(speech.hold(self.announcer, utterance, moment))
            self.last = _joined(said)
        return reply

    def again(self, game: Game) -> Reply:
        """What was held or waited its turn, and while the ball is dead what nobody acted on."""
        now = self.time.wall_ms()
        reply = self._step(speech.wake(self.announcer, now))
        if not self._may_repeat(game):
            return reply
        self.announcer, due = speech.due_again(self.announcer, now)
        for pending in due:
            text = pending.text
            if horn_wanted(pending.notice):
                text = self.replies.say("still_dead", {"text": text}, self.level)
            utterance = Utterance(text, Rank.ACT, now, "attention")
            reply += Reply(repeated=(text,)) + self._step(
                speech.say(self.announcer, utterance, now)
            )
        return reply

    def last_seconds(self, game: Game) -> Reply:
        """The one tone at ten seconds left in a period."""
        moment, since = shows_ms(game, LAST_TENTHS), game.clock.since_ms
        passed = moment is not None and since is not None and since < moment <= self.time.wall_ms()
        if not passed or moment == self._toned_ms:
            return Reply()
        self._toned_ms = moment
        return self.sound("last_seconds")

    def wake_ms(self, game: Game) -> int | None:
        """When `again` or `last_seconds` has something to do next.

        Units: milliseconds since 1970.
        """
        later = speech.wake_ms(self.announcer, self._may_repeat(game))
        moment = shows_ms(game, LAST_TENTHS)
        if moment is None or moment == self._toned_ms or moment == game.clock.since_ms:
            return later
        return moment if later is None else min(later, moment)

    def told(self) -> bool:
        """Takes off the newest notice that waited to be passed on; False if there is none."""
        after = speech.acknowledge(self.announcer)
        self.announcer = after or self.announcer
        return after is not None

    def say_much(self, much: SayMuch) -> bool:
        """Says more or less from now on; False if that changes nothing."""
        at, before = LEVELS.index(self.level), self.level
        steps = {SayMuch.LESS: at - 1, SayMuch.MORE: at + 1, SayMuch.URGENT: 0}
        self.level = LEVELS[max(0, min(len(LEVELS) - 1, steps[much]))]
        return self.level is not before

    def say_how(self, manner: Manner) -> Reply:
        """Speaks in another way from now on; nothing where it goes no further."""
        before, self.delivery = self.delivery, stepped(self.delivery, manner)
        return Reply(speech=(self.delivery,)) if self.delivery != before else Reply()

    def remember(self, entry: Entry, found: Sequence[Notice], before: Game, now: Game) -> None:
        """Waits again for what an entry of a game that is taken up made due, and says nothing."""
        put = [self.put(Sort.NOTICE, each, now, entry.at, entry.id) for each in found]
        self._settle(entry, found, put, before, now)

    def finished(self) -> tuple[Command, ...]:
        """What the voice does next, now that it has said what it was told to."""
        return self._step(speech.finished(self.announcer, self.time.wall_ms())).speech

    def _settle(
        self, entry: Entry, found: Sequence[Notice], said: Sequence[Said], before: Game, now: Game
    ) -> None:
        """What was done is waited for no longer; what must be done now is."""
        self.announcer = speech.settle(self.announcer, lambda p: done(p.notice, p.entry, now))
        moment = self.time.wall_ms()
        if now.ball_dead and not before.ball_dead:
            self.announcer = speech.postpone(self.announcer, moment + speech.HOLD_MS)
        for notice, each in zip(found, said, strict=True):
            if each.text and (notice.rank is Rank.ACT or told_to_referee(notice)):
                again = moment + speech.AGAIN_MS if notice.rank is Rank.ACT else None
                pending = Pending(notice, each.text, entry.id, again)
                self.announcer = speech.watch(self.announcer, pending)

    def _may_repeat(self, game: Game) -> bool:
        last = game.clock.running and game.clock.left_at(self.time.wall_ms()) <= LAST_TENTHS
        return game.ball_dead and not last and game.phase not in (Phase.BEFORE, Phase.OVER)

    def _speak(self, text: str, rank: Rank, tone: str) -> Reply:
        self.last = text or self.last
        now = self.time.wall_ms()
        return self._step(speech.say(self.announcer, Utterance(text, rank, now, tone), now))

    def _step(self, step: speech.Step) -> Reply:
        self.announcer, commands = step
        return Reply(speech=commands)


def _joined(said: Iterable[Said]) -> str:
    return " ".join(each.text for each in said if each.text)


def _tone(entry: Entry, said: Sequence[Said]) -> str:
    """The tone before the words: what is urgent, or what the clock did."""
    if any(each.rank is Rank.ACT for each in said):
        return "attention"
    if isinstance(entry.call, calls.StartClock):
        return "clock_started"
    if isinstance(entry.call, calls.StopClock):
        return "clock_stopped"
    # Where little is said, what was booked is confirmed all the same.
    return "" if _joined(said) or entry.source in QUIET else "accepted"
