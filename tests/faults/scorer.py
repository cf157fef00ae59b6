"""A scorer that presses random keys, most of which make sense in a game.

It knows only what anybody at a table sees: whether the clock runs, whether throws are owed, and
whether the table has asked something.
"""

from __future__ import annotations

import random
from collections.abc import Iterator
from dataclasses import replace

from callout.game.state import Game, Phase
from callout.table.book.journal import Journal
from callout.table.clock import SimulatedTime
from callout.table.hands.composing import Keying, Keys
from callout.table.hands.keymap import Hand
from callout.table.language import keys_of, patterns_of
from callout.table.session import Session
from callout.table.speech.reply import Reply
from tests.english import english_grammar
from tests.table.play import GUEST, HOME, SETUP, language

GRAMMAR = english_grammar()
SILENT = (Hand.TALK, Hand.TAP, Hand.CHOOSE, Hand.TYPE, Hand.HELP)
KEYS = {key: target for key, target in keys_of(GRAMMAR).keys.items() if target not in SILENT}
"""The keys of the game's window, without those of the ear, the one switch, typing and help."""
SHIRTS = (*HOME, *GUEST, "99", "44")
"""Numbers to press: most are on a list, for either team; two are on none."""

PLAYING = (
    ("fs", 14), ("js", 14), ("fd", 5), ("jd", 5), ("fs§", 8), ("js§", 8), ("fg§", 6), ("jg§", 6),
    (" fg§x", 3), (" jg§x", 3), (" ", 9), ("b", 3), ("h", 2), ("p", 1), ("f k", 2), ("j k", 2),
    ("fe", 1), ("je", 1), (" ft", 1), (" jt", 1), ("N", 1), ("u", 3), ("%s", 1), ("J", 1),
    ("=§", 2), (" fi§", 1), (" ji§", 1), (" fW§", 1), (" jQ§", 1), ("fC", 1), ("jB", 1),
    ("'¤", 1), ("f#¤", 1), ("fP§", 1), ("~f", 1), ("f&§", 1), ("j^§", 1), ("?", 1),
)  # fmt: skip
STOPPED = (
    ("\t", 30), ("fg§", 4), ("jg§", 4), ("x", 3), ("z", 2), ("v", 1), ("Z", 1), ("l", 3), ("m", 4),
    ("fi§", 1), ("ji§", 1), ("fk", 1), ("jk", 1), ("ft", 1), ("jt", 1), ("o", 3), ("u", 4),
    ("U", 2), ("fL§§", 1), ("jL§§", 1), ("h", 1), ("fX", 1), ("O", 1), ("f~", 1), ("fE", 1),
    ("jK", 1), (";¤", 2), ("+¤", 1), ("-¤", 1), ("'¤", 1), ("j#¤", 1), ("fA§", 1), ("M", 1),
    ("?", 2),
)  # fmt: skip
OWED = (("w", 10), ("q", 8), ("fw", 3), ("jw", 3), ("\t", 5), ("§", 2), ("u", 1))
BETWEEN = (
    ("\t", 6), ("[", 2), ("u", 1), ("fg§", 1), ("ft", 1), ("fk", 1), ("}", 1), ("l", 1),
    ("fA§", 1), ("jP§", 1), ("?", 1),
)  # fmt: skip
"""The keys that are pressed in each state of the game, with their weights. `§` stands for a shirt
and `¤` for a number, each with the key that ends it, and `?` for a question."""
ASKED = ("f2", "f3", "f4", "f5", "f6", "f7", "f8", "down", "r")
ANSWERS = (("y", 5), ("n", 3), ("u", 1), ("fs", 1), (",", 1))
NAMED = {" ": "space", "\t": "tab", "p": "left", "P": "p +", "J": "p =", "L": "p ,", "O": "p .",
         "}": "p ]"}  # fmt: skip
NAMED |= {letter.upper(): f"p {letter}" for letter in "nwqcbuxekamz"}
"""Keys with another notation above: a capital is a rare call, made by `p` and another key."""
MOST_TICKS = 20
"""Ticks with something to do at one moment; more mean an endless loop."""
Table = tuple[tuple[str, int], ...]

RANDOM_SHARE = 0.1
"""The share of keys that are drawn from all keys."""


class Scorer:
    """One game from its first key to its end."""

    def __init__(self, profile: str, seed: int) -> None:
        self.time = SimulatedTime(1_000_000)
        self.journal = Journal.in_memory(replace(SETUP, profile=profile))
        self.session = Session(self.journal, language()[0], self.time)
        self.played_s = 0.0
        """How long the game clock has run so far."""
        self._keys = Keys(patterns_of(GRAMMAR), self.session.may)
        self._keying = Keying()
        self._random = random.Random(f"{profile} {seed}")

    @property
    def game(self) -> Game:
        """The game as it stands."""
        return self.session.game

    def replies(self, most_s: float) -> Iterator[Reply]:
        """The replies to all keys and waits, until the game is over or `most_s` has been played."""
        yield self.session.opening()
        while self.game.phase is not Phase.OVER and self.played_s < most_s:
            for key in self._phrase():
                yield from self._wait(self._random.choice((0, 80, 150, 300)))
                yield self._press(key)
            yield from self._wait(self._pause_ms())
        yield from self._wait(60_000)

    def _pause_ms(self) -> int:
        if self.game.phase in (Phase.TIMEOUT, Phase.INTERVAL):
            return self._random.choice((2_000, 20_000, 45_000, 90_000))
        return self._random.choice((300, 1_000, 3_000, 6_000, 12_000, 25_000))

    def _phrase(self) -> Iterator[str]:
        drawn = self._random
        if drawn.random() < RANDOM_SHARE:
            yield drawn.choice(list(KEYS))
            return
        phase = self.game.phase
        if self.session.dialogue.question is not None and drawn.random() < 0.8:
            table: Table = ANSWERS
        elif phase.between:
            table = BETWEEN
        elif phase is Phase.RUNNING:
            table = PLAYING
        else:
            table = OWED if self.game.owed and drawn.random() < 0.7 else STOPPED
        ((keys, _),) = drawn.choices(table, [weight for _, weight in table])
        for key in keys:
            if key in "§¤":
                yield from drawn.choice(SHIRTS) if key == "§" else str(drawn.randrange(1_000))
                yield "enter"
            elif key == "?":
                yield drawn.choice(ASKED)
            else:
                yield NAMED.get(key, key)

    def _press(self, key: str) -> Reply:
        asked = self.session.dialogue.question is not None
        step = self._keys.press(self._keying, KEYS[key], 10**6 * self.time.wall_ms(), asked)
        self._keying = step.keying
        reply = Reply()
        for keyed in step.calls:
            reply += self.session.take(keyed.call, "key")
        return reply + self.session.key_told(step)

    def _wait(self, ms: int) -> Iterator[Reply]:
        """Lets time pass; whatever falls due in it happens at its own moment."""
        end, ticks = self.time.wall_ms() + ms, 0
        while (wake := self.session.wake_ms()) is not None and wake <= end:
            ticks = ticks + 1 if wake <= self.time.wall_ms() else 0
            assert ticks < MOST_TICKS, f"the loop would spin: {self.session.announcer}"
            self._pass_to(max(wake, self.time.wall_ms()))
            yield self.session.tick()
        self._pass_to(end)
        yield self.session.tick()

    def _pass_to(self, wall_ms: int) -> None:
        if self.game.clock.running:
            self.played_s += (wall_ms - self.time.wall_ms()) / 1000
        self.time.set(wall_ms)
