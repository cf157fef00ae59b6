"""Sentences of a language with what each means: every one, or some drawn at random.

They are read off the templates, not by the parser, so that one may be tested by the other.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from random import Random

from callout.language.grammar import Grammar, Scope
from callout.language.machine import Machine, Tag
from callout.language.parser import Sentence, make_sentence
from callout.language.scope import Sentences


@dataclass(frozen=True)
class Sample:
    """A sentence that may be said, and what it means."""

    words: tuple[str, ...]
    meaning: Sentence


def every(grammar: Grammar, scope: Scope, which: Sentences = Sentences.CALLS) -> Iterator[Sample]:
    """Every sentence of the language, once for each way through the templates that says it."""
    machine = grammar.machine(scope, which)
    todo: list[tuple[int, tuple[str, ...], tuple[Tag, ...]]] = [(0, (), ())]
    while todo:
        state, words, tags = todo.pop()
        if state in machine.finals:
            yield from _sample(grammar, machine.finals[state], words, tags)
        todo += [(to, (*words, word), tags) for word, to, _ in machine.words[state]]
        todo += [(to, words, (*tags, tag) if tag else tags) for to, tag in machine.jumps[state]]


def draw(
    grammar: Grammar, scope: Scope, count: int, seed: int, which: Sentences = Sentences.CALLS
) -> Iterator[Sample]:
    """So many sentences: each time a template at random, then one way to say it.

    The same seed gives the same sentences.

    Raises:
        ValueError: nothing at all can be said in this game.
    """
    machine, random = grammar.machine(scope, which), Random(seed)
    if count and next(every(grammar, scope, which), None) is None:
        raise ValueError("nothing can be said in this game")
    while count:
        for sample in _walk(grammar, machine, random):
            yield sample
            count -= 1


def _walk(grammar: Grammar, machine: Machine, random: Random) -> Iterator[Sample]:
    """One way through the machine; none, where it ends in a slot without any phrases."""
    state, words, tags = 0, list[str](), list[Tag]()
    while state not in machine.finals:
        ways = [
            *((word, to, None) for word, to, _ in machine.words[state]),
            *((None, to, tag) for to, tag in machine.jumps[state]),
        ]
        if not ways:
            return
        word, state, tag = random.choice(ways)
        words += [word] if word else []
        tags += [tag] if tag else []
    yield from _sample(grammar, machine.finals[state], tuple(words), tuple(tags))


def _sample(
    grammar: Grammar, call: int, words: tuple[str, ...], tags: tuple[Tag, ...]
) -> Iterator[Sample]:
    meaning = make_sentence(grammar, call, tags, len(words))
    if meaning is not None:
        yield Sample(words, meaning)
