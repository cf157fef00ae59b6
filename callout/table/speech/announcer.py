"""The queue of what is to be said: urgent things interrupt, and echoes that waited are dropped.

Pure: every function takes the announcer and the moment, and returns the next announcer with the
commands for the voice. The duration of speech is estimated from the text, so nothing here waits for
a sound device; `finished` corrects the estimate when the device reports the end.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Final

from callout.game.kind import Rank
from callout.game.notices.kinds import Notice
from callout.table.speech.delivery import Delivery
from callout.table.speech.pending_notices import Pending

# All of these: common practice, no source; to be judged with people at a table.
STALE_MS: Final = 4_000
"""An echo that has waited this long is dropped."""
AGAIN_MS: Final = 10_000
"""Time after which a notice that somebody must act on is repeated."""
HOLD_MS: Final = 3_000
"""Time that words wait at a stop, so that they do not talk over the referee's report."""
QUIET_MS: Final = 32_000
"""The longest time that a key to talk keeps the table quiet; its ear is closed by then."""
SLACK_MS: Final = 2_000
"""Extra wait for the report that the voice has ended, beyond the estimated duration.

A voice takes up to 0.7 s longer than estimated and a tone 0.4 s; the rest is for a busy machine.
"""
_START_MS: Final = 300
_LETTER_MS: Final = 65


@dataclass(frozen=True, slots=True)
class Speak:
    """Sound a tone, if one is named, and then say a text, if there is one."""

    text: str
    tone: str = ""
    aloud: bool = False
    """Whether it is for everybody at the court, instead of the scorer's ear."""


@dataclass(frozen=True, slots=True)
class Hush:
    """Stop speaking at once."""


Command = Speak | Hush | Delivery
"""What the voice can be told to do."""


@dataclass(frozen=True, slots=True)
class Utterance:
    """Something to be said without a pause."""

    text: str
    rank: Rank
    """How urgent it is; only echoes are joined."""
    made_ms: int
    tone: str = ""
    place: int = 0
    """Order among those of one rank: the lower is said first."""
    lasts: bool = False
    """Whether it is said however long it waited, although it is an echo."""
    of: Notice | None = None
    """The notice that it says, where somebody must act on it."""
    aloud: bool = False
    """As for `Speak`."""
    choice: bool = False
    """Whether one switch reads it: it is not said again once it was interrupted."""
    also: tuple[Notice, ...] = ()
    """More notices that it says."""

    @property
    def notices(self) -> tuple[Notice, ...]:
        """All notices that it says."""
        return () if self.of is None else (self.of, *self.also)


@dataclass(frozen=True, slots=True)
class Announcer:
    """What is being said, what waits, and which notices must be repeated."""

    speaking: Utterance | None = None
    until_ms: int = 0
    queue: tuple[Utterance, ...] = ()
    held: tuple[Utterance, ...] = ()
    held_until_ms: int = 0
    pending: tuple[Pending, ...] = ()
    last: str = ""
    """The text that was said last."""
    slack_ms: int = 0
    """Extra wait beyond the estimated duration, for a voice that reports its end."""
    quiet_until_ms: int = 0
    """The scorer may be speaking until then, so no words are said."""
    begun: int = 0
    """How many texts were begun that are no choices."""

    @property
    def busy(self) -> bool:
        """Whether something is being said, or is queued."""
        return self.speaking is not None or bool(self.queue)


Step = tuple[Announcer, tuple[Command, ...]]


def speech_ms(text: str) -> int:
    """How long a text takes to say, estimated from its length.

    Units: milliseconds. Source: about 15 letters a second, as the voices here speak.
    """
    return _START_MS + _LETTER_MS * len(text) if text else 0


def say(announcer: Announcer, utterance: Utterance, now_ms: int) -> Step:
    """Says it now, interrupting something less urgent, or queues it."""
    if not utterance.text and not utterance.tone:
        return announcer, ()
    busy = announcer.speaking if now_ms < announcer.until_ms else None
    if busy is None:
        return _turn(_queued(announcer, utterance), now_ms)
    if utterance.rank >= busy.rank:
        return _queued(announcer, utterance), ()
    # An echo that was interrupted is dropped, and a choice is read anew by its list; anything else
    # is said again from its start.
    back = () if busy.rank is Rank.ECHO or busy.choice else (busy,)
    calm = replace(announcer, speaking=None, until_ms=now_ms)
    for waiting in (utterance, *back):
        calm = _queued(calm, waiting)
    after, commands = _turn(calm, now_ms)
    return after, (Hush(), *commands)


def hold(announcer: Announcer, utterance: Utterance, now_ms: int, until_ms: int) -> Step:
    """Sounds only its tone; the words wait for `release`, or until `until_ms`."""
    held = replace(
        announcer,
        held=(*announcer.held, replace(utterance, tone="")),
        held_until_ms=until_ms,
    )
    tone = Utterance("", utterance.rank, now_ms, utterance.tone or "attention")
    return say(held, tone, now_ms)


def release(announcer: Announcer, now_ms: int) -> Step:
    """Says or queues the words that were held."""
    done: tuple[Command, ...] = ()
    words, announcer = announcer.held, replace(announcer, held=())
    for utterance in words:
        announcer, commands = say(announcer, utterance, now_ms)
        done += commands
    return announcer, done


def read(announcer: Announcer, text: str, now_ms: int) -> Step:
    """Reads a choice in place of the one before; anything else is said to its end first."""
    queue = tuple(one for one in announcer.queue if not one.choice)
    announcer, done = replace(announcer, queue=queue), list[Command]()
    busy = announcer.speaking if now_ms < announcer.until_ms else None
    if busy is not None and busy.choice:
        announcer, commands = finished(announcer, now_ms)
        done += [Hush(), *commands]
    choice = Utterance(text, Rank.ASK, now_ms, choice=True)
    announcer, commands = say(announcer, choice, now_ms)
    return announcer, (*done, *commands)


def withdraw(announcer: Announcer, now_ms: int) -> Step:
    """Drops a question that is closed: from the queue, and in the middle of being said."""
    queue = tuple(one for one in announcer.queue if one.rank is not Rank.ASK)
    announcer = replace(announcer, queue=queue)
    busy = announcer.speaking if now_ms < announcer.until_ms else None
    if busy is None or busy.rank is not Rank.ASK:
        return announcer, ()
    after, commands = finished(announcer, now_ms)
    return after, (Hush(), *commands)


def finished(announcer: Announcer, now_ms: int, text: str | None = None) -> Step:
    """The voice has finished; `text` is what it said, where the voice reports that.

    A report about another text is late: that text was interrupted meanwhile.
    """
    busy = announcer.speaking
    if text is not None and (busy is None or busy.text != text):
        return announcer, ()
    return _turn(replace(announcer, speaking=None, until_ms=now_ms), now_ms)


def cut(announcer: Announcer, now_ms: int, text: str) -> Step:
    """The voice was stopped within that text: somebody talked over it, or the device was lost.

    It is said again from its start, unless it is an echo or a question.
    """
    busy = announcer.speaking
    if busy is None or busy.text != text:
        return announcer, ()
    return _turn(_cut(announcer, now_ms), now_ms)


def be_quiet(announcer: Announcer, now_ms: int) -> Step:
    """Says no words, only tones, while the scorer speaks: until `go_on`, or for `QUIET_MS`."""
    if now_ms < announcer.until_ms:
        announcer = _cut(announcer, now_ms)
    quiet = replace(announcer, quiet_until_ms=now_ms + QUIET_MS)
    after, commands = wake(quiet, now_ms)
    return after, (Hush(), *commands)


def go_on(announcer: Announcer, now_ms: int) -> Step:
    """Says what waited while the scorer spoke, but for echoes that waited too long."""
    return wake(replace(announcer, quiet_until_ms=0), now_ms)


def wake(announcer: Announcer, now_ms: int) -> Step:
    """Says what is due by now: words held long enough, or the head of the queue."""
    done: tuple[Command, ...] = ()
    if announcer.held and now_ms >= announcer.held_until_ms:
        announcer, done = release(announcer, now_ms)
    if now_ms >= announcer.until_ms:
        announcer, commands = _turn(announcer, now_ms)
        done += commands
    return announcer, done


def wake_ms(announcer: Announcer, which: Callable[[Pending], bool]) -> int | None:
    """When `wake`, or `reminders.due_again` for those notices, has something to do next.

    Units: milliseconds since 1970.
    """
    moments = [announcer.held_until_ms] if announcer.held else []
    if announcer.queue:
        moments.append(max(announcer.until_ms, announcer.quiet_until_ms))
    again = ((p, p.again_ms) for p in announcer.pending)
    moments += [moment for p, moment in again if moment is not None and which(p)]
    return min(moments, default=None)


def _queued(announcer: Announcer, utterance: Utterance) -> Announcer:
    # Python's sort is stable: equal ranks keep their order.
    queue = sorted((*announcer.queue, utterance), key=lambda one: (one.rank, one.place))
    return replace(announcer, queue=tuple(queue))


def _cut(announcer: Announcer, now_ms: int) -> Announcer:
    busy, calm = announcer.speaking, replace(announcer, speaking=None, until_ms=now_ms)
    if busy is None or busy.rank in (Rank.ECHO, Rank.ASK):
        return calm
    return _queued(calm, busy)


def _turn(announcer: Announcer, now_ms: int) -> Step:
    """Says the head of the queue, dropping stale echoes; in quiet, the first tone without words."""
    fresh = tuple(one for one in announcer.queue if not _stale(one, now_ms))
    quiet = now_ms < announcer.quiet_until_ms
    head = next((one for one in fresh if not (quiet and one.text)), None)
    if head is None:
        return replace(announcer, speaking=None, queue=fresh), ()
    after = replace(
        announcer,
        pending=tuple(_said(pending, head, now_ms) for pending in announcer.pending),
        speaking=head,
        until_ms=now_ms + speech_ms(head.text) + (announcer.slack_ms if head.text else 0),
        queue=tuple(one for one in fresh if one is not head),
        last=head.text or announcer.last,
        begun=announcer.begun + bool(head.text and not head.choice),
    )
    return after, (Speak(head.text, head.tone, head.aloud),)


def _said(pending: Pending, utterance: Utterance, now_ms: int) -> Pending:
    """The notice with its next repetition counted from now, if this utterance says it."""
    if pending.again_ms is None or pending.notice not in utterance.notices:
        return pending
    return replace(pending, again_ms=now_ms + AGAIN_MS)


def _stale(utterance: Utterance, now_ms: int) -> bool:
    fleeting = utterance.rank is Rank.ECHO and not utterance.lasts
    return fleeting and now_ms - utterance.made_ms >= STALE_MS
