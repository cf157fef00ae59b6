"""Calls with places left open, as keys make them: `{team} two` wants only to know whose.

A pattern is written in the words of the language, with the name of a slot in the place of each
value that is not known yet. It is read by the same templates as what is spoken, so a key can say
nothing that a voice cannot.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from typing import Literal

from callout.errors import CalloutError
from callout.game.calls import Call
from callout.game.terms import FoulKind
from callout.language.grammar import GameLists, Grammar, Scope
from callout.language.machine import Machine, Tag, slots_of, tagged
from callout.language.scope import Sentences
from callout.language.slots import Slot, Value

Kind = Literal["team", "shirt", "count", "clock", "listed"]


class PatternError(CalloutError):
    """A text that is no call of the language, nor one with places left open."""


@dataclass(frozen=True, slots=True)
class Place:
    """A value of a call that is given apart from it."""

    slot: str
    kind: Kind
    list: str = ""
    """The language's name for what may stand there."""
    first: int = 0
    last: int = 0
    """Of counts: from where to where they go."""
    unit: int = 1
    """Of counts: what each one counts."""


@dataclass(frozen=True)
class Pattern:
    """A call, or one that waits for some of its values."""

    index: int
    """The call's place in `Grammar.calls`."""
    text: str
    slots: Mapping[str, Value]
    places: tuple[Place, ...] = ()
    """What must still be given, in the order in which it would be said."""
    options: tuple[Place, ...] = ()
    """What may be given beforehand, and may be left out."""

    def given(self, slot: str, value: Value) -> Pattern:
        """The pattern with the value in one of its places."""
        return replace(
            self,
            slots={**self.slots, slot: value},
            places=tuple(place for place in self.places if place.slot != slot),
            options=tuple(place for place in self.options if place.slot != slot),
        )

    @property
    def filled(self) -> str:
        """The text with all values that were given, as one would see what was called."""
        text = self.text
        for slot, value in self.slots.items():
            text = text.replace(_mark(slot), str(value))
        return text

    def wants(self, kind: Kind) -> Place | None:
        """The first place of that kind, among those that may be left out too."""
        return next((p for p in (*self.places, *self.options) if p.kind == kind), None)


class Patterns:
    """Reads patterns, and makes calls of those that are complete."""

    def __init__(self, grammar: Grammar, scope: Scope | None = None) -> None:
        self.grammar = grammar
        # A key may name a foul that this league does not have: the game refuses it, when pressed.
        whole = replace(scope or Scope(), foul_kinds=frozenset(FoulKind))
        self._machine = grammar.machine(whole, Sentences.BOTH, _PlaceLists)

    def read(self, text: str) -> Pattern:
        """The pattern that the text is.

        Raises:
            PatternError: it is none, or more than one.
        """
        found: list[Pattern] = []
        for index, tags in self._readings(text.lower().split()):
            pattern = self._pattern(index, text, tags)
            if pattern not in found and (pattern.places or self._makes(pattern)):
                found.append(pattern)
        # What may be said at any time goes before what only answers a question.
        of = [(self.grammar.calls[each.index].sentences, each) for each in found]
        found = [each for which, each in of if which is Sentences.CALLS] or found
        if len(found) == 1:
            return found[0]
        expected = "one reading" if found else "a call"
        raise PatternError(f"expected {expected}, got {text!r}")

    def call(self, pattern: Pattern) -> Call:
        """The call of a pattern in which no place is open.

        Raises:
            CalloutError: its values make no call, such as a shirt number of three digits.
        """
        call = self.grammar.call(pattern.index, pattern.slots)
        if call is None:
            raise PatternError(f"expected a call, got {pattern.text!r} of a language without any")
        return call

    def _readings(self, words: list[str]) -> Iterator[tuple[int, tuple[Tag, ...]]]:
        """Each way through the templates, as the call's index and the values on the way."""
        paths: list[tuple[int, tuple[Tag, ...]]] = [(0, ())]
        for word in words:
            paths = [
                (to, (*tags, *new))
                for state, tags in paths
                for at, new in tagged(self._machine, state)
                for said, to, _ in self._machine.words[at]
                if said == word
            ]
        for state, tags in paths:
            for at, new in tagged(self._machine, state):
                if at in self._machine.finals:
                    yield self._machine.finals[at], (*tags, *new)

    def _makes(self, pattern: Pattern) -> bool:
        try:
            self.call(pattern)
        except CalloutError:
            return False
        return True

    def _pattern(self, index: int, text: str, tags: tuple[Tag, ...]) -> Pattern:
        slots: dict[str, Value] = {}
        for slot, value in tags:
            old = slots.get(slot)
            # The parts of a time add up.
            whole = isinstance(old, int) and isinstance(value, int)
            slots[slot] = old + value if whole else value  # type: ignore[operator]
        known = self._places(index)
        opened = [slot for slot, value in slots.items() if value == _mark(slot)]
        return Pattern(
            index,
            text,
            {slot: value for slot, value in slots.items() if slot not in opened},
            tuple(known[slot] for slot in opened),
            tuple(place for slot, place in known.items() if slot not in slots),
        )

    def _places(self, index: int) -> dict[str, Place]:
        """Every slot that some template of the call gives."""
        trees = [each.tree for each in self.grammar.templates if each.call == index]
        pairs = [pair for tree in trees for pair in slots_of(tree)]
        return {slot: _place(slot, name, self.grammar.slots.slots[name]) for name, slot in pairs}


def _place(slot: str, name: str, of: Slot) -> Place:
    kind: Kind = of.numbers or ("team" if of.scope == "team" else "listed")
    return Place(slot, kind, name, of.first, of.last, of.unit)


def _mark(slot: str) -> str:
    """What stands in a text for a value that is not known."""
    return f"{{{slot}}}"


class _PlaceLists(GameLists):
    """The lists of a game, in each of which the place itself may stand, too."""

    def add(self, machine: Machine, start: int, name: str, slot: str) -> int:
        end = super().add(machine, start, name, slot)
        machine.jump(machine.phrase(start, (_mark(slot),)), end, (slot, _mark(slot)))
        return end
