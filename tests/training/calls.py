"""Calls that are easily taken for each other, in all voices that teach."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from itertools import chain
from random import Random
from typing import Final

from callout.commands.hear import scope_of
from callout.game.terms import Team
from callout.language.check import load_language
from callout.language.grammar import Grammar, language_folder
from callout.language.scope import Sentences
from tests.drawn import draw
from tests.training.speech import NATURAL, SEED, Cast, Spoken, spoken

CAST: Final = Cast(NATURAL, (0.25, 0.17, 0.10, 0.48), 0, 300, 350, 150, 900, SEED + 2)
"""How much else is said beside these calls: talk, English words, answers."""

KINDS: Final = {
    "{team} two number {number}": 20,
    "{team} three number {number}": 9,
    "{team} foul number {number}": 19,
    "{team} charge number {number}": 3,
    "{team} shot good number {number}": 8,
    "{team} shot missed number {number}": 5,
    "number {number}": 12,
}
"""How often each comes. Source: counted in 1,000 published games under FIBA's rules, rounded; the
rarer ones come more often here."""

ALIKE: Final = (
    *(13, 30, 14, 40, 15, 50, 16, 60, 17, 70, 18, 80, 19, 90),
    *(13, 30, 15, 50, 14, 40, 5, 9, 4, 14, 2, 10, 12, 20, 21, 23, 33, 55, 8, 0, 3, 6, 7, 11, 1),
)
"""Numbers that sound like another, and those of most lists."""

OF_ALIKE: Final = 0.6
"""The share of numbers that are drawn from `ALIKE`; the others are any from 0 to 99."""

WHOLE: Final = 0.8
"""The share of numbers that are said whole; the others are said digit by digit."""

WITH_NUMBER, OF_ALL_KINDS = 3_000, 1_000
LISTS: Final = 8
NUMBERS: Final = range(100)


def confused() -> list[Spoken]:
    """All that is said; rendered once and kept."""
    grammar = load_language(language_folder())
    return spoken(CAST, [*chain(_with_number(grammar), _of_all_kinds(grammar))])


def _with_number(grammar: Grammar) -> Iterator[str]:
    random, words = Random(SEED), grammar.words
    for _ in range(WITH_NUMBER):
        alike = random.random() < OF_ALIKE
        number = str(random.choice(ALIKE if alike else NUMBERS))
        whole = len(number) == 1 or random.random() < WHOLE
        digits = " ".join(words.file.digits[int(digit)][0] for digit in number)
        (kind,) = random.choices([*KINDS], [*KINDS.values()])
        said = words.shirt(number) if whole else digits
        yield kind.format(team=random.choice([*Team]).value, number=said)


def _of_all_kinds(grammar: Grammar) -> Iterator[str]:
    """Sentences drawn at random from the grammar; each team has twelve numbers at random."""
    for seed in range(SEED, SEED + LISTS):
        random = Random(seed)
        lists = {team: tuple(map(str, sorted(random.sample(NUMBERS, 12)))) for team in Team}
        scope = replace(scope_of(grammar, None), rosters=lists, legal=())
        for each in draw(grammar, scope, OF_ALL_KINDS // LISTS, seed, Sentences.CALLS):
            yield " ".join(each.words)
