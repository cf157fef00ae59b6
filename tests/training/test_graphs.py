"""Graphs of words against a dictionary that is not the model's."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
import pytest

from callout.edges.ear.grammar_fst import UNKNOWN, Costs
from callout.edges.ear.network_file import numbers
from callout.edges.models.catalogue import RECOGNIZER, find_model
from callout.edges.models.folder import NETWORK
from callout.language.network import Arc, Network
from tests.training.graphs import Graph, calls, compiled, sentence
from tests.training.lexicon import Lexicon, Words, answers_of, other_speech, words_of

pytestmark = pytest.mark.thorough

PHONES = {"two": 2, "home": 3, "guest": 4, "foul": 3, "thirteen": 5, "thirty": 4}
"""How many phones each word has. Source: the CMU Pronouncing Dictionary (from memory)."""

MODEL = find_model(RECOGNIZER)


@pytest.fixture(scope="module")
def words() -> Words:
    return words_of(MODEL)


@pytest.fixture(scope="module")
def lexicon(words: Words) -> Lexicon:
    return Lexicon(MODEL, [words.number[word] for word in (*PHONES, UNKNOWN)])


def fewest(graph: Graph) -> int:
    """The nodes of the shortest path, each at least a frame long."""
    here, count = set(np.flatnonzero(graph.begin).tolist()), 1
    while not any(graph.end[node] for node in here):
        here = {int(to) for at, to in edges(graph) if at in here}
        count += 1
    return count


def edges(graph: Graph) -> Iterator[tuple[int, int]]:
    return zip(graph.source.tolist(), graph.to.tolist(), strict=True)


@pytest.mark.parametrize("text", [*PHONES, "home two", "guest foul thirteen"])
def test_a_path_has_a_node_for_each_phone_at_least(
    words: Words, lexicon: Lexicon, text: str
) -> None:
    graph = compiled(lexicon, sentence(text.split(), words))
    assert fewest(graph) == sum(PHONES[word] for word in text.split())


def test_no_word_sounds_like_other_speech(words: Words, lexicon: Lexicon) -> None:
    named = Lexicon(MODEL, [words.number[word] for word in PHONES])
    answers = set(other_speech(MODEL))
    # A phone of a chain model has two answers: where it is entered, and while it lasts.
    assert len(answers) == 2
    assert answers <= lexicon.used()
    assert not answers & named.used()


def test_every_answer_is_one_of_the_network() -> None:
    given = len(numbers((MODEL / NETWORK).read_bytes(), "output.affine BiasParams"))
    assert set(answers_of(MODEL)[1:].tolist()) == set(range(given))


def test_the_probabilities_of_words_are_at_most_one(words: Words) -> None:
    assert 0.9 < sum(np.exp(-np.array([*words.cost.values()]))) <= 1.0
    assert words.cost[words.number["the"]] < words.cost[words.number["thirteen"]]


def test_no_call_is_a_path_unless_a_call_must_be(words: Words, lexicon: Lexicon) -> None:
    network = Network(((Arc("home", 1, 0.0),), (Arc("two", 2, 0.0),), ()), frozenset({2}))
    some = compiled(lexicon, calls(network, words, Costs()))
    one = compiled(lexicon, calls(network, words, Costs(), must_call=True))
    assert fewest(some) < PHONES["home"] + PHONES["two"]
    assert fewest(one) == PHONES["home"] + PHONES["two"]
