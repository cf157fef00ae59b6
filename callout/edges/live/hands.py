"""The hands of a live game: what keys bring about at the table."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace
from typing import Final, Protocol

from callout.game.terms import Team
from callout.language.grammar import Grammar
from callout.table.clock import MachineTime, at
from callout.table.hands.composing import WAIT_NS, Keyed, Keying, Keys, KeyStep
from callout.table.hands.devices import Act, Begun, Edge, Hands, LetGo, Move, Unknown
from callout.table.hands.key_help import (
    expected,
    help_in_words,
    help_page,
    key_rows,
    pages,
    word_rows,
)
from callout.table.hands.keymap import Hand, KeyMap
from callout.table.hands.one_switch import PAUSE_NS, Choosing, Switch
from callout.table.hands.presses import MS, Stuck
from callout.table.language import menu_of, patterns_of, replies_of
from callout.table.session import Session
from callout.table.setup.setup import Setup
from callout.table.speech.announcer import speech_ms
from callout.table.speech.kinds import KEY_STUCK, KEY_UNKNOWN
from callout.table.speech.reply import Reply
from callout.table.talk.questions import KEY

Did = tuple[str, Reply]
"""What was called, in words, and what came of it."""


READ_NS: Final = 60 * 10**9
"""Who asks again within this time wants the next page: time to read six calls. Common practice, no
source."""


class Talk(Protocol):
    """The ear that hears while a key is held."""

    def press(self) -> None:
        """The key to talk is down."""

    def release(self) -> None:
        """It is up again."""


class LiveHands:
    """What keys bring about in one game."""

    def __init__(
        self, session: Session, time: MachineTime, grammar: Grammar, keymap: KeyMap
    ) -> None:
        self.talk: Talk | None = None
        """The ear, once it listens for a key."""
        self.once = False
        """Whether the ear hears one call after each press, whether the key is held or not."""
        self.talking = False
        self._session, self._time = session, time
        patterns = patterns_of(grammar)
        self._hands = Hands(keymap)
        self._keys = Keys(patterns, session.may)
        self._keying = Keying()
        setup = session.journal.setup
        self._switch = Switch(
            menu_of(grammar),
            patterns,
            replies_of(grammar),
            lambda team: _numbers(setup, team),
            session.may,
        )
        self._choosing = Choosing()
        self._next_ns: int | None = None
        self._helped: tuple[tuple[str, ...], int, int] = ((), 0, 0)
        """The help that was given last: its rows, the page, and when."""
        self._begun = 0
        """How much had been said when the present choice was read; more has cut into it."""

    # --- what comes in ------------------------------------------------------------------------

    def feed(self, edge: Edge) -> Iterator[Did]:
        """What a key brings about."""
        yield from self._moves(self._hands.feed(edge))

    def tick(self) -> Iterator[Did]:
        """What is due by now: long presses, and the next choice to be read."""
        now = self._time.now_ns()
        yield from self._moves(self._hands.tick(now))
        if self._next_ns is not None and self._next_ns <= now:
            yield from self._next(now)

    def _next(self, now_ns: int) -> Iterator[Did]:
        """Reads on once nothing else is said: from the first choice, if a notice cut in."""
        announcer, now_ms = self._session.announcer, self._time.wall_ms()
        cut = announcer.begun != self._begun
        busy = announcer.speaking if now_ms < announcer.until_ms else None
        if busy is not None and not busy.choice:
            self._next_ns = now_ns + MS * (announcer.until_ms - now_ms) + PAUSE_NS
            return
        go_on = self._switch.again if cut else self._switch.next
        self._choosing = go_on(self._choosing, now_ns)
        yield from self._read()

    def wake_s(self) -> float | None:
        """How long until `tick` has something to do; None if nothing waits."""
        wakes = [ns for ns in (self._hands.wake_ns(), self._next_ns) if ns is not None]
        return max(0.0, (min(wakes) - self._time.now_ns()) / 10**9) if wakes else None

    def offered(self) -> Iterator[str]:
        """What is read next, to be rendered in advance."""
        yield from dict.fromkeys(offer.text for offer in self._choosing.offers)

    def started(self, text: str) -> None:
        """The voice has begun to say something: a choice counts from then on."""
        if text and text == self._choosing.reading:
            self._begun = self._session.announcer.begun
            self._choosing = replace(self._choosing, since_ns=self._time.now_ns())
            self._next_ns = self._estimated_ns(text)

    def finished(self, text: str) -> None:
        """The voice has ended: the next choice follows after a pause."""
        if text and self._choosing.offers:
            self._next_ns = self._time.now_ns() + PAUSE_NS

    # --- what comes of it -----------------------------------------------------------------------

    def _moves(self, moves: Iterable[Move]) -> Iterator[Did]:
        for move in moves:
            match move:
                case Act():
                    yield from self._act(move)
                case LetGo():
                    self.set_talk(False)
                case Stuck():
                    yield f"<{move.key}>", self._session.key_trouble(KEY_STUCK)
                case Begun():
                    step = KeyStep(self._keying, wants="listed")
                    yield "<key>", self._session.key_told(step)
                case Unknown():
                    yield f"<{move.key}>", self._session.key_trouble(KEY_UNKNOWN)

    def _act(self, act: Act) -> Iterator[Did]:
        match act.target:
            case Hand.TALK:
                self.set_talk(True)
            case Hand.TAP:
                self.set_talk(self.once or not self.talking)
            case Hand.CHOOSE:
                yield from self._choose(act.at_ns)
            case Hand.HELP:
                yield "<key>", self._help()
            case target:
                step = self._keys.press(self._keying, target, act.at_ns, self._asked)
                self._keying = step.keying
                yield from self._take(step.calls)
                told = self._session.key_told(step)
                if told.said:
                    yield "<key>", told

    @property
    def _asked(self) -> bool:
        return self._session.dialogue.question is not None

    @property
    def _expected(self) -> str:
        return expected(self._switch, self._session.game, self._asked)

    def _help(self) -> Reply:
        """What may be pressed or said now, page by page; of a call begun, what it still needs."""
        if waiting := self._keying.pattern:
            step = KeyStep(self._keying, wants=waiting.places[0].kind)
            return self._session.key_told(step)
        rows = key_rows(self._switch, self._hands.keymap, self._keying.team, self._expected)
        return self._session.tell(help_page(rows, self._page_of(rows, WAIT_NS)), tone="")

    def helped(self, line: str) -> Reply | None:
        """What may be said or typed now, page by page; None for a line that does not ask for it."""
        if line.strip().lower() not in self._switch.replies.file.terms["asks_help"].values():
            return None
        rows = word_rows(self._switch, self._expected, self._session.game.approval is not None)
        return self._session.tell(help_in_words(rows, self._page_of(rows, READ_NS)), tone="")

    def _page_of(self, rows: tuple[str, ...], within_ns: int) -> int:
        """The next page, where the same rows were given so short a time before; else the first."""
        now, (before, page, at_ns) = self._time.now_ns(), self._helped
        go_on = rows == before and now - at_ns <= within_ns
        page = (page + 1) % pages(rows) if go_on else 0
        self._helped = rows, page, now
        return page

    def _take(self, made: Sequence[Keyed]) -> Iterator[Did]:
        """Makes calls, each with the time at which its key went down."""
        for keyed in made:
            moment = at(self._session.game, self._time.moment_ms(keyed.at_ns))
            yield keyed.text, self._session.take(keyed.call, KEY, moment)

    def _choose(self, at_ns: int) -> Iterator[Did]:
        step = self._switch.press(self._choosing, at_ns, self._asked)
        self._choosing = step.choosing
        yield from self._take(step.calls)
        yield from self._read()

    def _read(self) -> Iterator[Did]:
        text = self._choosing.reading
        self._next_ns = self._estimated_ns(text) if text else None
        if text:
            read = self._session.read(text)
            self._begun = self._session.announcer.begun
            yield "", read

    def _estimated_ns(self, text: str) -> int:
        """When the next choice is due, if the voice does not report its end."""
        return self._time.now_ns() + speech_ms(text) * MS + PAUSE_NS

    def set_talk(self, on: bool) -> None:
        """Opens the ear that waits for a key, or closes it."""
        if self.talk is None:
            return
        if self.once:
            if on:
                self.talk.press()
            return
        if on == self.talking:
            return
        self.talking = on
        (self.talk.press if on else self.talk.release)()


def _numbers(setup: Setup, team: Team | None) -> list[str]:
    teams = (team,) if team else tuple(Team)
    numbers = {player.number for each in teams for player in setup.team(each).players}
    return sorted(numbers, key=lambda number: (int(number), number))
