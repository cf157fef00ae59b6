"""Another domain in the same form: drinks, as people ordered them in the bench's recordings."""

from __future__ import annotations

from collections import Counter
from pathlib import Path

from callout.language.check import load_language
from callout.language.compiler import compile_network
from callout.language.grammar import Scope
from callout.language.network import Network
from callout.language.parser import Parsed, Parser
from tests.drawn import draw

FOLDER = Path(__file__).parents[1] / "bench" / "orders"
GRAMMAR = load_language(FOLDER)


def sentences(network: Network) -> int:
    """How many sentences a network holds; they are too many to list."""
    found, at = 0, Counter({0: 1})
    while at:
        found += sum(ways for state, ways in at.items() if state in network.finals)
        after: Counter[int] = Counter()
        for state, ways in at.items():
            for arc in network.arcs[state]:
                after[arc.to] += ways
        at = after
    return found


def test_it_holds_as_many_sentences_as_arithmetic_says() -> None:
    slots = GRAMMAR.slots.slots
    size, roast, shots, drinks, milk, sugar = (
        len(slots[name].values or ())
        for name in ("size", "roast", "numberOfShots", "coffeeDrink", "milkAmount", "sugarAmount")
    )
    # None of three, one, two in either order, three in any of six orders.
    pairs = size * roast + size * shots + roast * shots
    before = 1 + (size + roast + shots) + 2 * pairs + 6 * size * roast * shots
    after = 1 + milk + sugar + 2 * milk * sugar
    assert sentences(compile_network(GRAMMAR, Scope())) == 9 * 2 * before * drinks * after


def test_sentences_are_read_as_slots_and_make_no_call() -> None:
    parser = Parser(GRAMMAR, Scope())
    for sample in draw(GRAMMAR, Scope(), 400, seed=5):
        result = parser.parse(sample.words)
        assert result == Parsed((sample.meaning,))
        assert isinstance(result, Parsed)
        assert result.calls == ()


def test_a_slot_holds_the_words_that_were_said() -> None:
    result = Parser(GRAMMAR, Scope()).parse("get me an iced mocha with a lot of whole milk")
    assert isinstance(result, Parsed)
    assert dict(result.sentences[0].slots) == {
        "coffeeDrink": "iced mocha",
        "milkAmount": "a lot of whole milk",
    }
