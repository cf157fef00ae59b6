"""Sentences drawn from a language, and every one of them. Source of the counts: arithmetic."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from callout.language.folder import load_grammar
from callout.language.grammar import Grammar, Scope
from callout.language.parser import Parsed, Parser
from callout.language.sample import Sample, every
from callout.language.scope import Sentences
from tests.drawn import draw
from tests.language.conftest import PAINT

Write = Callable[..., Path]


def test_every_sentence_with_its_meaning(language: Write) -> None:
    text = PAINT.replace("paint it {", "paint it [all] {")
    samples = list(every(load_grammar(language(paint=text)), Scope()))
    said = {" ".join(sample.words): dict(sample.meaning.slots) for sample in samples}
    assert said == {
        "paint it red": {"colour": "red"},
        "paint it scarlet": {"colour": "red"},
        "paint it blue": {"colour": "blue"},
        "paint it all red": {"colour": "red"},
        "paint it all scarlet": {"colour": "red"},
        "paint it all blue": {"colour": "blue"},
    }
    assert len(samples) == 6
    assert all(sample.meaning.end == len(sample.words) for sample in samples)


def test_a_sentence_that_makes_no_call_is_none_of_them(language: Write) -> None:
    slots = "slots: {n: {values: {2: [two], 9: [nine]}}}\n"
    text = (
        'name: s\nsay: ["home {n}"]\ndoes: {score: {team: home, points: $n}}\n'
        "examples: [{say: home two, slots: {n: 2}}]\n"
    )
    samples = every(load_grammar(language(slots, s=text)), Scope())
    assert [sample.words for sample in samples] == [("home", "two")]


def test_drawn_sentences_are_read_as_what_they_mean(parser: Parser, scope: Scope) -> None:
    drawn = list(draw(parser.grammar, scope, 500, seed=3))
    assert len(drawn) == 500
    for sample in drawn:
        assert parser.parse(sample.words) == Parsed((sample.meaning,))


def test_the_seed_gives_the_same_again(grammar: Grammar, scope: Scope) -> None:
    def some(seed: int) -> list[Sample]:
        return list(draw(grammar, scope, 20, seed))

    assert some(7) == some(7) != some(8)


def test_each_call_is_drawn(grammar: Grammar, scope: Scope) -> None:
    drawn = {sample.meaning.name for sample in draw(grammar, scope, 3_000, seed=1)}
    said = [file for file in grammar.calls if file.say]
    assert drawn == {file.name for file in said if file.sentences is Sentences.CALLS}


def test_a_sentence_without_numbers_is_drawn_where_no_numbers_are_known(grammar: Grammar) -> None:
    assert len(list(draw(grammar, Scope(), 50, seed=1))) == 50


def test_where_nothing_can_be_said_nothing_is_drawn(language: Write) -> None:
    text = (
        'name: s\nsay: ["send {n} home"]\ndoes: {number: {number: $n}}\n'
        "examples: [{say: send five home, slots: {n: '5'}}]\n"
    )
    numbers = "counts: [" + ", ".join(f"n{at}" for at in range(100)) + "]\n"
    digits = "digits: [" + ", ".join(f"[d{at}]" for at in range(10)) + "]\n"
    slots = f"slots: {{n: {{numbers: shirt}}}}\n{numbers}{digits}shirts: {{'00': [nil]}}\n"
    grammar = load_grammar(language(slots, s=text))
    with pytest.raises(ValueError, match="nothing can be said"):
        next(draw(grammar, Scope(), 1, seed=1))
    assert list(draw(grammar, Scope(), 0, seed=1)) == []
