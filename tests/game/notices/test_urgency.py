"""How urgent each kind is. The order is that of the design on what is said back: player out, shots
owed, time-out, substitute; then what the referee is told; echoes; questions."""

from __future__ import annotations

import pytest

from callout.game.notices.endings import ENDINGS
from callout.game.notices.kinds import KINDS
from callout.game.notices.urgency import URGENCIES, Rank, Urgency, urgency


def test_what_must_be_done_has_its_order() -> None:
    order = ["player_out", "shots_owed", "timeout_due", "sub_due"]
    assert sorted(order, key=lambda kind: urgency(kind).place) == order
    assert {urgency(kind).rank for kind in order} == {Rank.ACT}


@pytest.mark.parametrize("kind", ["bonus", "timeout_last", "arrow_against"])
def test_what_is_for_the_referee_waits_to_be_told(kind: str) -> None:
    assert urgency(kind).rank is Rank.TELL
    assert urgency(kind).told


def test_what_must_be_done_comes_again_and_has_an_end() -> None:
    """README: what must be done now comes again until it is done. Each has its own end."""
    urgent = {kind for kind in KINDS if urgency(kind).rank is Rank.ACT}
    assert {kind for kind in KINDS if urgency(kind).until is not None} == urgent
    assert all(urgency(kind).again is (kind in urgent) for kind in KINDS)
    ends = [urgency(kind).until for kind in urgent]
    assert len(set(ends)) == len(ends) == len(ENDINGS)


def test_what_is_told_by_the_horn_is_what_the_table_signals_with_it() -> None:
    # FIBA 49.3 and NFHS 2-11: the table signals a time-out asked for and a substitution.
    assert {kind for kind in KINDS if urgency(kind).horn} == {"timeout_due", "sub_due"}


SAID_SO = ["player_out", "shots_owed", "timeout_due", "sub_due", "bonus", "timeout_warning",
           "misfit", "goal", "board_score", "still_open"]  # fmt: skip
"""One kind of each sort, in the order of the design on what is said back: act, the referee, the
clock and the board, the book, echoes, and what belongs to no single call."""


def test_sorts_follow_each_other_in_the_order_of_the_design() -> None:
    def turn(kind: str) -> tuple[Rank, int]:
        return urgency(kind).rank, urgency(kind).place

    assert sorted(sorted(SAID_SO), key=turn) == SAID_SO


def test_all_others_are_echoes_but_for_questions() -> None:
    others = set(KINDS) - set(URGENCIES)
    assert len(others) > 80
    assert {urgency(kind) for kind in others} == {Urgency()}
    assert urgency("ask_which").rank is Rank.ASK
    assert urgency("kept_which").rank is Rank.ECHO
