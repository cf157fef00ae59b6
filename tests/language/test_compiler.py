"""The compiled network: minimal, and neither more nor less than the templates.

Source: Hopcroft, Motwani, Ullman, Introduction to Automata Theory, ch. 2.3 and 4.4 (from memory):
the subset construction keeps the language, and the minimal acceptor is unique.
"""

from __future__ import annotations

from collections.abc import Iterator
from functools import partial
from random import Random
from time import perf_counter

import pytest

from callout.game.terms import Team
from callout.language.compiler import compile_network
from callout.language.grammar import Grammar, Scope
from callout.language.machine import Machine, follow
from callout.language.network import Network
from callout.language.parser import Parser
from callout.language.sample import every
from callout.language.scope import DECOY, RARE, RARELY, SELDOM
from tests.language.conftest import cost_of

SMALL = Scope({Team.HOME: ("5",), Team.GUEST: ("15",)}, legal=("50",))


def sentences(network: Network, most: int = 20) -> Iterator[tuple[str, ...]]:
    """Every sentence of a network without loops."""
    todo: list[tuple[int, tuple[str, ...]]] = [(0, ())]
    while todo:
        state, words = todo.pop()
        assert len(words) < most
        if state in network.finals:
            yield words
        todo += [(arc.to, (*words, arc.word)) for arc in network.arcs[state]]


def machine_accepts(machine: Machine, words: tuple[str, ...]) -> bool:
    """Whether some path of the machine says the words: the slow way, to compare with."""
    states = follow(machine, (0,))
    for word in words:
        next_states = {to for state in states for said, to, _ in machine.words[state]
                       if said == word}  # fmt: skip
        states = follow(machine, next_states)
    return bool(states & machine.finals.keys())


def machine_cost(machine: Machine, words: tuple[str, ...]) -> float:
    """What the cheapest path of the machine that says the words costs: the slow way."""
    costs = dict.fromkeys(follow(machine, (0,)), 0.0)
    for word in words:
        reached: dict[int, float] = {}
        for state, so_far in costs.items():
            for said, to, cost in machine.words[state]:
                if said == word:
                    for at in follow(machine, (to,)):
                        reached[at] = min(so_far + cost, reached.get(at, so_far + cost))
        costs = reached
    return min(costs[at] + machine.prices[at] for at in costs.keys() & machine.finals.keys())


def test_it_holds_every_sentence_of_the_templates_and_no_other(grammar: Grammar) -> None:
    started = perf_counter()
    network = compile_network(grammar, SMALL)
    machine = grammar.machine(SMALL, with_decoys=True)
    took_ms = 1_000 * (perf_counter() - started)
    listed = list(sentences(network))
    found = set(listed)
    print(f"{len(found)} sentences, {len(network.arcs)} states, {took_ms:.0f} ms")
    assert len(found) > 4_000
    samples = [sample.words for sample in every(grammar, SMALL)]
    said = set(samples)
    assert said <= found
    parser = Parser(grammar, SMALL)
    decoys = found - said
    assert all(map(parser.is_decoy, decoys))
    # Each sentence of a call is read as one in test_parser, and so is no decoy.
    assert not any(map(parser.is_decoy, Random(4).sample(samples, 500)))
    assert {("home", "ball"), ("fouls", "on", "home", "five")} <= decoys
    random, vocabulary = Random(2), sorted(network.words())
    for words in Random(3).sample(listed, 500):
        wrong = list(words)
        wrong[random.randrange(len(wrong))] = random.choice(vocabulary)
        assert network.accepts(wrong) == machine_accepts(machine, tuple(wrong))


def test_no_two_states_can_be_told_apart_by_nothing(grammar: Grammar) -> None:
    network = compile_network(grammar, SMALL)
    ends = {state: network.dear_ends.get(state, 0.0) for state in network.finals}
    seen = {(row, ends.get(state)) for state, row in enumerate(network.arcs)}
    assert len(seen) == len(network.arcs)


# Where no numbers are known, a template of one has a beginning that leads to no call.
@pytest.mark.parametrize("scope", [SMALL, Scope()])
def test_it_is_deterministic_and_every_state_leads_to_a_call(
    grammar: Grammar, scope: Scope
) -> None:
    network = compile_network(grammar, scope)
    alive = set(network.finals)
    for _ in network.arcs:
        alive |= {s for s, row in enumerate(network.arcs) if any(a.to in alive for a in row)}
    assert alive == set(range(len(network.arcs)))
    for row in network.arcs:
        assert len({arc.word for arc in row}) == len(row)
    assert 0 not in network.finals


def test_every_sentence_costs_what_the_cheapest_way_to_say_it_costs(grammar: Grammar) -> None:
    """Source: arithmetic; the weight of a path in a weighted acceptor."""
    scope = Scope({Team.HOME: ("5", "8"), Team.GUEST: ("15",)}, legal=("50", "82"))
    network, machine = compile_network(grammar, scope), grammar.machine(scope, with_decoys=True)
    said = Random(5).sample(list(sentences(network)), 400)
    for words in said:
        assert cost_of(network, " ".join(words)) == machine_cost(machine, words), words
    assert len({machine_cost(machine, words) for words in said}) > 4


def test_a_number_on_neither_list_is_dearer_where_a_usual_call_goes_on(grammar: Grammar) -> None:
    """ "Home foul eight two" may be the beginning of "two shots", or number eighty two."""
    scope = Scope({Team.HOME: ("8",), Team.GUEST: ("15",)}, legal=("82",))
    cost = partial(cost_of, compile_network(grammar, scope))
    assert cost("home foul eight two") == RARE
    assert cost("home foul eight two shots") == 0.0
    assert cost("home foul eight") == 0.0


def test_a_number_on_neither_list_is_dearer(grammar: Grammar) -> None:
    cost = partial(cost_of, compile_network(grammar, SMALL))
    assert cost("home foul number five") == 0.0
    assert cost("guest foul number one five") == 0.0
    assert cost("home foul number fifty") == RARE + 1.0
    assert cost("guest foul number five zero") == RARE


def test_a_number_that_is_heard_too_easily_is_dearer(grammar: Grammar) -> None:
    both = Scope({Team.HOME: ("15", "50"), Team.GUEST: ("5",)})
    cost = partial(cost_of, compile_network(grammar, both))
    assert cost("home two number fifteen") == 0.0
    assert cost("home two number fifty") == grammar.slots.too_easily["fifty"] > 0.0
    assert cost("home two number five zero") == 0.0


def test_what_sounds_like_a_call_and_is_none_is_dearer(grammar: Grammar) -> None:
    cost = partial(cost_of, compile_network(grammar, SMALL))
    assert cost("number five") == 0.0
    assert cost("number five in") == DECOY
    assert cost("jump ball") == DECOY


def test_a_way_that_few_people_use_is_dearer(grammar: Grammar) -> None:
    cost = partial(cost_of, compile_network(grammar, SMALL))
    assert cost("home foul number five two shots") == 0.0
    assert cost("start clock") == 0.0
    assert cost("foul on home five two shots") == SELDOM
    assert cost("number five home foul") == SELDOM
    assert cost("start the clock") == SELDOM
    assert cost("foul on guest number fifty") == SELDOM + RARE + 1.0
    assert cost("clock is running") == RARELY
    assert cost("home number five fouls") == SELDOM
