"""The exact word network: the minimal acceptor of all that may be said, as plain data.

The recognizer is given this network, so it can hear nothing else. Nothing is imported here, since
the ear's process needs no more of the language than this and must be ready soon.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Any


@dataclass(frozen=True, slots=True)
class Arc:
    """One word of a sentence."""

    word: str
    to: int
    """The state after it."""
    cost: float
    """What it costs to say, in natural logarithms; 0 for a plain word."""


@dataclass(frozen=True)
class Network:
    """A deterministic acceptor; state 0 is the start."""

    arcs: tuple[tuple[Arc, ...], ...]
    """The arcs of each state, sorted by word."""
    finals: frozenset[int]
    """States in which one whole call has been said."""

    def words(self) -> frozenset[str]:
        """Every word that may be said."""
        return frozenset(arc.word for arcs in self.arcs for arc in arcs)

    def step(self, state: int, word: str) -> int | None:
        """The state after a word; None where it may not be said."""
        return self._steps[state].get(word)

    def accepts(self, words: Sequence[str]) -> bool:
        """Whether the words are exactly one call."""
        state: int | None = 0
        for word in words:
            state = self.step(state, word) if state is not None else None
        return state in self.finals

    def split(self, words: Sequence[str]) -> tuple[int, ...] | None:
        """Where each of the fewest calls that make up the words ends; None if none do.

        Of as few, the first is the longest: a number belongs to what was called before it, and to
        what follows only where it stands first.
        """
        best: list[tuple[int, ...] | None] = [*([None] * len(words)), ()]
        for start in reversed(range(len(words))):
            for end in self.ends(words, start):
                after, known = best[end], best[start]
                # Ends come in rising order, so that the longer one takes the place of its equal.
                if after is not None and (known is None or len(after) + 1 <= len(known)):
                    best[start] = (end, *after)
        return best[0] or None

    def ends(self, words: Sequence[str], start: int) -> list[int]:
        """Every place where a call that begins at `start` may end."""
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
        """Whether a longer call begins with the words."""
        state: int | None = 0
        for word in words:
            state = self.step(state, word) if state is not None else None
        return state is not None and bool(self.arcs[state])

    def surprise(self, words: Sequence[str]) -> float:
        """How improbable one whole call is, if at each place all that may follow is as likely.

        What costs more is less likely by as much; the costs of the words themselves are left out.
        Units: natural logarithms, negated. Infinite where the words are no call.
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
        """Of one place: each word that may follow, and the end where it may end."""
        weight = sum(math.exp(-arc.cost) for arc in self.arcs[state]) + (state in self.finals)
        return math.log(weight) if weight > 0 else 0.0

    def to_dict(self) -> dict[str, Any]:
        """The network as plain data, for another process."""
        arcs = [[[arc.word, arc.to, arc.cost] for arc in row] for row in self.arcs]
        return {"arcs": arcs, "finals": sorted(self.finals)}

    @classmethod
    def from_dict(cls, data: dict[str, Any]) -> Network:
        """The network that `to_dict` wrote."""
        arcs = tuple(tuple(Arc(word, to, cost) for word, to, cost in row) for row in data["arcs"])
        return cls(arcs, frozenset(data["finals"]))

    @cached_property
    def _steps(self) -> tuple[dict[str, int], ...]:
        return tuple({arc.word: arc.to for arc in row} for row in self.arcs)
