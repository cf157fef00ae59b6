"""The exact word network: the minimal acceptor of all that may be said, as plain data.

Subset construction makes the templates' machine deterministic, merging the states that nothing
tells apart makes it minimal. The recognizer is given this network, so it can hear nothing else.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Any, TypeAlias

from callout.language.grammar import Grammar, Scope
from callout.language.machine import Machine, follow


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
        """Where each of the fewest calls that make up the words ends; None if none do."""
        best: list[tuple[int, ...] | None] = [()] + [None] * len(words)
        for start in range(len(words)):
            before = best[start]
            if before is None:
                continue
            for end in self.ends(words, start):
                known = best[end]
                if known is None or len(before) + 1 < len(known):
                    best[end] = (*before, end)
        return best[-1] or None

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


Row: TypeAlias = dict[str, tuple[int, float]]
"""Of one state: each word, where it leads, and its cost."""


def compile_network(grammar: Grammar, scope: Scope, when: str = "always") -> Network:
    """The network of all that may be said in a game."""
    rows, finals = _determine(grammar.machine(scope, when))
    return _minimal(rows, finals)


def _determine(machine: Machine) -> tuple[list[Row], set[int]]:
    """One state for each set of the machine's states that the same words lead to."""
    start = follow(machine, (0,))
    numbers = {start: 0}
    todo = [start]
    rows: list[Row] = []
    ends = frozenset(machine.finals)
    finals = {0} if start & ends else set()
    closures = _Closures(machine)
    for group in todo:
        targets: dict[str, set[int]] = {}
        costs: dict[str, float] = {}
        for state in group:
            for word, to, cost in machine.words[state]:
                targets.setdefault(word, set()).add(to)
                costs[word] = min(cost, costs.get(word, cost))
        row: Row = {}
        for word, states in targets.items():
            after = closures.of(states)
            if after not in numbers:
                numbers[after] = len(numbers)
                todo.append(after)
                if after & ends:
                    finals.add(numbers[after])
            row[word] = (numbers[after], costs[word])
        rows.append(row)
    return rows, finals


class _Closures:
    """The closure of each single state, found once."""

    def __init__(self, machine: Machine) -> None:
        self._machine = machine
        self._known: dict[int, frozenset[int]] = {}

    def of(self, states: set[int]) -> frozenset[int]:
        for state in states:
            if state not in self._known:
                self._known[state] = follow(self._machine, (state,))
        return frozenset().union(*(self._known[state] for state in states))


def _minimal(rows: list[Row], finals: set[int]) -> Network:
    """The states that can be told apart by nothing that follows become one.

    Templates have no loops, so one pass from the ends back finds what follows each state; that
    is the partition which refinement would end at. Arcs that lead to no whole call are left out.
    """
    kinds: dict[object, int] = {}
    classes: list[int | None] = [None] * len(rows)
    for state in _ends_first(rows):
        row = {w: arc for w, arc in rows[state].items() if classes[arc[0]] is not None}
        rows[state] = row
        if row or state in finals:
            leads = frozenset((word, classes[to], cost) for word, (to, cost) in row.items())
            classes[state] = kinds.setdefault((state in finals, leads), len(kinds))
    return _network(rows, finals, classes)


def _ends_first(rows: list[Row]) -> list[int]:
    """The states, each after all that its arcs lead to."""
    order: list[int] = []
    seen = {0}
    todo = [(0, iter(rows[0].values()))]
    while todo:
        state, arcs = todo[-1]
        for to, _ in arcs:
            if to not in seen:
                seen.add(to)
                todo.append((to, iter(rows[to].values())))
                break
        else:
            order.append(state)
            todo.pop()
    return order


def _network(rows: list[Row], finals: set[int], classes: list[int | None]) -> Network:
    """The classes numbered as they are reached from the start."""
    first = {group: state for state, group in reversed(list(enumerate(classes)))}
    numbers = {classes[0]: 0}
    order = [classes[0]]
    arcs: list[tuple[Arc, ...]] = []
    for group in order:
        row = []
        for word, (to, cost) in sorted(rows[first[group]].items()):
            if classes[to] not in numbers:
                numbers[classes[to]] = len(numbers)
                order.append(classes[to])
            row.append(Arc(word, numbers[classes[to]], cost))
        arcs.append(tuple(row))
    ends = frozenset(numbers[classes[state]] for state in finals if classes[state] in numbers)
    return Network(tuple(arcs), ends)
