"""A game script played on simulated time, with a voice that takes as long as a real one."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field

from callout.edges.voice.phrases import Phrases, sentences
from callout.edges.voice.tones import TONES
from callout.game.calls import SetClock
from callout.game.state import Phase
from callout.language.check import load_language
from callout.language.replies import Level
from callout.table.book.journal import Journal
from callout.table.clock import SimulatedTime, shows_ms
from callout.table.language import english, parsers_of, replies_of, scope_of
from callout.table.scripts.script import Script
from callout.table.session import Session
from callout.table.speech.announcer import Command, Hush, Speak
from callout.table.speech.delivery import Delivery
from callout.table.speech.reply import Reply, Said
from callout.table.talk.questions import SPOKEN


@dataclass(slots=True)
class Sound:
    """A sound that was played: its start and end in milliseconds, and whether it was cut short."""

    start_ms: int
    end_ms: int
    text: str
    tone: str
    cut: bool = False


@dataclass
class Voice:
    """Plays one text after another, each for as long as a real voice takes."""

    length_ms: Callable[[str], int]
    sounds: list[Sound] = field(default_factory=list)

    def do(self, commands: Sequence[Command], now_ms: int) -> None:
        """Carry out a command of the table to the voice."""
        for command in commands:
            if isinstance(command, Hush):
                for sound in self.sounds:
                    if sound.end_ms > now_ms:
                        sound.end_ms, sound.cut = max(now_ms, sound.start_ms), True
            elif isinstance(command, Speak):
                start = max([now_ms, *(sound.end_ms for sound in self.sounds[-1:])])
                ms = sum(step for _, step in TONES.get(command.tone, ()))
                end = start + ms + self.length_ms(command.text)
                self.sounds.append(Sound(start, end, command.text, command.tone))

    def ends_after(self, now_ms: int) -> int | None:
        """When the present sound ends."""
        return next((sound.end_ms for sound in self.sounds if sound.end_ms > now_ms), None)


def real_lengths(phrases: Phrases) -> Callable[[str], int]:
    """The time that the voice takes for a text."""

    def length_ms(text: str) -> int:
        made = [phrases.render(part, Delivery().speed) for part in sentences(text)]
        return sum(round(1000 * len(each.samples) / each.rate_hz) for each in made)

    return length_ms


class Played:
    """A session that is spoken to in words; its voice reports its ends as a real one does."""

    def __init__(self, script: Script, level: Level, length_ms: Callable[[str], int]) -> None:
        self.script = script
        self.time = SimulatedTime(1_000_000)
        grammar = load_language(english())
        self.parsers = parsers_of(grammar, scope_of(script.setup))
        self.session = Session(Journal.in_memory(script.setup), replies_of(grammar), self.time)
        self.session.speaker.level = level
        self.session.speaker.trust_voice()
        self.voice = Voice(length_ms)
        self.said: list[Said] = []
        self.called: list[tuple[int, str]] = []

    @property
    def now_ms(self) -> int:
        """The present moment, in milliseconds."""
        return self.time.wall_ms()

    def say(self, words: str) -> None:
        """Say a call now."""
        asked = self.session.dialogue.question is not None
        self.called.append((self.now_ms, words))
        self._take(self.session.hear(self.parsers.now(asked), words, SPOKEN))

    def until(self, end_ms: int) -> None:
        """Let time pass until a moment; calls fall due and sounds end on the way."""
        while True:
            ends = self.voice.ends_after(self.now_ms)
            wake = self.session.wake_ms()
            moments = [m for m in (ends, wake) if m is not None and m <= end_ms]
            if not moments:
                break
            self.time.set(max(self.now_ms, min(moments)))
            before = self.session.wake_ms()
            if ends is not None and self.now_ms >= ends:
                self._ended()
            self._take(self.session.tick())
            if self.session.wake_ms() == before and ends is None:
                break  # It waits for a person.
        self.time.set(max(self.now_ms, end_ms))
        self._take(self.session.tick())

    def _ended(self) -> None:
        """The voice reports that it has finished a text."""
        for sound in [s for s in self.voice.sounds if s.end_ms == self.now_ms and not s.cut]:
            self.voice.do(self.session.spoken(sound.text), self.now_ms)

    def _take(self, reply: Reply) -> None:
        self.said += reply.said
        self.voice.do(reply.speech, self.now_ms)

    def to_clock(self, left_tenths: int) -> None:
        """Let time pass until the clock shows a time, or set the clock to it."""
        moment = shows_ms(self.session.game, left_tenths)
        if self.session.game.phase is Phase.RUNNING and moment is not None:
            self.until(max(self.now_ms, moment))
        if self.session.now().left_tenths != left_tenths:
            self._take(self.session.take(SetClock(left_tenths), "script"))


def play(script: Script, level: Level, length_ms: Callable[[str], int], gap_ms: int) -> Played:
    """Plays a whole script.

    Calls without a time of their own follow one another after `gap_ms`; an interval is as long as
    the league's rules say.
    """
    played = Played(script, level, length_ms)
    for line in script.said():
        between = played.session.game.phase is Phase.INTERVAL
        interval = 1000 * _interval_s(played) if between else 0
        if line.left_tenths is not None and played.session.game.phase is Phase.RUNNING:
            played.to_clock(line.left_tenths)
        else:
            starts = between and line.words in ("start clock", "start period")
            played.until(played.now_ms + (interval if starts else gap_ms))
        played.say(line.words)
    played.until(played.now_ms + 15_000)
    return played


def _interval_s(played: Played) -> int:
    periods = played.session.game.profile.periods
    half = played.session.game.period == periods.half_after
    return periods.half_time_s if half else periods.break_s
