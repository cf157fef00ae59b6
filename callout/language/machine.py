"""Templates as one finite-state machine: each path through it is a sentence.

The machine is nondeterministic: words may lead along several paths at once. `compiler` turns it
into the minimal acceptor that constrains the recognizer, and `parser` uses the same states to turn
words back into calls, so that both know exactly the same sentences.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from functools import reduce
from itertools import accumulate
from math import factorial, prod
from typing import Final, Protocol, TypeAlias

from hassil.expression import (
    Alternative,
    Expression,
    Group,
    ListReference,
    Permutation,
    Sequence,
    TextChunk,
)
from hassil.parse_expression import parse_sentence
from hassil.parser import ParseError

from callout.language.choices import Choices
from callout.language.slots import Phrase, Value

Tag: TypeAlias = tuple[str, Value]
"""A slot and its value, or a part of that value: the parts of a whole number add up."""

GLUED: Final = re.compile(r"[^\s\[(|;][\[({<]|[\])}>][^\s\])|;]")
"""A bracket that touches a word: "foul[s]" looks like one word, but would be read as two."""


LONGEST: Final = 300
"""Characters of a template; the longest English one has 80."""
DEEPEST: Final = 20
"""Nested groups of a template."""
MOST_STATES: Final = 1_000
"""States that a template may add, each slot counted as one; the largest English one adds 16."""
MOST_SLOT_SETS: Final = 100
"""Different sets of slots that a template may give; English templates give at most 4."""


class TemplateError(ValueError):
    """A template that cannot be read, or contains anything but words, slots and groups."""


@dataclass
class Machine:
    """States numbered from 0, the start of every sentence."""

    words: list[list[tuple[str, int, float]]] = field(default_factory=lambda: [[]])
    """By state: a word, the state it leads to, and its cost."""
    jumps: list[list[tuple[int, Tag | None]]] = field(default_factory=lambda: [[]])
    """By state: a state reached without a word, and the value this gives."""
    prices: list[float] = field(default_factory=lambda: [0.0])
    """By state: the cost of a sentence that passes it. The state with the least cost counts."""
    price: float = 0.0
    """The price that new states are given."""
    finals: dict[int, int] = field(default_factory=dict)
    """States where a sentence ends, with the number of its call. A decoy, which is no call, has ~
    (the bitwise complement of) the number of the call in whose file it is written."""

    def state(self) -> int:
        """A new state."""
        self.words.append([])
        self.jumps.append([])
        self.prices.append(self.price)
        return len(self.words) - 1

    def jump(self, start: int, end: int, tag: Tag | None = None) -> None:
        """An arc without a word."""
        self.jumps[start].append((end, tag))

    def phrase(self, start: int, phrase: Phrase, cost: float = 0.0) -> int:
        """The state after those words; the last word carries the cost."""
        for at, word in enumerate(phrase, start=1):
            state = self.state()
            self.words[start].append((word, state, cost if at == len(phrase) else 0.0))
            start = state
        return start

    def choices(self, start: int, slot: str, choices: Choices) -> int:
        """The state after any of the phrases, each of which gives the slot its value."""
        end = self.state()
        inner, values = choices.inner, choices.values
        self.words[start] += [(word, end + to, cost) for word, to, cost in choices.first]
        self.words += [[(word, end + to, cost) for word, to, cost in row] for row in inner]
        self.jumps += [[] for _ in inner]
        self.words += [[] for _ in values]
        self.jumps += [[(end, (slot, value))] for value in values]
        self.prices += [self.price] * (len(inner) + len(values))
        return end


def parse_template(template: str) -> Expression:
    """The template's tree.

    Raises:
        TemplateError: it cannot be read.
    """
    if not template.strip():
        raise TemplateError(f"expected a template, got {template!r}")
    if len(template) > LONGEST:
        what = f"expected at most {LONGEST} characters, got {len(template)}"
        raise TemplateError(f"{what} in {template[:40]!r}")
    if _depth(template) > DEEPEST:
        raise TemplateError(f"expected groups at most {DEEPEST} deep, got {template!r}")
    if GLUED.search(template):
        raise TemplateError(f"expected a space between words and groups, got {template!r}")
    try:
        tree = parse_sentence(template).expression
    # hassil reports some mistakes by a failing assert.
    except (ParseError, ValueError, AssertionError) as error:
        raise TemplateError(f"expected a template, got {template!r}: {error}") from None
    _check_parts(tree, template)
    if _states(tree) > MOST_STATES or _count_slot_sets(tree) > MOST_SLOT_SETS:
        raise TemplateError(f"expected fewer ways to say it, got {template!r}")
    return tree


def _depth(template: str) -> int:
    """The greatest number of brackets open at once."""
    steps = ((sign in "([{<") - (sign in ")]}>") for sign in template)
    return max(accumulate(steps, initial=0))


def _states(expression: Expression) -> int:
    """How many states a template adds; a permutation adds the states of all its orders."""
    if isinstance(expression, TextChunk):
        return len(expression.text.split())
    inner = 1 + sum(map(_states, getattr(expression, "items", [])))
    orders = factorial(len(expression.items)) if isinstance(expression, Permutation) else 1
    return inner * orders


def _count_slot_sets(expression: Expression) -> int:
    """An upper bound of how many sets `slot_sets` gives, found without making them."""
    if not isinstance(expression, Group):
        return 1
    counts = [_count_slot_sets(item) for item in expression.items if slots_of(item)]
    return 1 + sum(counts) if isinstance(expression, Alternative) else prod(counts)


def _check_parts(expression: Expression, template: str) -> None:
    if not isinstance(expression, (TextChunk, ListReference, Sequence, Alternative, Permutation)):
        what = type(expression).__name__
        raise TemplateError(f"expected words, slots and groups, got a {what} in {template!r}")
    for item in getattr(expression, "items", []):
        _check_parts(item, template)


def slots_of(expression: Expression) -> list[tuple[str, str]]:
    """Each `{list:slot}` of a template, in order: the list's name and the slot's."""
    if isinstance(expression, ListReference):
        return [(expression.list_name, expression.slot_name)]
    items = getattr(expression, "items", [])
    return [pair for item in items for pair in slots_of(item)]


def slot_sets(expression: Expression) -> frozenset[tuple[str, ...]]:
    """The slots of each way through a template, sorted; a slot that is given twice occurs twice."""
    if isinstance(expression, ListReference):
        return frozenset({(expression.slot_name,)})
    parts = [slot_sets(item) for item in getattr(expression, "items", [])]
    if isinstance(expression, Alternative):
        return frozenset().union(*parts)
    return reduce(_with_each, parts, frozenset({()}))


def _with_each(
    some: frozenset[tuple[str, ...]], others: frozenset[tuple[str, ...]]
) -> frozenset[tuple[str, ...]]:
    return frozenset(tuple(sorted((*one, *other))) for one in some for other in others)


def words_of_text(expression: Expression) -> frozenset[str]:
    """The words of a template, without those of its slots."""
    if isinstance(expression, TextChunk):
        return frozenset(expression.text.lower().split())
    return frozenset().union(*map(words_of_text, getattr(expression, "items", [])))


class Builder:
    """Adds templates to a machine."""

    def __init__(self, machine: Machine) -> None:
        self.machine = machine

    def add(self, start: int, expression: Expression, lists: Lists) -> int:
        """The state after the expression."""
        match expression:
            case TextChunk():
                return self.machine.phrase(start, tuple(expression.text.lower().split()))
            case ListReference():
                return lists.add(self.machine, start, expression.list_name, expression.slot_name)
            case Permutation():
                return self._any_order(start, expression, lists)
            case Alternative():
                ends = [self.add(start, item, lists) for item in expression.items]
                return self._join(ends)
            case Sequence():
                for item in expression.items:
                    start = self.add(start, item, lists)
                return start
            case _:  # `parse_template` refuses everything else
                raise TemplateError(f"expected words, slots and groups, got {expression!r}")

    def _any_order(self, start: int, expression: Permutation, lists: Lists) -> int:
        ends = []
        for item, rest in expression.iterate_permutations():
            after = self.add(start, item, lists)
            ends.append(self._any_order(after, rest, lists) if rest.items else after)
        return self._join(ends)

    def _join(self, ends: list[int]) -> int:
        end = self.machine.state()
        for each in ends:
            self.machine.jump(each, end)
        return end


class Lists(Protocol):
    """The phrases that may stand for each list of a template."""

    def add(self, machine: Machine, start: int, name: str, slot: str) -> int:
        """The state after anything that may stand for the list."""


def follow(machine: Machine, states: Iterable[int]) -> frozenset[int]:
    """The epsilon closure: those states and all that are reached from them without a word."""
    seen = set(states)
    todo = list(seen)
    while todo:
        for state, _ in machine.jumps[todo.pop()]:
            if state not in seen:
                seen.add(state)
                todo.append(state)
    return frozenset(seen)


def tagged(machine: Machine, state: int) -> Iterator[tuple[int, tuple[Tag, ...]]]:
    """The states reached from `state` without a word, each with the values given on the way."""
    todo: list[tuple[int, tuple[Tag, ...]]] = [(state, ())]
    while todo:
        at, tags = todo.pop()
        yield at, tags
        todo += [(to, (*tags, tag) if tag else tags) for to, tag in machine.jumps[at]]


def values_of(tags: Iterable[Tag]) -> dict[str, Value]:
    """The value of each slot; the parts of a whole number, such as minutes and seconds, add up."""
    values: dict[str, Value] = {}
    for slot, value in tags:
        old = values.get(slot)
        whole = isinstance(old, int) and isinstance(value, int)
        values[slot] = old + value if whole else value  # type: ignore[operator]
    return values
