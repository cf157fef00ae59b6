"""Words into calls, by the very states that the recognizer's network was made of."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from random import Random
from typing import TypeAlias

from callout.errors import CalloutError
from callout.game.calls import Call
from callout.language.grammar import Grammar, Scope
from callout.language.machine import Machine, Tag, tagged
from callout.language.network import Network, compile_network
from callout.language.slots import Value


@dataclass(frozen=True)
class Sentence:
    """One sentence that was said: the name of its call file and its slots."""

    name: str
    slots: Mapping[str, Value]
    call: Call | None
    """The call it makes; None in a domain without calls."""
    end: int
    """Which word it ends before."""


@dataclass(frozen=True)
class Parsed:
    """Words that are one or more whole sentences."""

    sentences: tuple[Sentence, ...]

    @property
    def calls(self) -> tuple[Call, ...]:
        """The calls, in the order in which they were said."""
        return tuple(each.call for each in self.sentences if each.call is not None)


@dataclass(frozen=True)
class Unparsed:
    """Words that are no call."""

    words: tuple[str, ...]


@dataclass(frozen=True)
class Ambiguous:
    """Words with more than one reading; nothing is guessed."""

    readings: tuple[Parsed, ...]


Result: TypeAlias = Parsed | Unparsed | Ambiguous
_Path: TypeAlias = tuple[int, tuple[Tag, ...]]


class Parser:
    """Reads words by one grammar in one game."""

    def __init__(self, grammar: Grammar, scope: Scope, when: str = "always") -> None:
        self.grammar = grammar
        self.network: Network = compile_network(grammar, scope, when)
        self._machine: Machine = grammar.machine(scope, when)
        self._next: dict[int, dict[str, list[_Path]]] = {}
        self._ends: dict[int, list[tuple[int, tuple[Tag, ...]]]] = {}

    def parse(self, words: Sequence[str] | str) -> Result:
        """The calls that the words are; where they may be one call or two, they are one."""
        said = tuple(words.lower().split() if isinstance(words, str) else words)
        ends = self.network.split(said)
        if ends is None:
            return Unparsed(said)
        readings = self._readings(said, len(ends))
        if not readings:
            return Unparsed(said)
        return readings[0] if len(readings) == 1 else Ambiguous(tuple(readings))

    def _readings(self, words: tuple[str, ...], count: int) -> list[Parsed]:
        """All readings as that many sentences, once each."""
        partial: list[list[tuple[Sentence, ...]]] = [[] for _ in range(len(words) + 1)]
        partial[0].append(())
        for start in range(len(words)):
            fitting = [each for each in partial[start] if len(each) < count]
            if fitting:
                for sentence in self._sentences(words, start):
                    partial[sentence.end] += [(*each, sentence) for each in fitting]
        whole = [Parsed(each) for each in partial[-1] if len(each) == count]
        return [each for at, each in enumerate(whole) if each not in whole[:at]]

    def _sentences(self, words: tuple[str, ...], start: int) -> list[Sentence]:
        """Every sentence that begins with the word at `start`."""
        found: list[Sentence] = []
        paths: list[_Path] = [(0, ())]
        for at in range(start, len(words)):
            paths = [
                (to, (*tags, *new))
                for state, tags in paths
                for to, new in self._steps(state).get(words[at], ())
            ]
            if not paths:
                break
            for state, tags in paths:
                for call, new in self._finals(state):
                    sentence = self._sentence(call, (*tags, *new), at + 1)
                    if sentence is not None and sentence not in found:
                        found.append(sentence)
        return found

    def _sentence(self, call: int, tags: tuple[Tag, ...], end: int) -> Sentence | None:
        slots: dict[str, Value] = {}
        for slot, value in tags:
            old = slots.get(slot)
            if isinstance(old, int) and isinstance(value, int):
                value = old + value
            slots[slot] = value
        try:
            made = self.grammar.call(call, slots)
        except CalloutError:
            return None
        return Sentence(self.grammar.calls[call].name, slots, made, end)

    def _steps(self, state: int) -> dict[str, list[_Path]]:
        if state not in self._next:
            steps: dict[str, list[_Path]] = {}
            for at, tags in tagged(self._machine, state):
                for word, to, _ in self._machine.words[at]:
                    steps.setdefault(word, []).append((to, tags))
            self._next[state] = steps
        return self._next[state]

    def _finals(self, state: int) -> list[tuple[int, tuple[Tag, ...]]]:
        if state not in self._ends:
            self._ends[state] = [
                (self._machine.finals[at], tags)
                for at, tags in tagged(self._machine, state)
                if at in self._machine.finals
            ]
        return self._ends[state]

    def sample(self, random: Random) -> tuple[str, ...]:
        """The words of one sentence: a call chosen at random, then one way to say it."""
        while True:
            state, words = 0, list[str]()
            while True:
                row = self.network.arcs[state]
                stop = state in self.network.finals and (not row or random.random() < 0.5)
                if stop:
                    return tuple(words)
                arc = random.choice(row)
                words.append(arc.word)
                state = arc.to
