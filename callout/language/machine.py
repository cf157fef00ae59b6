"""Templates as one machine of states and arcs, each path through which is a sentence.

The machine may take several paths at once; `network` makes of it the minimal acceptor that the
recognizer hears by, and `parser` reads words back into calls by the very same states.
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

from callout.language.slots import Phrase, Value

Tag: TypeAlias = tuple[str, Value]
"""A slot and its value, or a part of it: the parts of a whole number add up."""


def values_of(tags: Iterable[Tag]) -> dict[str, Value]:
    """The value of each slot; the parts of a whole number, such as minutes and seconds, add up."""
    values: dict[str, Value] = {}
    for slot, value in tags:
        old = values.get(slot)
        whole = isinstance(old, int) and isinstance(value, int)
        values[slot] = old + value if whole else value  # type: ignore[operator]
    return values


Choice: TypeAlias = tuple[Phrase, Value, float]
"""A phrase, the value it stands for, and what saying it costs."""


GLUED: Final = re.compile(r"[^\s\[(|;][\[({<]|[\])}>][^\s\])|;]")
"""A bracket that touches a word: "foul[s]" would be two words here, where it looks like one."""


LONGEST: Final = 300
"""Characters of a template. The longest of English has 80."""
DEEPEST: Final = 20
"""Groups within one another."""
MOST_STATES: Final = 1_000
"""States that a template may add, a slot counted as one. The largest of English adds 16."""
MOST_SLOT_SETS: Final = 100
"""Ways through a template that give other slots. The most of English are 4."""


class TemplateError(ValueError):
    """A template that cannot be read, or holds more than words, slots and groups."""


@dataclass
class Machine:
    """States numbered from 0, the start of every sentence."""

    words: list[list[tuple[str, int, float]]] = field(default_factory=lambda: [[]])
    """By state: a word, the state it leads to, and its cost."""
    jumps: list[list[tuple[int, Tag | None]]] = field(default_factory=lambda: [[]])
    """By state: a state reached without a word, and the value this gives."""
    prices: list[float] = field(default_factory=lambda: [0.0])
    """By state: what it costs to say a sentence that comes by it; the least of several counts."""
    price: float = 0.0
    """The price of the states that are made now."""
    finals: dict[int, int] = field(default_factory=dict)
    """States where a sentence ends, each with the number of its call; of a decoy, which is none,
    with ~ the number of the call in whose file it stands."""

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
        """The state after those words; the cost is on the last of them."""
        for at, word in enumerate(phrase, start=1):
            state = self.state()
            self.words[start].append((word, state, cost if at == len(phrase) else 0.0))
            start = state
        return start

    def choices(self, start: int, slot: str, choices: Iterable[Choice]) -> int:
        """The state after any of the phrases, which give the slot its value.

        Phrases share their beginnings, so that a hundred numbers stay a small machine.
        """
        end = self.state()
        shared: dict[tuple[int, str], int] = {}
        for phrase, value, cost in choices:
            at = start
            for word in phrase[:-1]:
                at = self._shared(shared, at, word)
            last = self.state()
            self.words[at].append((phrase[-1], last, cost))
            self.jump(last, end, (slot, value))
        return end

    def _shared(self, shared: dict[tuple[int, str], int], start: int, word: str) -> int:
        if (start, word) not in shared:
            shared[start, word] = self.state()
            self.words[start].append((word, shared[start, word], 0.0))
        return shared[start, word]


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
    # hassil tells some mistakes by assert.
    except (ParseError, ValueError, AssertionError) as error:
        raise TemplateError(f"expected a template, got {template!r}: {error}") from None
    _check_parts(tree, template)
    if _states(tree) > MOST_STATES or _count_slot_sets(tree) > MOST_SLOT_SETS:
        raise TemplateError(f"expected fewer ways to say it, got {template!r}")
    return tree


def _depth(template: str) -> int:
    """How many brackets are open at once."""
    steps = ((sign in "([{<") - (sign in ")]}>") for sign in template)
    return max(accumulate(steps, initial=0))


def _states(expression: Expression) -> int:
    """How many states a template adds; a group in any order has each of its orders written out."""
    if isinstance(expression, TextChunk):
        return len(expression.text.split())
    inner = 1 + sum(map(_states, getattr(expression, "items", [])))
    orders = factorial(len(expression.items)) if isinstance(expression, Permutation) else 1
    return inner * orders


def _count_slot_sets(expression: Expression) -> int:
    """At most so many sets of slots a template gives; parts without slots do not count."""
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
    """For each way through a template, the slots it gives, sorted; one given twice is twice."""
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
    """The words that stand in a template itself, not in its slots."""
    if isinstance(expression, TextChunk):
        return frozenset(expression.text.lower().split())
    return frozenset().union(*map(words_of_text, getattr(expression, "items", [])))


class Builder:
    """Adds templates to a machine; `choices` says what may stand for a list."""

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
            case _:  # `parse_template` lets nothing else through
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
    """What may stand for the lists of a template."""

    def add(self, machine: Machine, start: int, name: str, slot: str) -> int:
        """The state after anything that may stand for the list."""


def follow(machine: Machine, states: Iterable[int]) -> frozenset[int]:
    """The states reached from those without a word, themselves included."""
    seen = set(states)
    todo = list(seen)
    while todo:
        for state, _ in machine.jumps[todo.pop()]:
            if state not in seen:
                seen.add(state)
                todo.append(state)
    return frozenset(seen)


def tagged(machine: Machine, state: int) -> Iterator[tuple[int, tuple[Tag, ...]]]:
    """The states reached from one without a word, each with the values given on the way."""
    todo: list[tuple[int, tuple[Tag, ...]]] = [(state, ())]
    while todo:
        at, tags = todo.pop()
        yield at, tags
        todo += [(to, (*tags, tag) if tag else tags) for to, tag in machine.jumps[at]]
