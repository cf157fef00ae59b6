"""What may be said in a game, as the minimal network of its words.

Subset construction makes the templates' machine deterministic, merging the states that nothing
tells apart makes it minimal.
"""

from __future__ import annotations

from typing import TypeAlias

from callout.language.grammar import Grammar, Scope
from callout.language.machine import Machine, follow
from callout.language.network import Arc, Network
from callout.language.scope import Sentences

Row: TypeAlias = dict[str, tuple[int, float]]
"""Of one state: each word, where it leads, and its cost."""


def compile_network(grammar: Grammar, scope: Scope, which: Sentences = Sentences.CALLS) -> Network:
    """The network of all that may be said in a game."""
    return network_of(grammar.machine(scope, which, with_decoys=True))


def network_of(machine: Machine) -> Network:
    """The network of all sentences of a machine."""
    rows, finals = _determine(machine)
    return _minimal(rows, finals)


def _determine(machine: Machine) -> tuple[list[Row], set[int]]:
    """One state for each set of the machine's states that the same words lead to."""
    groups = _Groups(machine)
    groups.number(frozenset({0}))
    rows: list[Row] = []
    for at, group in enumerate(groups.found):
        targets: dict[str, set[int]] = {}
        costs: dict[str, float] = {}
        for state in group:
            for word, to, cost in machine.words[state]:
                if word in targets:
                    targets[word].add(to)
                    costs[word] = min(cost, costs[word])
                else:
                    targets[word], costs[word] = {to}, cost
        row: Row = {}
        for word, states in targets.items():
            to = groups.number(frozenset(states))
            # A price is paid with the word at which no cheaper sentence goes on.
            row[word] = (to, costs[word] + (groups.prices[to] - groups.prices[at]))
        rows.append(row)
    ends = machine.finals.keys()
    return rows, {at for at, group in enumerate(groups.found) if not ends.isdisjoint(group)}


class _Groups:
    """The sets of the machine's states that some words lead to, numbered as they are found."""

    def __init__(self, machine: Machine) -> None:
        self.found: list[frozenset[int]] = []
        self.prices: list[float] = []
        """By set: what the cheapest sentence costs that comes by any of its states."""
        self._machine = machine
        self._numbers: dict[frozenset[int], int] = {}
        self._closures: dict[int, frozenset[int]] = {}

    def number(self, states: frozenset[int]) -> int:
        """The number of the set of those states and all that are reached from them."""
        if states not in self._numbers:
            # Two sets may have one closure: `_minimal` makes one of them.
            group = frozenset().union(*map(self._closure, states))
            self._numbers[states] = len(self.found)
            self.found.append(group)
            self.prices.append(min(self._machine.prices[state] for state in group))
        return self._numbers[states]

    def _closure(self, state: int) -> frozenset[int]:
        if state not in self._closures:
            self._closures[state] = follow(self._machine, (state,))
        return self._closures[state]


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
