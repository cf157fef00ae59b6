"""Calls with open places, as keys make them: `{team} two` waits only for the team.

A pattern is written in the words of the language, with the name of a slot for each value that is
not known yet. It is parsed by the same templates as speech, so a key can make no call that cannot
be spoken.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from functools import cached_property
from typing import Literal

from callout.errors import CalloutError
from callout.game.calls import Call
from callout.game.terms import FoulKind
from callout.language.grammar import GameLists, Grammar, Scope
from callout.language.machine import Machine, Tag, slots_of, tagged, values_of
from callout.language.parser import States
from callout.language.scope import Sentences
from callout.language.slots import Slot, Value

Kind = Literal["team", "shirt", "count", "clock", "listed"]


class PatternError(CalloutError):
    """A text that is no call of the language, with or without open places."""


@dataclass(frozen=True, slots=True)
class Place:
    """A slot of a call that is still open."""

    slot: str
    kind: Kind
    list: str = ""
    """The slot's name in slots.yaml, where its values are listed."""
    first: int = 0
    last: int = 0
    """For counts: the range."""
    unit: int = 1
    """For counts: what the number is multiplied by."""


@dataclass(frozen=True)
class Pattern:
    """A call in which values may still be missing."""

    index: int
    """The call's place in `Grammar.calls`."""
    text: str
    slots: Mapping[str, Value]
    places: tuple[Place, ...] = ()
    """The open places that must be filled, in spoken order."""
    options: tuple[Place, ...] = ()
    """The open places that may be left out."""

    def given(self, slot: str, value: Value) -> Pattern:
        """The pattern with a value for one of its places."""
        return replace(
            self,
            slots={**self.slots, slot: value},
            places=tuple(place for place in self.places if place.slot != slot),
            options=tuple(place for place in self.options if place.slot != slot),
        )

    @property
    def filled(self) -> str:
        """The text with the known values in it, to be shown."""
        text = self.text
        for slot, value in self.slots.items():
            text = text.replace(_mark(slot), str(value))
        return text

    def wants(self, kind: Kind) -> Place | None:
        """The first open place of that kind, optional ones included."""
        return next((p for p in (*self.places, *self.options) if p.kind == kind), None)


class Patterns:
    """Parses patterns, and turns complete ones into calls."""

    def __init__(self, grammar: Grammar, scope: Scope | None = None) -> None:
        self.grammar = grammar
        # A key may stand for a foul that this league lacks: the game refuses it when it is pressed.
        whole = replace(scope or Scope(), foul_kinds=frozenset(FoulKind))
        self._states = States(grammar.machine(whole, Sentences.BOTH, _PlaceLists))

    def read(self, text: str) -> Pattern:
        """The pattern that a text stands for.

        Raises:
            PatternError: it stands for none, or for more than one.
        """
        found: list[Pattern] = []
        for index, tags in self._readings(text.lower().split()):
            pattern = self._pattern(index, text, tags)
            if pattern not in found and (pattern.places or self._makes(pattern)):
                found.append(pattern)
        # A call that may be said at any time is preferred to an answer.
        of = [(self.grammar.calls[each.index].sentences, each) for each in found]
        found = [each for which, each in of if which is Sentences.CALLS] or found
        if len(found) == 1:
            return found[0]
        expected = "one reading" if found else "a call"
        raise PatternError(f"expected {expected}, got {text!r}")

    def call(self, pattern: Pattern) -> Call:
        """The call of a complete pattern.

        Raises:
            CalloutError: its values make no valid call: a shirt number of three digits, say.
        """
        call = self.grammar.call(pattern.index, pattern.slots)
        if call is None:
            raise PatternError(f"expected a call, got {pattern.text!r} of a language without any")
        return call

    def _readings(self, words: list[str]) -> Iterator[tuple[int, tuple[Tag, ...]]]:
        """Each path of the words through the templates: the call's index and the values given."""
        paths: list[tuple[int, tuple[Tag, ...]]] = [(0, ())]
        for word in words:
            paths = [
                (to, (*tags, *new))
                for state, tags in paths
                for to, new, _ in self._states.steps(state).get(word, ())
            ]
        machine = self._states.machine
        for state, tags in paths:
            for at, new in tagged(machine, state):
                if at in machine.finals:
                    yield machine.finals[at], (*tags, *new)

    def _makes(self, pattern: Pattern) -> bool:
        try:
            self.call(pattern)
        except CalloutError:
            return False
        return True

    def _pattern(self, index: int, text: str, tags: tuple[Tag, ...]) -> Pattern:
        slots = values_of(tags)
        known = self._places[index]
        opened = [slot for slot, value in slots.items() if value == _mark(slot)]
        return Pattern(
            index,
            text,
            {slot: value for slot, value in slots.items() if slot not in opened},
            tuple(known[slot] for slot in opened),
            tuple(place for slot, place in known.items() if slot not in slots),
        )

    @cached_property
    def _places(self) -> dict[int, dict[str, Place]]:
        """By the call's index: every slot of its templates."""
        places: dict[int, dict[str, Place]] = {}
        for each in self.grammar.templates:
            of_call = places.setdefault(each.call, {})
            for name, slot in slots_of(each.tree):
                of_call[slot] = _place(slot, name, self.grammar.slots.slots[name])
        return places


def _place(slot: str, name: str, of: Slot) -> Place:
    kind: Kind = of.numbers or ("team" if of.scope == "team" else "listed")
    return Place(slot, kind, name, of.first, of.last, of.unit)


def _mark(slot: str) -> str:
    """What a text has in the place of an unknown value."""
    return f"{{{slot}}}"


class _PlaceLists(GameLists):
    """The lists of a game, each with the mark of an open place as one more phrase."""

    def add(self, machine: Machine, start: int, name: str, slot: str) -> int:
        end = super().add(machine, start, name, slot)
        machine.jump(machine.phrase(start, (_mark(slot),)), end, (slot, _mark(slot)))
        return end
