"""A whole game by keys alone and by one switch; the reference is the same game said in words."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from .hands import ByKeys, BySwitch, Pieces

GAMES = Path(__file__).parent.parent / "games"
DEMO = GAMES / "demo.game"


@pytest.fixture(scope="module")
def said() -> dict[str, Any]:
    """The demo's game said call by call."""
    return Pieces(DEMO).result()


def test_a_whole_game_by_keys_alone_is_the_same_game(said: dict[str, Any]) -> None:
    hands = ByKeys(DEMO)
    assert hands.result() == said
    assert hands.done > 200


def test_a_whole_game_by_one_switch_is_the_same_game(said: dict[str, Any]) -> None:
    hands = BySwitch(DEMO)
    result = hands.result()
    assert {**result, "refusals": []} == {**said, "refusals": []}
    assert len(hands.unread) == len(said["refusals"]) == 1
    print(f"{hands.done} calls, {hands.presses} presses, {hands.reads} choices passed over")
