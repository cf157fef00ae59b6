"""When what is to be said: more urgent things interrupt, echoes grow stale, some come again.

Pure: every function takes the announcer and the moment, and gives the next announcer with what
the voice must do now. How long the voice will speak is reckoned from the text, so nothing here
waits for a sound device; `finished` puts the reckoning right where the device tells.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from typing import Final

from callout.game.kind import Rank
from callout.game.notices.kinds import Notice
from callout.table.speech.delivery import Delivery
from callout.table.speech.pending_notices import Pending

# All of these: common practice, no source; to be judged with people at a table.
STALE_MS: Final = 4_000
"""An echo that waited this long for its turn is not said any more."""
AGAIN_MS: Final = 10_000
"""A notice that calls for an act comes again after so long."""
HOLD_MS: Final = 3_000
"""Words wait so long at a stop, for the referee's report."""
QUIET_MS: Final = 32_000
"""A key to talk keeps the table quiet no longer: an ear that it opened is closed by then."""
SLACK_MS: Final = 2_000
"""A voice takes up to 0.7 s longer than was reckoned, a tone 0.4 s, and a busy machine its time."""
LONGEST_MS: Final = 4_000
"""One breath lasts no longer. Source: the design of this table."""
_START_MS: Final = 300
_LETTER_MS: Final = 65


@dataclass(frozen=True, slots=True)
class Speak:
    """Sound a tone, if one is named, and then say a text, if there is one."""

    text: str
    tone: str = ""
    aloud: bool = False
    """Whether it is for all at the court, and not for the scorer's ear."""


@dataclass(frozen=True, slots=True)
class Hush:
    """Stop speaking at once."""


Command = Speak | Hush | Delivery
"""What the voice is told to do."""


@dataclass(frozen=True, slots=True)
class Utterance:
    """Something to be said in one breath."""

    text: str
    rank: Rank
    """How urgent it is: only echoes share a breath."""
    made_ms: int
    tone: str = ""
    place: int = 0
    """Among those of one rank the lower is said first."""
    lasts: bool = False
    """Whether it is said however late its turn comes, though it is an echo."""
    of: Notice | None = None
    """What it says, where somebody must act on that."""
    aloud: bool = False
    """As of `Speak`."""


@dataclass(frozen=True, slots=True)
class Announcer:
    """What is being said, what waits for its turn, and what must come again."""

    speaking: Utterance | None = None
    until_ms: int = 0
    queue: tuple[Utterance, ...] = ()
    held: tuple[Utterance, ...] = ()
    held_until_ms: int = 0
    pending: tuple[Pending, ...] = ()
    last: str = ""
    """What was said last."""
    slack_ms: int = 0
    """So much longer than was reckoned it waits for a voice that tells when it has ended."""
    quiet_until_ms: int = 0
    """Until then the scorer speaks, and no words are said."""

    @property
    def busy(self) -> bool:
        """Whether something is being said, or waits for its turn."""
        return self.speaking is not None or bool(self.queue)


Step = tuple[Announcer, tuple[Command, ...]]


def speech_ms(text: str) -> int:
    """How long a text takes to say, reckoned from its length.

    Units: milliseconds. Source: about 15 letters a second, as the voices here speak.
    """
    return _START_MS + _LETTER_MS * len(text) if text else 0


def breaths(utterances: Sequence[Utterance]) -> list[Utterance]:
    """What is urgent each by itself, and the echoes of one entry in one breath, if it is short."""
    made: list[Utterance] = []
    for one in utterances:
        last = made[-1] if made and one.text else None
        if last is not None and _plain(last) and _plain(one):
            text = f"{last.text} {one.text}"
            if speech_ms(text) <= LONGEST_MS:
                made[-1] = replace(last, text=text)
                continue
        made += [one] if one.text else []
    return made


def _plain(utterance: Utterance) -> bool:
    return utterance.rank is Rank.ECHO and not utterance.lasts


def say(announcer: Announcer, utterance: Utterance, now_ms: int) -> Step:
    """Says it now, in place of something less urgent, or puts it in the queue."""
    if not utterance.text and not utterance.tone:
        return announcer, ()
    busy = announcer.speaking if now_ms < announcer.until_ms else None
    if busy is None:
        return _turn(_queued(announcer, utterance), now_ms)
    if utterance.rank >= busy.rank:
        return _queued(announcer, utterance), ()
    # Cut short, an echo is not worth saying late; anything else is said once more from its start.
    back = () if busy.rank is Rank.ECHO else (busy,)
    calm = replace(announcer, speaking=None, until_ms=now_ms)
    for waiting in (utterance, *back):
        calm = _queued(calm, waiting)
    after, commands = _turn(calm, now_ms)
    return after, (Hush(), *commands)


def hold(announcer: Announcer, utterance: Utterance, now_ms: int, until_ms: int) -> Step:
    """Sounds only its tone; its words wait for `release`, or for that moment."""
    held = replace(
        announcer,
        held=(*announcer.held, replace(utterance, tone="")),
        held_until_ms=until_ms,
    )
    tone = Utterance("", utterance.rank, now_ms, utterance.tone or "attention")
    return say(held, tone, now_ms)


def release(announcer: Announcer, now_ms: int) -> Step:
    """Lets the words go that were held."""
    done: tuple[Command, ...] = ()
    words, announcer = announcer.held, replace(announcer, held=())
    for utterance in words:
        announcer, commands = say(announcer, utterance, now_ms)
        done += commands
    return announcer, done


def withdraw(announcer: Announcer, now_ms: int) -> Step:
    """Asks nothing more: a question that is closed is not said, and not said to its end."""
    queue = tuple(one for one in announcer.queue if one.rank is not Rank.ASK)
    announcer = replace(announcer, queue=queue)
    busy = announcer.speaking if now_ms < announcer.until_ms else None
    if busy is None or busy.rank is not Rank.ASK:
        return announcer, ()
    after, commands = finished(announcer, now_ms)
    return after, (Hush(), *commands)


def finished(announcer: Announcer, now_ms: int, text: str | None = None) -> Step:
    """The voice has come to the end of what it was saying; of a text, if it tells of which.

    What it tells of another text is of one that was cut short meanwhile.
    """
    busy = announcer.speaking
    if text is not None and (busy is None or busy.text != text):
        return announcer, ()
    return _turn(replace(announcer, speaking=None, until_ms=now_ms), now_ms)


def cut(announcer: Announcer, now_ms: int, text: str) -> Step:
    """The voice was stopped in the midst of that text: somebody talked over it, or it was gone.

    It is said once more from its start, but for an echo, and for a question that was talked over.
    """
    busy = announcer.speaking
    if busy is None or busy.text != text:
        return announcer, ()
    return _turn(_cut(announcer, now_ms), now_ms)


def be_quiet(announcer: Announcer, now_ms: int) -> Step:
    """Says no words while the scorer speaks, though tones: until `go_on`, or for `QUIET_MS`."""
    if now_ms < announcer.until_ms:
        announcer = _cut(announcer, now_ms)
    quiet = replace(announcer, quiet_until_ms=now_ms + QUIET_MS)
    after, commands = wake(quiet, now_ms)
    return after, (Hush(), *commands)


def go_on(announcer: Announcer, now_ms: int) -> Step:
    """Says what was to be said while the scorer spoke, and is not stale."""
    return wake(replace(announcer, quiet_until_ms=0), now_ms)


def wake(announcer: Announcer, now_ms: int) -> Step:
    """Whatever has come to its turn by now: words held long enough, the head of the queue."""
    done: tuple[Command, ...] = ()
    if announcer.held and now_ms >= announcer.held_until_ms:
        announcer, done = release(announcer, now_ms)
    if now_ms >= announcer.until_ms:
        announcer, commands = _turn(announcer, now_ms)
        done += commands
    return announcer, done


def wake_ms(announcer: Announcer, which: Callable[[Pending], bool]) -> int | None:
    """When `wake`, or `reminders.due_again` of those notices, has something to do next.

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
    """Says the head of the queue, past echoes that are stale, and words while it is quiet."""
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
    )
    return after, (Speak(head.text, head.tone, head.aloud),)


def _said(pending: Pending, utterance: Utterance, now_ms: int) -> Pending:
    """A notice that is said now comes again so much later, however long it had to wait."""
    if pending.again_ms is None or pending.notice != utterance.of:
        return pending
    return replace(pending, again_ms=now_ms + AGAIN_MS)


def _stale(utterance: Utterance, now_ms: int) -> bool:
    fleeting = utterance.rank is Rank.ECHO and not utterance.lasts
    return fleeting and now_ms - utterance.made_ms >= STALE_MS
