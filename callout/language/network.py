"""The exact word network: the minimal acceptor of everything that may be said, as plain data.

It constrains the recognizer, which can hear nothing else. This module imports nothing of ours: the
ear's process needs no other part of the language, and must start fast.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property
from typing import Any


@dataclass(frozen=True, slots=True)
class Arc:
    """One word of a sentence."""

    word: str
    to: int
    """The state that it leads to."""
    cost: float
    """Its cost in nats; 0 for a usual word."""


@dataclass(frozen=True)
class Network:
    """A deterministic acceptor; state 0 is the start."""

    arcs: tuple[tuple[Arc, ...], ...]
    """The arcs of each state, sorted by word."""
    finals: frozenset[int]
    """The states after a whole call."""
    dear_ends: Mapping[int, float] = field(default_factory=dict)
    """What it costs to end there, in nats, where a cheaper call goes on with the same words."""

    def words(self) -> frozenset[str]:
        """Every word that may be said."""
        return frozenset(arc.word for arcs in self.arcs for arc in arcs)

    def step(self, state: int, word: str) -> int | None:
        """The state after a word; None if the word may not follow."""
        return self._steps[state].get(word)

    def accepts(self, words: Sequence[str]) -> bool:
        """Whether the words are exactly one call, or one decoy."""
        state: int | None = 0
        for word in words:
            state = self.step(state, word) if state is not None else None
        return state in self.finals

    def split(self, words: Sequence[str]) -> tuple[int, ...] | None:
        """The words split into the fewest calls: where each call ends. None if that cannot be done.

        Between splits of equal length, earlier calls are made as long as possible: a number belongs
        to the call before it, and to the call after it only if it comes first.
        """
        best: list[tuple[int, ...] | None] = [*([None] * len(words)), ()]
        for start in reversed(range(len(words))):
            for end in self.ends(words, start):
                after, known = best[end], best[start]
                # Ends rise, so of two equally short splits the longer first call is kept.
                if after is not None and (known is None or len(after) + 1 <= len(known)):
                    best[start] = (end, *after)
        return best[0] or None

    def ends(self, words: Sequence[str], start: int) -> list[int]:
        """Every place where a call that begins at `start` may end, in rising order."""
        found, state = [], 0
        for at in range(start, len(words)):
            after = self.step(state, words[at])
            if after is None:
                break
            state = after
            if state in self.finals:
                found.append(at + 1)
        return found

    def can_go_on(self, words: Sequence[str]) -> bool:
        """Whether the words are the beginning of a longer call."""
        state: int | None = 0
        for word in words:
            state = self.step(state, word) if state is not None else None
        return state is not None and bool(self.arcs[state])

    def surprise(self, words: Sequence[str]) -> float:
        """The surprise of a whole call under a language model that is uniform at each state.

        Words with a cost weigh less in it; the costs on the path itself are not added.

        Units: nats; infinite if the words are no call.
        """
        state, total = 0, 0.0
        for word in words:
            total += self._choice(state)
            after = self.step(state, word)
            if after is None:
                return math.inf
            state = after
        return total + self._choice(state) if state in self.finals else math.inf

    def _choice(self, state: int) -> float:
        """The logarithm of the total weight of all words that may follow, and of the end."""
        weight = sum(math.exp(-arc.cost) for arc in self.arcs[state])
        if state in self.finals:
            weight += math.exp(-self.dear_ends.get(state, 0.0))
        return math.log(weight) if weight > 0 else 0.0

    def to_dict(self) -> dict[str, Any]:
        """The network as plain data, for another process."""
        arcs = [[[arc.word, arc.to, arc.cost] for arc in row] for row in self.arcs]
        ends = [[state, self.dear_ends.get(state, 0.0)] for state in sorted(self.finals)]
        return {"arcs": arcs, "ends": ends}

    @classmethod
    def from_dict(cls, data: dict[str, Any]) -> Network:
        """The network that `to_dict` wrote."""
        arcs = tuple(tuple(Arc(word, to, cost) for word, to, cost in row) for row in data["arcs"])
        ends = dict(data["ends"])
        return cls(arcs, frozenset(ends), {state: cost for state, cost in ends.items() if cost})

    @cached_property
    def _steps(self) -> tuple[dict[str, int], ...]:
        return tuple({arc.word: arc.to for arc in row} for row in self.arcs)
