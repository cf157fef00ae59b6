"""Two ways to keep a game in a test: by calls alone, and in words through a whole session."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from typing import Self

from callout.game.calls import Call, StartClock
from callout.game.decide import Decisions, Refusal, decide
from callout.game.fold import Entry, advance, new_game
from callout.game.profile.file import load_profile
from callout.game.state import Game, Owner, Side
from callout.language.parser import Parser
from callout.language.replies import Replies
from callout.table.book.journal import Journal
from callout.table.clock import SimulatedTime, Time, at
from callout.table.language import Parsers, replies_of, scope_of
from callout.table.session import Session
from callout.table.setup.roster import parse_roster
from callout.table.setup.setup import Listed, Setup
from callout.table.speech.reply import Reply
from callout.table.talk.dialogue import Dialogue, Step, booked, hear, open_question
from callout.table.talk.questions import Doubt, Heard
from tests.english import english_grammar

HOME = ("4", "5", "10", "11", "15", "50")
GUEST = ("3", "5", "13", "14", "30", "33")
KITES = Listed("Harbour Kites", parse_roster(" ".join(HOME)))
FOXES = Listed("Quarry Foxes", parse_roster(" ".join(GUEST)))
SETUP = Setup("nfhs-2026", KITES, FOXES)


class Book:
    """A game and the talk about it, without words, journal or voice; time goes on by `wait`."""

    def __init__(self, owner: Owner = Owner.OURS, profile: str = "nfhs-2026") -> None:
        rules = load_profile(profile)
        self.start = new_game(rules, Side("Kites", HOME), Side("Foxes", GUEST), owner)
        self.game: Game = self.start
        self.entries: list[Entry] = []
        self.dialogue = Dialogue()
        self.now_ms = 1_000_000

    def wait(self, seconds: float) -> None:
        """Let time pass."""
        self.now_ms += round(1000 * seconds)

    def begun(self) -> Self:
        """The same, ten seconds after the clock was started."""
        self.hear(StartClock())
        self.wait(10)
        return self

    def heard(self, call: Call, source: str = "voice") -> Heard:
        """A call as it comes to the table now."""
        return Heard(call, source, at(self.game, self.now_ms))

    def in_doubt(self, *readings: Call) -> Heard:
        """One sound that may have been several calls."""
        words = tuple(str(at) for at in range(len(readings)))
        return replace(self.heard(readings[0]), doubt=Doubt(readings, words))

    def take(self, call: Call, source: str = "voice") -> Entry:
        """Book a call, which must be possible."""
        return self.book(self.heard(call, source))

    def book(self, heard: Heard) -> Entry:
        """Book what was heard, which must be possible."""
        events = decide(self.game, heard.call, heard.at)
        assert not isinstance(events, Refusal), events
        entry = Entry(self.game.entry + 1, heard.call, heard.source, heard.at, events)
        self.game = advance(self.start, self.entries, self.game, entry)
        self.entries.append(entry)
        self.dialogue = booked(self.dialogue, entry)
        return entry

    def hear(self, call: Call, source: str = "voice") -> Step:
        """Put a call to the dialogue, and book what it lets through."""
        return self.follow(hear(self.dialogue, self.heard(call, source), Decisions(self.game)))

    def hear_only(self, call: Call, source: str = "voice") -> Step:
        """Put a call to the dialogue, and book nothing."""
        step = hear(self.dialogue, self.heard(call, source), Decisions(self.game))
        self.dialogue = step.dialogue
        return step

    def try_to_book(self, heard: Heard) -> None:
        """Book what was heard if it is possible."""
        if not isinstance(decide(self.game, heard.call, heard.at), Refusal):
            self.book(heard)

    def follow(self, step: Step) -> Step:
        """Do what a step says."""
        self.dialogue = step.dialogue
        for heard in step.calls:
            self.book(heard)
        if step.then:
            self.dialogue, _ = open_question(self.dialogue, step.then)
        return step


@cache
def language() -> tuple[Replies, Parsers]:
    """English, made once: what is read is the same in every league, only the ear's costs differ,
    and every number may be said, so all setups can share it.
    """
    grammar = english_grammar()
    return replies_of(grammar), Parsers(grammar, scope_of(SETUP))


class Table:
    """A whole session on simulated time, spoken to in words."""

    def __init__(
        self, setup: Setup = SETUP, journal: Journal | None = None, time: Time | None = None
    ) -> None:
        self.time = SimulatedTime(1_000_000)
        self.journal = journal or Journal.in_memory(setup)
        replies, self._parsers = language()
        self.session = Session(self.journal, replies, time or self.time)

    def say(self, *lines: str, source: str = "voice") -> Reply:
        """Say each line; the reply to the last."""
        reply = Reply()
        for line in lines:
            reply = self.session.hear(self.parser(), line, source)
        return reply

    def parser(self) -> Parser:
        """What understands words now: answers, too, while a question is open."""
        return self._parsers.now(self.session.dialogue.question is not None)

    def begun(self) -> Self:
        """The same, ten seconds after the clock was started."""
        self.say("start clock")
        self.wait(10)
        return self

    def wait(self, seconds: float) -> Reply:
        """Let time pass tenth by tenth, as the loop of the table would look at it."""
        reply = Reply()
        for _ in range(round(10 * seconds)):
            self.time.set(self.time.wall_ms() + 100)
            reply += self.session.tick()
        return reply

    @property
    def game(self) -> Game:
        """The game as it stands."""
        return self.session.game
