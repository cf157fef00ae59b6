"""A language: what may be said in a game, and the call that a sentence makes."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from functools import cache, cached_property, partial
from pathlib import Path
from typing import Final

from hassil.expression import Expression

from callout.errors import InputError
from callout.game.calls import CALLS, Call
from callout.game.terms import FoulKind, Team
from callout.language.call_file import CallFile, slot_named
from callout.language.choices import Choice, Choices, choices_of
from callout.language.machine import Builder, Lists, Machine, slots_of
from callout.language.scope import Scope as Scope
from callout.language.scope import Sentences
from callout.language.shipped import language_folder as language_folder
from callout.language.slots import Phrase, Slot, SlotsFile, Value, Words, counts_between, listed

MOST_STATES: Final = 100_000
"""States of a language's machine; English has 37,000 with every shirt number."""


CALLS_PART: Final = "calls"
"""The calls of a game: `calls/*.yaml`."""
BEFORE_PART: Final = "before"
"""The calls before a game: `before/*.yaml`, and those of `calls` that say `before: true`."""


@dataclass(frozen=True)
class Template:
    """One template of a call."""

    call: int
    """The call's index in `Grammar.calls`."""
    text: str
    tree: Expression
    path: Path
    line: int
    price: float = 0.0
    """Its cost in nats: 0 for a usual phrasing."""
    typed: bool = False
    """Whether it is read only where it is typed, and never heard."""


@dataclass(frozen=True)
class Grammar:
    """A language: what may be said, and the words for values.

    Two of the same folder and part are equal: its files stay as they are while the program runs, so
    what is made from one may be cached for the other.
    """

    folder: Path
    calls: tuple[CallFile, ...] = field(compare=False)
    templates: tuple[Template, ...] = field(compare=False)
    slots: SlotsFile = field(compare=False)
    decoys: tuple[Template, ...] = field(default=(), compare=False)
    """Phrases that sound like a call and are none."""
    part: str = CALLS_PART
    """Which calls of the folder it has: those of a game, or those before it."""

    @cached_property
    def words(self) -> Words:
        """The words for numbers."""
        return Words(self.slots)

    @cached_property
    def clock(self) -> tuple[Choices, Choices, Choices]:
        """Of a clock time: the minutes, the seconds after them, and times under a minute."""
        words = self.words
        parts = (words.clock_minutes(), words.clock_seconds(), words.clock_short())
        minutes, seconds, short = (choices_of((p, v, 0.0) for p, v in part) for part in parts)
        return minutes, seconds, short

    def machine(
        self,
        scope: Scope,
        which: Sentences = Sentences.CALLS,
        lists: type[GameLists] | None = None,
        with_decoys: bool = False,
        typed: bool = False,
    ) -> Machine:
        """The machine of the sentences that may be said in a game.

        `which` chooses calls, answers to a question, or both. `lists` gives the phrases of each
        slot. What is never heard is in it if it is for `typed` words.

        Raises:
            InputError: it has more than `MOST_STATES` states.
        """
        machine = Machine()
        builder = Builder(machine)
        woken = machine.phrase(0, scope.wake)
        calls = [(each, each.call) for each in self.templates if typed or not each.typed]
        decoys = [(template, ~template.call) for template in self.decoys if with_decoys]
        # What may stand for a slot is the same in every template.
        lists_of = cache(partial(lists or GameLists, self, scope))
        for template, call in calls + decoys:
            of = self.calls[template.call].sentences
            if which not in (Sentences.BOTH, of):
                continue
            machine.price = template.price + self._lacking(template, scope)
            for team in self._teams(template):
                start = machine.state()
                machine.jump(woken if of is Sentences.CALLS else 0, start)
                machine.finals[builder.add(start, template.tree, lists_of(team))] = call
            if len(machine.words) > MOST_STATES:
                what = f"expected fewer ways to say all, got more than {MOST_STATES:,} states"
                raise InputError(template.path, what, template.line)
        return machine

    def _lacking(self, template: Template, scope: Scope) -> float:
        """What a call of a kind of foul that the league lacks costs more; its name has no slot."""
        fields = next(iter((self.calls[template.call].does or {}).values()), {})
        foul = fields.get("foul")
        named = foul is not None and not slot_named(foul)
        return scope.cost(FoulKind(foul)) if named else 0.0

    def _teams(self, template: Template) -> tuple[Team | None, ...]:
        """The teams to build a template for: each by itself if it names a team and a number."""
        kinds = [self.slots.slots[name] for name, _ in slots_of(template.tree)]
        named = sum(kind.scope == "team" and not kind.other for kind in kinds) == 1
        numbered = any(kind.numbers == "shirt" and kind.of is None for kind in kinds)
        return tuple(Team) if named and numbered else (None,)

    def call(self, index: int, slots: Mapping[str, Value]) -> Call | None:
        """The call that a sentence makes; None in a grammar without calls.

        Raises:
            CalloutError: the values make no valid call.
        """
        does = self.calls[index].does
        if does is None:
            return None
        ((name, fields),) = does.items()
        values = {
            key: slots.get(slot) if (slot := slot_named(value)) else value
            for key, value in fields.items()
        }
        return CALLS.load(name, {key: v for key, v in values.items() if v is not None})

    def keys(self) -> dict[str, str]:
        """The default keys, each with its words; places may be open."""
        return {key: text for file in self.calls for key, text in file.keys.items()}


class GameLists(Lists):
    """The lists of a grammar as they are in one game, for the `Builder` of a machine."""

    def __init__(self, grammar: Grammar, scope: Scope, team: Team | None) -> None:
        self.grammar = grammar
        self.scope = scope
        self.team = team
        """The team that the sentence names; None if it may be either."""
        self._known: dict[str, Choices] = {}

    def add(self, machine: Machine, start: int, name: str, slot: str) -> int:
        """The state after anything that may stand for the list."""
        kind = self.grammar.slots.slots[name]
        if kind.numbers == "clock":
            return self._clock(machine, start, slot)
        if name not in self._known:
            self._known[name] = choices_of(self._choices(kind))
        return machine.choices(start, slot, self._known[name])

    def _clock(self, machine: Machine, start: int, slot: str) -> int:
        minutes, seconds, short = self.grammar.clock
        end = machine.choices(machine.choices(start, slot, minutes), slot, seconds)
        machine.jump(machine.choices(start, slot, short), end)
        return end

    def _choices(self, kind: Slot) -> Iterator[Choice]:
        if kind.numbers == "shirt":
            yield from self._shirts(kind)
        elif kind.numbers == "count":
            yield from ((p, v, 0.0) for p, v in counts_between(self.grammar.words, kind))
        else:
            for value, phrases in self._values(kind):
                cost = self.scope.cost(FoulKind(value)) if kind.scope == "foul" else 0.0
                yield from ((tuple(phrase.split()), value, cost) for phrase in phrases)

    def _values(self, kind: Slot) -> Iterator[tuple[Value, tuple[str, ...]]]:
        for value, phrases in listed(kind).items():
            if kind.scope == "team":
                team = Team(value)
                if self.team in (None, team.other if kind.other else team):
                    added = (word.lower() for word in self.scope.team_words.get(team, ()))
                    yield value, tuple(dict.fromkeys((*phrases, *added)))
            elif kind.scope == "unworn":
                if str(value) not in self.scope.players(*(self.team,) if self.team else Team):
                    yield value, phrases
            else:
                yield value, phrases

    def _shirts(self, kind: Slot) -> Iterator[Choice]:
        whose = Team(kind.of) if kind.of else self.team
        teams = (whose,) if whose else tuple(Team)
        after = self._first_words(kind.before)
        apart = self._phrases(kind.apart_from)
        for number, cost in self.scope.shirts(*teams).items():
            for phrase in self.grammar.words.shirt_phrases(number):
                if not self._runs_on(phrase, after, teams) and phrase not in apart:
                    yield phrase, number, cost + self.grammar.words.cost(phrase)

    def _first_words(self, name: str | None) -> tuple[str, ...]:
        return tuple(dict.fromkeys(phrase[0] for phrase in self._phrases(name)))

    def _phrases(self, name: str | None) -> tuple[Phrase, ...]:
        """Every phrase of a listed slot in this game."""
        kind = self.grammar.slots.slots[name] if name else Slot()
        return tuple(tuple(each.split()) for _, phrases in self._values(kind) for each in phrases)

    def _runs_on(self, phrase: Phrase, after: Iterable[str], teams: Iterable[Team]) -> bool:
        """Whether the phrase and one of these words make another number, which is a player's or is
        usually said that way."""
        words = self.grammar.words
        longer = [(*phrase, word) for word in after]
        numbers = [(each, number) for each in longer if (number := words.shirt_of(each))]
        return any(
            words.shirt_phrases(number)[0] == each or number in self.scope.players(*teams)
            for each, number in numbers
        )
