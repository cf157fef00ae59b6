"""A practice played by scripts: users who call after a known time, well or badly."""

from __future__ import annotations

import random
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from functools import partial
from typing import Any, Self

from callout.commands.practice import INVENTED, practice_words
from callout.edges.live.inbox import Put, TypedLine
from callout.edges.live.voice import Outlets
from callout.edges.practice.hall import PlaySounded
from callout.edges.practice.table import PracticeTable
from callout.edges.practice.wording import Wording
from callout.game import calls
from callout.game.calls import Call
from callout.game.fold import new_game
from callout.game.terms import Award, FoulKind, Team
from callout.language.replies import Replies
from callout.practice.drawing import Drawing
from callout.practice.facts import fact_of
from callout.practice.lesson import LENGTH_MS, LESSON_LEVEL, lesson
from callout.practice.levels import LEVELS, Level
from callout.practice.play import Play
from callout.practice.rehearsal import Rehearsal
from callout.practice.report import Report, report
from callout.practice.words import said
from callout.table.book.journal import Journal
from callout.table.clock import MachineTime
from callout.table.hands.devices import Edge
from tests.edges.table_by_hand import utterance
from tests.english import WORDS, english_grammar

MS = 10**6
TELLS_MS = 1_500
"""How long the scripted hall tells a play."""
PRINT = Outlets(voice="print", ears="left")
AGE_MS, WORD_MS = 400, 300
"""As `utterance` has it: when an utterance is told after its end, and how long a word takes."""


class ScriptedHall:
    """Takes a known time to tell a play."""

    aloud = False

    def __init__(self, outlets: Outlets, put: Put) -> None:
        self._put = put
        self.told: list[tuple[str, str]] = []

    def tell(self, text: str, sound: str) -> None:
        """Begin to tell it."""
        self.told.append((text, sound))
        self._put(PlaySounded("started", text))

    def end(self) -> None:
        """It has been told."""
        self._put(PlaySounded("finished", self.told[-1][0]))

    def close(self) -> None:
        """Nothing is left."""


@dataclass(frozen=True)
class Action:
    """What a user does so long after a play was told."""

    after_ms: int
    call: Call
    wanted: int
    """Which of all calls it answers."""


class User:
    """Calls each play; `late_ms` is from which to which delay, `miss` and `slip` how often."""

    def __init__(
        self, delays_ms: tuple[int, int], miss: float = 0.0, slip: float = 0.0, seed: int = 3
    ) -> None:
        self._delays, self._miss, self._slip = delays_ms, miss, slip
        self._random = random.Random(seed)
        self.seen = 0

    def on(self, play: Play) -> Iterator[Action]:
        """What this user does about a play."""
        after_ms = self._random.randint(*self._delays)
        for call in play.calls:
            self.seen += 1
            if self._random.random() >= self._miss:
                wrong = self._random.random() < self._slip
                yield Action(after_ms, slipped(call) if wrong else call, self.seen - 1)
            after_ms += self._random.randint(1_500, 1_900)


def slipped(call: Call) -> Call:
    """The call with a mistake in it, where one can be made."""
    match call:
        case calls.Score():
            return replace(call, team=call.team.other)
        case calls.Foul(number=number):
            other = next(p.number for p in INVENTED.team(call.team).players if p.number != number)
            return replace(call, number=other)
        case calls.Shot():
            return replace(call, made=not call.made)
    return call


GOOD = partial(User, (600, 1_200))
SLOW = partial(User, (4_200, 6_500))
SLOPPY = partial(User, (600, 1_400), miss=0.25, slip=0.35)
USERS: dict[str, Callable[[], User]] = {"good": GOOD, "slow": SLOW, "sloppy": SLOPPY}

KEYS = {calls.StartClock: "tab", calls.StopClock: "space", calls.TimeoutOver: "o",
        calls.SubWaiting: "k", calls.SubsIn: "l", calls.HeldBall: "h", calls.Undo: "u",
        calls.Ask: "f2"}  # fmt: skip
"""README's card of keys."""
FOULS = {FoulKind.PERSONAL: ["g"], FoulKind.OFFENSIVE: ["p", "g"], FoulKind.TECHNICAL: ["i"],
         FoulKind.UNSPORTSMANLIKE: ["p", "w"]}  # fmt: skip
TEAMS = {Team.HOME: "f", Team.GUEST: "j"}


def keys_of(call: Call) -> tuple[list[str], int]:
    """The keys for a call by the README's card, and which of them is the call's moment."""
    match call:
        case calls.Score(team, points, number):
            scored = {1: "a", 2: "s", 3: "d"}[points]
            return [TEAMS[team], scored, *(number or ""), *(["enter"] if number else [])], 1
        case calls.Foul(team, number, foul):
            return [TEAMS[team], *FOULS[foul], *(number or ""), "enter"], len(FOULS[foul])
        case calls.Shot(made):
            return ["w" if made else "q"], 0
        case calls.SetAward(award):
            return [{Award.ONE: "z", Award.TWO: "x", Award.THREE: "c"}[award]], 0
        case calls.Timeout(team):
            return [TEAMS[team], "t"], 1
        case calls.Tip(team):
            return [TEAMS[team], "left"], 1
        case calls.Number(number):
            return [*number, "enter"], 0
    return [KEYS[type(call)]], 0


def words_of(words: Replies, call: Call) -> str:
    """The words for a call, as practice itself would say them."""
    notice = said(fact_of(call))
    return words.say(notice.kind, notice.slots).lower()


Ear = Callable[[str, int, Put], Iterator[tuple[int, Callable[[], None]]]]
"""What an ear makes of words that begin at a moment: what it tells the table, and when."""
LONGEST_MS = 900_000


class Practised:
    """A practice table whose clock, hall and ear are scripted."""

    def __init__(self, level: Level, seed: int, length_ms: int) -> None:
        self.now_ns = 0
        self.words = practice_words(english_grammar())
        self.journal = Journal.in_memory(INVENTED)
        setup = self.journal.setup
        start = new_game(setup.rules(), setup.home.side(), setup.guest.side(), setup.owner)
        drawing = Drawing(start, level, random.Random(seed))
        is_lesson = level is LESSON_LEVEL
        plays = lesson(start) if is_lesson else drawing.plays()
        opening = () if is_lesson else drawing.opening()
        halls: list[ScriptedHall] = []

        def hall(outlets: Outlets, put: Put) -> ScriptedHall:
            halls.append(ScriptedHall(outlets, put))
            return halls[-1]

        self.table = PracticeTable(
            self.journal, PRINT,
            lambda now_ms: Rehearsal(plays, level, 1.0, now_ms, length_ms),
            Wording(self.words, WORDS), opening, hall=hall,
            time=MachineTime(date_ns=lambda: 10**18, steady=lambda: self.now_ns),
        )  # fmt: skip
        (self.hall,) = halls
        self.level = level
        self.delays: dict[int, int] = {}
        """By its place, after how many milliseconds each call began."""

    @classmethod
    def at(cls, level: int, seed: int = 5, minutes: float = 3.0) -> Self:
        """A practice of that level."""
        return cls(LEVELS[level], seed, round(minutes * 60_000))

    @classmethod
    def lesson(cls) -> Self:
        """The first lesson."""
        return cls(LESSON_LEVEL, 0, LENGTH_MS)

    @property
    def now_ms(self) -> int:
        """Since the start."""
        return self.now_ns // MS

    def play(self, user: User, means: str, ear: Ear | None = None) -> Report:
        """Play it to its end with a user; the report."""
        self._ear = ear
        pending: list[tuple[int, Callable[[], None]]] = []
        told = 0
        while not self.table.rehearsal.over and self.now_ms < LONGEST_MS:
            self._go_on()
            if len(self.hall.told) > told:
                told += 1
                play = self.table.rehearsal.telling
                assert play is not None
                cue_ms = self.now_ms + TELLS_MS
                pending.append((cue_ms, self.hall.end))
                for action in user.on(play):
                    pending += self._does(action, cue_ms, means)
            pending.sort(key=lambda each: each[0])
            next_ms = min([self.now_ms + 250, *(ms for ms, _ in pending[:1])])
            self.now_ns = max(self.now_ns, next_ms * MS)
            while pending and pending[0][0] <= self.now_ms:
                pending.pop(0)[1]()
        self._go_on()
        return report(0, self.level.number, "normal", self.table.finished())

    def wait(self, ms: int) -> None:
        """So much time passes."""
        self.now_ns += ms * MS
        self._go_on()

    def _go_on(self) -> None:
        while self.table.turn(0):
            pass

    def _does(
        self, action: Action, cue_ms: int, means: str
    ) -> list[tuple[int, Callable[[], None]]]:
        begun_ms = cue_ms + action.after_ms
        self.delays[action.wanted] = action.after_ms
        text = words_of(self.words, action.call)
        if means == "voice" and self._ear is None:
            heard_ms = begun_ms + WORD_MS * len(text.split()) + AGE_MS
            return [(heard_ms, lambda: self.table.put(utterance(text)))]
        if self._ear is not None:
            return list(self._ear(text, begun_ms, self.table.put))
        if means == "typed":
            return [(begun_ms, lambda: self.table.put(TypedLine(text)))]
        keys, moment = keys_of(action.call)
        return list(self._pressed(keys, moment, begun_ms))

    def _pressed(
        self, keys: Sequence[str], moment: int, begun_ms: int
    ) -> Iterator[tuple[int, Callable[[], None]]]:
        for nth, key in enumerate(keys):
            at_ms = begun_ms + 150 * (nth - moment)
            for down in (True, False):
                edge = Edge("keys", key, down, (at_ms + (not down) * 60) * MS)
                yield edge.at_ns // MS, partial(self.table.put, edge)

    def coached(self) -> list[str]:
        """What was said of the calls."""
        replies: Any = self.journal.replies()
        return [each.text for each in replies if each.kind == "coached"]

    def close(self) -> None:
        """End it."""
        self.table.close()
        self.journal.close()
