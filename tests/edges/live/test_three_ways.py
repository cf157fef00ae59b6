"""One game called by voice, by keys and on the partner's page is one book: the same JSON."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from callout.edges.ear.hypotheses import Word
from callout.edges.ear.messages import HeardCall, Mode, Utterance
from callout.edges.live.inbox import PageCalled
from callout.paper.export import game_json
from callout.paper.read import read_recorded
from callout.table.hands.devices import Edge
from callout.table.setup.roster import parse_roster
from callout.table.setup.setup import Listed, Setup
from tests.edges.table_by_hand import ByHand

SETUP = Setup(
    "fiba-2024",
    Listed("Harbour Kites", parse_roster("4 5 7 10")),
    Listed("Quarry Foxes", parse_roster("3 8 14")),
)
CALLS: tuple[tuple[str, str, str], ...] = (
    ("start clock", "tab", "start clock"),
    ("tip home", "f left", "tip home"),
    ("home two", "f s", "home two"),
    ("number five", "5 enter", "number 5"),
    ("guest foul", "j g", "guest foul"),
    ("number eight", "8 enter", "number 8"),
    ("shooting two", "x", "shooting two"),
    ("stop clock", "space", "stop clock"),
    ("shot good", "w", "shot good"),
    ("shot missed", "q", "shot missed"),
    ("start clock", "tab", "start clock"),
    ("guest three", "j d", "guest three"),
    ("number fourteen", "1 4 enter", "number 14"),
    ("home two", "f s", "home two"),
    ("undo that", "u", "undo that"),
    ("stop clock", "space", "stop clock"),
    ("home timeout", "f t", "home timeout"),
    ("timeout over", "o", "timeout over"),
)
"""Each call as it is said, pressed and sent by the page.

A number follows its basket: keys book the basket at once, and the number as a call of its own.
"""

Way = Callable[[ByHand, tuple[str, str, str]], None]


def said(game: ByHand, call: tuple[str, str, str]) -> None:
    """By voice, in words that take no time, so that the moment is the one of a key."""
    words = tuple(Word(word, 0.0, 0.0) for word in call[0].split())
    game.tell(Utterance(0.0, 0.0, call[0], (HeardCall(words, 20.0, 20.0),), 0.0))


def pressed(game: ByHand, call: tuple[str, str, str]) -> None:
    """By the keys of the terminal."""
    for key in call[1].split():
        game.table.put(Edge("keys", key, True, game._steady_ns[0]))
        game.go_on()


def paged(game: ByHand, call: tuple[str, str, str]) -> None:
    """By the partner's page."""
    game.table.put(PageCalled(call[2]))
    game.go_on()


def book(folder: Path, way: Way) -> dict[str, Any]:
    """The JSON of the game, without where each call came from, which the marks cover, too."""
    folder.mkdir()
    game = ByHand.new(folder, SETUP, Mode.OPEN)
    try:
        for call in CALLS:
            game.wait(2.0)
            way(game, call)
    finally:
        game.close()
    told = game_json(read_recorded(folder / "game")[0])
    sources = {entry.pop("source") for entry in told["entries"]}
    assert len(sources) >= 1
    return told


@pytest.mark.thorough
def test_the_same_game_three_ways_is_the_same_book(tmp_path: Path) -> None:
    books = {way.__name__: book(tmp_path / way.__name__, way) for way in (said, pressed, paged)}
    for told in books.values():
        for key in ("id", "mark", "began"):
            told.pop(key, None)
    assert books["said"]["book"]["score"] == {"home": 3, "guest": 3}
    assert books["pressed"] == books["said"]
    assert books["paged"] == books["said"]
