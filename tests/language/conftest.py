"""A small game in the English that comes with the program, and languages made for one test."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from callout.game.terms import Team
from callout.language.grammar import Grammar, Scope
from callout.language.network import Network
from callout.language.parser import Parser
from tests.english import english_grammar

ROSTERS = {Team.HOME: ("4", "5", "12"), Team.GUEST: ("00", "8", "15")}


@pytest.fixture(scope="session")
def grammar() -> Grammar:
    """The English grammar."""
    return english_grammar()


def cost_of(network: Network, said: str) -> float:
    """What the arcs of a whole call cost together, in nats."""
    state, total = 0, 0.0
    for word in said.split():
        arc = next(arc for arc in network.arcs[state] if arc.word == word)
        state, total = arc.to, total + arc.cost
    assert state in network.finals
    total += network.dear_ends.get(state, 0.0)
    return total


@pytest.fixture(scope="session")
def scope() -> Scope:
    """A game of six players, and two more legal numbers."""
    return Scope(ROSTERS, legal=("7", "50"))


@pytest.fixture(scope="session")
def parser(grammar: Grammar, scope: Scope) -> Parser:
    """The parser of that game."""
    return Parser(grammar, scope)


SLOTS = """
slots:
  colour:
    values: {red: [red, scarlet], blue: [blue]}
"""

PAINT = """
name: paint
say:
  - "paint it {colour}"
examples:
  - {say: paint it scarlet, slots: {colour: red}}
"""


@pytest.fixture
def language(tmp_path: Path) -> Callable[..., Path]:
    """Writes a language of the given call files, beside a slots.yaml."""

    def write(slots: str = SLOTS, **calls: str) -> Path:
        (tmp_path / "calls").mkdir()
        (tmp_path / "slots.yaml").write_text(slots, encoding="utf-8")
        for name, text in calls.items():
            (tmp_path / "calls" / f"{name}.yaml").write_text(text, encoding="utf-8")
        return tmp_path

    return write
