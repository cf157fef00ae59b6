"""What may be said in a game, as the minimal network of its words.

Subset construction makes the templates' machine deterministic, merging the states that nothing
tells apart makes it minimal.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import TypeAlias

from callout.language.grammar import Grammar, Scope
from callout.language.machine import Machine, follow
from callout.language.network import Arc, Network
from callout.language.scope import Sentences

Row: TypeAlias = dict[str, tuple[int, float]]
"""Of one state: each word, where it leads, and its cost."""

Ends: TypeAlias = dict[int, float]
"""The states after a whole sentence, and what ending there costs."""


def compile_network(grammar: Grammar, scope: Scope, which: Sentences = Sentences.CALLS) -> Network:
    """The network of all that may be said in a game."""
    return network_of(grammar.machine(scope, which, with_decoys=True))


def network_of(machine: Machine) -> Network:
    """The network of all sentences of a machine."""
    rows, ends = _determine(machine)
    return _minimal(rows, ends)


def _determine(machine: Machine) -> tuple[list[Row], Ends]:
    """One state for each set of the machine's states that the same words lead to.

    A state of the set remembers how much dearer the cheapest way to it is than the cheapest of
    all. So a price is paid with the word at which no cheaper sentence goes on, or at the end.
    Source: Mohri, Finite-State Transducers in Language and Speech Processing, 1997 (from memory).
    """
    groups = _Groups(machine)
    groups.number({0: 0.0})
    stands_for = _stand_ins(machine)
    rows: list[Row] = []
    ends: Ends = {}
    for at, group in enumerate(groups.found):
        targets: dict[str, dict[int, float]] = {}
        for state, dearer in group.items():
            for word, to, cost in machine.words[state]:
                whole = dearer + cost + machine.prices[to] - machine.prices[state]
                known = targets.setdefault(word, {})
                to = stands_for[to]
                known[to] = min(whole, known.get(to, whole))
        row: Row = {}
        for word, states in targets.items():
            cheapest = min(states.values())
            row[word] = (
                groups.number({s: each - cheapest for s, each in states.items()}),
                cheapest,
            )
        rows.append(row)
        whole_calls = [dearer for state, dearer in group.items() if state in machine.finals]
        if whole_calls:
            ends[at] = min(whole_calls)
    return rows, ends


def _stand_ins(machine: Machine) -> list[int]:
    """For each state: the next one, if all it does is to give a slot its value; else itself.

    Each value of a slot has a state of its own, and the same words follow all of them. Kept apart,
    these states made nine tenths of the sets that are compared.
    """
    prices = machine.prices
    return [
        jumps[0][0]
        if len(jumps) == 1
        and not machine.words[state]
        and state not in machine.finals
        and prices[jumps[0][0]] == prices[state]
        else state
        for state, jumps in enumerate(machine.jumps)
    ]


class _Groups:
    """The sets of the machine's states that some words lead to, numbered as they are found."""

    def __init__(self, machine: Machine) -> None:
        self.found: list[dict[int, float]] = []
        """By set: each of its states, and how much dearer it is than the cheapest of them."""
        self._machine = machine
        self._numbers: dict[frozenset[tuple[int, float]], int] = {}
        self._closures: dict[int, tuple[tuple[int, float], ...]] = {}

    def number(self, states: Mapping[int, float]) -> int:
        """The number of the set of those states and all that are reached from them."""
        group: dict[int, float] = {}
        for start, dearer in states.items():
            for state, more in self._closure(start):
                whole = round(dearer + more, 6)
                group[state] = min(whole, group.get(state, whole))
        key = frozenset(group.items())
        if key not in self._numbers:
            self._numbers[key] = len(self.found)
            self.found.append(group)
        return self._numbers[key]

    def _closure(self, start: int) -> tuple[tuple[int, float], ...]:
        """All states reached without a word, and by how much each makes the sentence dearer."""
        if start not in self._closures:
            prices = self._machine.prices
            reached = follow(self._machine, (start,))
            self._closures[start] = tuple((s, prices[s] - prices[start]) for s in reached)
        return self._closures[start]


def _minimal(rows: list[Row], ends: Ends) -> Network:
    """The states that can be told apart by nothing that follows become one.

    Templates have no loops, so one pass from the ends back finds what follows each state; that
    is the partition which refinement would end at. Arcs that lead to no whole call are left out.
    """
    kinds: dict[object, int] = {}
    classes: list[int | None] = [None] * len(rows)
    for state in _ends_first(rows):
        row = {w: arc for w, arc in rows[state].items() if classes[arc[0]] is not None}
        rows[state] = row
        if row or state in ends:
            leads = frozenset((word, classes[to], cost) for word, (to, cost) in row.items())
            classes[state] = kinds.setdefault((ends.get(state), leads), len(kinds))
    return _network(rows, ends, classes)


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


def _network(rows: list[Row], ends: Ends, classes: list[int | None]) -> Network:
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
    finals = {numbers[classes[at]]: cost for at, cost in ends.items() if classes[at] in numbers}
    dear = {state: cost for state, cost in finals.items() if cost}
    return Network(tuple(arcs), frozenset(finals), dear)
