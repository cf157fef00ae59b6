"""Every sentence of a language with what it means.

They are generated from the templates, not by the parser, so that each can test the other.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache, partial

from callout.language.grammar import Grammar, Scope
from callout.language.machine import Tag
from callout.language.parser import Sentence, make_sentence
from callout.language.scope import Sentences


@dataclass(frozen=True)
class Sample:
    """A sentence that may be said, and what it means."""

    words: tuple[str, ...]
    meaning: Sentence


def every(grammar: Grammar, scope: Scope, which: Sentences = Sentences.CALLS) -> Iterator[Sample]:
    """Every sentence of the language, once for each path through the templates that makes it."""
    machine = grammar.machine(scope, which)
    # Thirteen sentences give the same values on average: one of them is made into a call.
    meaning_of = cache(partial(make_sentence, grammar))
    todo: list[tuple[int, tuple[str, ...], tuple[Tag, ...]]] = [(0, (), ())]
    while todo:
        state, words, tags = todo.pop()
        if state in machine.finals:
            meaning = meaning_of(machine.finals[state], tags, len(words))
            if meaning is not None:
                yield Sample(words, meaning)
        todo += [(to, (*words, word), tags) for word, to, _ in machine.words[state]]
        todo += [(to, words, (*tags, tag) if tag else tags) for to, tag in machine.jumps[state]]
