"""The exact network: how words go through it."""

from __future__ import annotations

from callout.language.network import Arc, Network
from callout.language.parser import Parser


def test_of_as_few_calls_the_first_is_the_longest() -> None:
    """a | b c and a b | c are two calls each."""
    arcs = ((Arc("a", 1, 0.0), Arc("b", 2, 0.0), Arc("c", 3, 0.0)), (Arc("b", 3, 0.0),),
            (Arc("c", 3, 0.0),), ())  # fmt: skip
    network = Network(arcs, frozenset({1, 3}))
    assert network.split(["a", "b", "c"]) == (2, 3)
    assert network.split(["a", "b", "b"]) is None


def test_it_survives_the_way_to_another_process(parser: Parser) -> None:
    assert Network.from_dict(parser.network.to_dict()) == parser.network


def test_words_split_into_the_fewest_calls() -> None:
    arcs = (
        (Arc("home", 1, 0.0), Arc("number", 3, 0.0)),
        (Arc("two", 2, 0.0),),
        (Arc("number", 3, 0.0),),
        (Arc("five", 4, 0.0),),
        (),
    )
    network = Network(arcs, frozenset({2, 4}))
    assert network.split(["home", "two", "number", "five"]) == (4,)
    assert network.split(["home", "two", "home", "two", "number", "five"]) == (2, 6)
    assert network.split(["home", "two", "number"]) is None
    assert network.split([]) is None
    assert network.ends(["home", "two", "number", "five"], 0) == [2, 4]
    assert network.can_go_on(["home", "two"])
    assert not network.can_go_on(["home", "two", "number", "five"])
    assert not network.can_go_on(["two"])
    assert network.words() == {"home", "two", "number", "five"}
    assert not network.accepts(["five", "home"])
