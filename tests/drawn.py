"""Sentences of a language drawn at random, with what each means."""

from __future__ import annotations

from collections.abc import Iterator
from random import Random

from callout.language.grammar import Grammar, Scope
from callout.language.machine import Machine, Tag
from callout.language.parser import make_sentence
from callout.language.sample import Sample, every
from callout.language.scope import Sentences


def draw(
    grammar: Grammar, scope: Scope, count: int, seed: int, which: Sentences = Sentences.CALLS
) -> Iterator[Sample]:
    """That number of sentences: each time a template at random, then one way to say it.

    The same seed gives the same sentences.

    Raises:
        ValueError: nothing at all can be said in this game.
    """
    machine, random = grammar.machine(scope, which), Random(seed)
    if count and next(every(grammar, scope, which), None) is None:
        raise ValueError("nothing can be said in this game")
    while count:
        sample = _walk(grammar, machine, random)
        if sample is not None:
            yield sample
            count -= 1


def _walk(grammar: Grammar, machine: Machine, random: Random) -> Sample | None:
    """One way through the machine; None where it makes no call or ends in an empty slot."""
    state, words, tags = 0, list[str](), list[Tag]()
    while state not in machine.finals:
        ways = [
            *((word, to, None) for word, to, _ in machine.words[state]),
            *((None, to, tag) for to, tag in machine.jumps[state]),
        ]
        if not ways:
            return None
        word, state, tag = random.choice(ways)
        words += [word] if word else []
        tags += [tag] if tag else []
    meaning = make_sentence(grammar, machine.finals[state], tuple(tags), len(words))
    return None if meaning is None else Sample(tuple(words), meaning)
