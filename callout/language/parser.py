"""Words into calls, by the same states from which the recognizer's network is made."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property
from typing import Final, TypeAlias

from callout.errors import CalloutError
from callout.game.calls import Call
from callout.language.compiler import network_of
from callout.language.grammar import Grammar, Scope
from callout.language.machine import Machine, Tag, tagged, values_of
from callout.language.network import Network
from callout.language.scope import Sentences
from callout.language.slots import Value


@dataclass(frozen=True)
class Sentence:
    """One sentence: the name of its call file, its slots and its call."""

    name: str
    slots: Mapping[str, Value]
    call: Call | None
    """None in a grammar without calls."""
    end: int
    """The index of the word after its last one."""
    price: float = field(default=0.0, compare=False)
    """What it costs to say it so, in nats: seldom phrasings and unlisted numbers cost more."""


@dataclass(frozen=True)
class Parsed:
    """Words that are one or more whole sentences."""

    sentences: tuple[Sentence, ...]

    @property
    def calls(self) -> tuple[Call, ...]:
        """The calls in spoken order."""
        return tuple(each.call for each in self.sentences if each.call is not None)


@dataclass(frozen=True)
class Unparsed:
    """Words that are no call."""

    words: tuple[str, ...]


@dataclass(frozen=True)
class Ambiguous:
    """Words with more than one reading, all as likely; nothing is guessed."""

    readings: tuple[Parsed, ...]


Result: TypeAlias = Parsed | Unparsed | Ambiguous
_Reading: TypeAlias = tuple[Sentence, ...]
"""The sentences of a reading."""
_Path: TypeAlias = tuple[int, tuple[Tag, ...], float]
"""A state, the values given on the way to it, and what the words on the way cost."""
_End: TypeAlias = tuple[int, tuple[Tag, ...], float]
"""A call, the values given as it ends, and what its phrasing costs."""

MOST_READINGS: Final = 16
"""The most readings that are kept; two readings already make the words ambiguous."""


class States:
    """The states of a machine as a parser walks them: where each word leads, found once wanted."""

    def __init__(self, machine: Machine) -> None:
        self.machine = machine
        self._next: dict[int, dict[str, list[_Path]]] = {}

    def steps(self, state: int) -> dict[str, list[_Path]]:
        """By word: the states it leads to, each with the values given on the way."""
        if state not in self._next:
            steps: dict[str, list[_Path]] = {}
            for at, tags in tagged(self.machine, state):
                for word, to, cost in self.machine.words[at]:
                    steps.setdefault(word, []).append((to, tags, cost))
            self._next[state] = steps
        return self._next[state]


class Parser:
    """Parses words by the grammar of one game."""

    def __init__(
        self,
        grammar: Grammar,
        scope: Scope,
        which: Sentences = Sentences.CALLS,
        typed: bool = True,
        states: States | None = None,
    ) -> None:
        """`typed`: what is never heard is parsed, too. `states`: those of a typed parser of the
        same game that parses all this one does, where there is one: they take 0.25 s and 23 MB.
        """
        self.grammar = grammar
        self._scope, self._which, self._typed = scope, which, typed
        self.wake = scope.wake
        self._answers = {call.name for call in grammar.calls if call.sentences is Sentences.ANSWERS}
        self.states = states or States(grammar.machine(scope, which, with_decoys=True, typed=typed))
        self._ends: dict[int, list[_End]] = {}

    @cached_property
    def network(self) -> Network:
        """The minimal acceptor of the decoys and of all sentences but those that are only typed.

        It is compiled once the ear wants it.
        """
        return network_of(self.heard.states.machine)

    @cached_property
    def heard(self) -> Parser:
        """The parser of what may be heard: a decoy may be a call where it is typed."""
        return Parser(self.grammar, self._scope, self._which, typed=False) if self._typed else self

    def parse(self, words: Sequence[str] | str) -> Result:
        """The calls that the words make, as few as possible, said in the likeliest way.

        "Shooting foul guest eight two" is a foul on eight and two shots, unless eighty two is on
        the list.
        """
        said = tuple(words.lower().split() if isinstance(words, str) else words)
        readings = self._readings(said) if said else ()
        if not readings:
            return Unparsed(said)
        return readings[0] if len(readings) == 1 else Ambiguous(readings)

    def is_decoy(self, words: Sequence[str]) -> bool:
        """Whether the words are a decoy: in the network, but no call by voice."""
        return self.network.accepts(words) and isinstance(self.heard.parse(words), Unparsed)

    def without_wake(self, words: Sequence[str]) -> tuple[str, ...]:
        """The words of a sentence without the wake words."""
        woken = self.wake and tuple(words[: len(self.wake)]) == self.wake
        return tuple(words[len(self.wake) :] if woken else words)

    def by_digits(self, words: Sequence[str]) -> tuple[str, ...]:
        """The words of a sentence, with each number that sounds like another said by its digits.

        Only if the meaning stays the same: a score of fifty is never called five zero.
        """
        digits_of = self.grammar.words.digits_of
        for at, word in enumerate(words):
            if word in digits_of:
                other = (*words[:at], *digits_of[word], *words[at + 1 :])
                if (meant := self._means(words)) and self._means(other) == meant:
                    return self.by_digits(other)
        return tuple(words)

    def _means(self, words: Sequence[str]) -> list[tuple[str, Mapping[str, Value]]]:
        result = self.parse((*self.wake, *words))
        return [(x.name, x.slots) for x in result.sentences] if isinstance(result, Parsed) else []

    def _readings(self, words: tuple[str, ...]) -> tuple[Parsed, ...]:
        """The best readings: all that are equally good.

        Dynamic programming: the best reading of all words has the best reading of each beginning.
        """
        best: list[list[_Reading]] = [[()], *([] for _ in words)]
        for start in range(len(words)):
            if best[start]:
                for sentence in self._sentences(words, start):
                    new = [(*each, sentence) for each in best[start]]
                    best[sentence.end] = self._better(best[sentence.end], new)
        return tuple(map(Parsed, best[-1]))

    def _better(self, known: list[_Reading], new: list[_Reading]) -> list[_Reading]:
        """The better of two lists of readings; both joined, if they rank the same."""
        if not known or self._rank(new[0]) < self._rank(known[0]):
            return new
        if self._rank(new[0]) > self._rank(known[0]):
            return known
        return (known + new)[:MOST_READINGS]

    def _rank(self, sentences: _Reading) -> tuple[float, ...]:
        """What is less ranks before: few sentences, answers, a likely way to say it, and then a
        long first sentence.

        "Number five" is both a call and an answer: while a question is open, an answer. "Guest foul
        number five home two" is a foul on five and a basket without a number.
        """
        answers = sum(each.name in self._answers for each in sentences)
        price = round(sum(each.price for each in sentences), 6)
        return (len(sentences), -answers, price, *(-each.end for each in sentences))

    def _sentences(self, words: tuple[str, ...], start: int) -> list[Sentence]:
        """Every sentence that begins with the word at `start`."""
        found: list[Sentence] = []
        paths: list[_Path] = [(0, (), 0.0)]
        for at in range(start, len(words)):
            paths = [
                (to, (*tags, *new), price + cost)
                for state, tags, price in paths
                for to, new, cost in self.states.steps(state).get(words[at], ())
            ]
            if not paths:
                break
            for state, tags, price in paths:
                for call, new, cost in self._finals(state):
                    every, whole = (*tags, *new), price + cost
                    sentence = make_sentence(self.grammar, call, every, at + 1, whole)
                    if sentence is not None:
                        _add(found, sentence)
        return found

    def _finals(self, state: int) -> list[_End]:
        """Each call that may end at a state."""
        if state not in self._ends:
            machine = self.states.machine
            ends = [
                (machine.finals.get(at, -1), tags, machine.prices[at])
                for at, tags in tagged(machine, state)
            ]
            self._ends[state] = [end for end in ends if self._parses(end[0])]
        return self._ends[state]

    def _parses(self, call: int) -> bool:
        """Whether a state's number is that of a call; below 0 it is none, or that of a decoy."""
        return call >= 0 and self._which in (Sentences.BOTH, self.grammar.calls[call].sentences)


def make_sentence(
    grammar: Grammar, call: int, tags: tuple[Tag, ...], end: int, price: float = 0.0
) -> Sentence | None:
    """The sentence with those values of the call at that index; None if they make no valid call."""
    slots = values_of(tags)
    try:
        made = grammar.call(call, slots)
    except CalloutError:
        return None
    return Sentence(grammar.calls[call].name, slots, made, end, price)


def _add(found: list[Sentence], sentence: Sentence) -> None:
    """Add a sentence; of the same one that is said in two ways, the cheaper."""
    if sentence not in found:
        found.append(sentence)
    elif sentence.price < found[at := found.index(sentence)].price:
        found[at] = sentence
