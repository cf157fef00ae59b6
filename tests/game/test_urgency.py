"""How urgent each kind is. The order is that of the design on what is said back: player out, shots
owed, time-out, substitute; then what the referee is told; echoes; questions."""

from __future__ import annotations

import pytest

from callout.game.notice import KINDS
from callout.game.urgency import URGENCIES, Rank, Urgency, urgency


def test_what_must_be_done_has_its_order() -> None:
    order = ["player_out", "shots_owed", "timeout_due", "sub_due"]
    assert sorted(order, key=lambda kind: urgency(kind).place) == order
    assert {urgency(kind).rank for kind in order} == {Rank.ACT}


@pytest.mark.parametrize("kind", ["bonus", "timeout_last", "arrow_against"])
def test_what_is_for_the_referee_waits_to_be_told(kind: str) -> None:
    assert urgency(kind).rank is Rank.TELL
    assert urgency(kind).told


def test_what_must_be_done_comes_again_and_nothing_else_does() -> None:
    again = {kind for kind, each in URGENCIES.items() if each.again}
    assert again == {kind for kind, each in URGENCIES.items() if each.rank is Rank.ACT}
    assert {kind for kind, each in URGENCIES.items() if each.horn} == {"timeout_due", "sub_due"}


def test_the_rows_stand_in_the_order_in_which_they_are_said() -> None:
    rows = list(URGENCIES.values())
    assert rows == sorted(rows, key=lambda each: (each.rank, each.place))


def test_all_others_are_echoes_but_for_questions() -> None:
    others = set(KINDS) - set(URGENCIES)
    assert len(others) > 80
    assert {urgency(kind) for kind in others} == {Urgency()}
    assert urgency("ask_which").rank is Rank.ASK
    assert urgency("kept_which").rank is Rank.ECHO
