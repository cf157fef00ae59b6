"""Graphs of all that may be said, in answers of the network.

A graph is the composition of a model's pronunciations with a network of words, without its silent
arcs. Each of its nodes stands for one answer, so that the sum over all paths through it is a
product of a sparse matrix and a vector for each frame.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property
from typing import Final, NamedTuple

import numpy as np
from numpy.typing import NDArray

from callout.edges.ear.grammar_fst import UNKNOWN, Costs
from callout.language.network import Network
from tests.training.lexicon import NO_END, Lexicon, Words, likelihood

Pair = tuple[int, int]
"""A state of the pronunciations and one of the words."""

COMMON: Final = 6_000
"""So many words are English."""

EVENER: Final = 0.8
"""A word's cost is multiplied by this, since it stands alone."""

UNKNOWN_ENGLISH: Final = 6.0


class Step(NamedTuple):
    """An arc of a network of words: the word's number, or 0, its cost in nats, and where to."""

    word: int
    cost: float
    to: int


@dataclass(frozen=True)
class Sayings:
    """A network of words by their numbers; state `start` is its start."""

    steps: Mapping[int, Sequence[Step]]
    ends: Mapping[int, float]
    start: int = 0

    @cached_property
    def by_word(self) -> Mapping[int, Mapping[int, Step]]:
        """The steps of each state that have a word."""
        return {at: {step.word: step for step in some if step.word}
                for at, some in self.steps.items()}  # fmt: skip

    def next_words(self, lexicon: Lexicon, state: int) -> int:
        """The words that may be the next one, as the lexicon's bits."""
        found = NO_END if state in self.ends else 0
        for step in self.steps[state]:
            found |= lexicon.bit[step.word] if step.word else self.next_words(lexicon, step.to)
        return found


def calls(network: Network, words: Words, costs: Costs, must_call: bool = False) -> Sayings:
    """The acceptor of calls that the recognizer uses; `must_call`: all but no call at all."""
    number, unknown = words.number, words.number[UNKNOWN]
    steps, ends = dict[int, list[Step]](), {0: 0.0}
    for state, arcs in enumerate(network.arcs):
        steps[state] = [Step(number[arc.word], arc.cost, arc.to) for arc in arcs]
        if state in network.finals:
            ends[state] = network.dear_ends.get(state, 0.0)
            steps[state].append(Step(0, costs.join + ends[state], 0))
    first = len(network.arcs)
    steps[first] = [*steps[0], Step(unknown, costs.unknown, first)]
    steps[0].append(Step(unknown, costs.unknown, 0))
    return Sayings(steps, ends, first if must_call else 0)


def english(words: Words, network: Network) -> Sayings:
    """The most common words and those of calls, in any order."""
    named = {word: name for name, word in words.number.items()}
    usual = sorted(words.cost, key=words.cost.__getitem__)[:COMMON]
    known = {word for word in usual if named[word][0] not in "<[#!"}
    known |= {words.number[word] for word in network.words()}
    steps = [Step(word, EVENER * words.cost[word], 0) for word in sorted(known)]
    unknown = Step(words.number[UNKNOWN], UNKNOWN_ENGLISH, 0)
    return Sayings({0: [*steps, unknown]}, {0: 0.0})


def sentence(text: Sequence[str], words: Words) -> Sayings:
    """These words alone."""
    steps = {at: [Step(words.number[word], 0.0, at + 1)] for at, word in enumerate(text)}
    return Sayings({**steps, len(text): []}, {len(text): 0.0})


@dataclass
class Graph:
    """The answer of each node, the weights of its edges, and those to begin and end at a node."""

    answers: NDArray[np.int64]
    source: NDArray[np.int64]
    to: NDArray[np.int64]
    weights: NDArray[np.float32]
    begin: NDArray[np.float32]
    end: NDArray[np.float32]


@dataclass
class _Leaving:
    """What comes next: nodes (a pair and an answer) and the end, by their probabilities."""

    nodes: dict[tuple[Pair, int], float] = field(default_factory=lambda: defaultdict(float))
    end: float = 0.0

    def add(self, other: _Leaving, by: float) -> None:
        """Another's, so many times as likely."""
        for node, weight in other.nodes.items():
            self.nodes[node] += by * weight
        self.end += by * other.end


class _Compiler:
    def __init__(self, lexicon: Lexicon, sayings: Sayings) -> None:
        self._lexicon, self._sayings = lexicon, sayings
        self._known: dict[Pair, _Leaving] = {}
        self._next = {at: sayings.next_words(lexicon, at) for at in sayings.steps}

    def leaving(self, pair: Pair) -> _Leaving:
        """What comes after a pair, silent arcs followed to their ends."""
        if pair not in self._known:
            self._known[pair] = self._found(pair)
        return self._known[pair]

    def _found(self, pair: Pair) -> _Leaving:
        found, (state, at) = _Leaving(), pair
        lexicon, sayings = self._lexicon, self._sayings
        if state in lexicon.final and at in sayings.ends:
            found.end += likelihood(lexicon.final[state] + sayings.ends[at])
        for step in sayings.steps[at]:
            if not step.word:
                self._go(found, (state, step.to), 0, step.cost)
        for arc in lexicon.arcs[state]:
            if not arc.word:
                self._go(found, (arc.to, at), arc.sound, arc.cost)
            elif arc.word in sayings.by_word[at]:
                step = sayings.by_word[at][arc.word]
                self._go(found, (arc.to, step.to), arc.sound, arc.cost + step.cost)
        return found

    def _go(self, found: _Leaving, to: Pair, sound: int, cost: float) -> None:
        state, at = to
        if not self._lexicon.reach[state] & self._next[at]:
            return
        if self._lexicon.is_sound(sound):
            found.nodes[to, int(self._lexicon.answers[sound])] += likelihood(cost)
        else:
            found.add(self.leaving(to), likelihood(cost))


def compiled(lexicon: Lexicon, sayings: Sayings) -> Graph:
    """The graph of a network of words."""
    compiler = _Compiler(lexicon, sayings)
    first = compiler.leaving((lexicon.start, sayings.start))
    number: dict[tuple[Pair, int], int] = {}
    begin = {number.setdefault(node, len(number)): by for node, by in first.nodes.items()}
    to_do, edges, ends = [*number], list[tuple[int, int, float]](), dict[int, float]()
    while to_do:
        node = to_do.pop()
        after = compiler.leaving(node[0])
        ends[number[node]] = after.end
        for other, weight in after.nodes.items():
            if other not in number:
                number[other] = len(number)
                to_do.append(other)
            edges.append((number[node], number[other], weight))
    source, to, weights = (np.array(each) for each in zip(*edges, strict=True))
    answers = np.array([answer for _, answer in number])
    begins, finals = (
        np.array([some.get(at, 0.0) for at in range(len(number))], np.float32)
        for some in (begin, ends)
    )
    return Graph(answers, source, to, weights.astype(np.float32), begins, finals)
