"""What counts as said again; the time is this table's own, no rule book speaks of it."""

from __future__ import annotations

import pytest

from callout.game import calls
from callout.game.terms import Team
from callout.table.talk.nearly import AGAIN_MS, NearlyHeard

SAID_MS = 1_000_000
THREE = calls.Score(Team.HOME, 3)


@pytest.mark.parametrize(
    ("call", "after_ms", "again"),
    [
        (THREE, 2_500, True),
        (THREE, AGAIN_MS, True),
        (THREE, AGAIN_MS + 1, False),
        (THREE, 0, False),
        (calls.Score(Team.GUEST, 3), 2_500, False),
    ],
)
def test_the_same_call_within_seconds_is_said_again(
    call: calls.Score, after_ms: int, again: bool
) -> None:
    nearly = NearlyHeard().after(THREE, SAID_MS)
    assert nearly.has(call, SAID_MS + after_ms) is again


def test_another_call_between_the_two_changes_nothing() -> None:
    nearly = NearlyHeard().after(THREE, SAID_MS).after(calls.StopClock(), SAID_MS + 2_000)
    assert nearly.has(THREE, SAID_MS + 4_000)


def test_what_is_too_old_is_forgotten() -> None:
    nearly = NearlyHeard().after(THREE, SAID_MS).after(calls.StopClock(), SAID_MS + AGAIN_MS + 1)
    assert nearly.recent == ((calls.StopClock(), SAID_MS + AGAIN_MS + 1),)
