"""How long one waits before a process is started again.

Source: the ear and the voice are to be there again within two seconds, and to be tried for ever.
"""

from __future__ import annotations

from itertools import pairwise

from callout.edges.restarts import MANY, PAUSES_S, WELL_S, Restarts


def test_at_once_at_first_then_ever_later_but_never_for_good() -> None:
    restarts = Restarts()
    pauses = [restarts.died(0.0) for _ in range(50)]
    assert pauses[: MANY - 1] == [0.0] * (MANY - 1)
    assert all(earlier <= later for earlier, later in pairwise(pauses))
    assert pauses[-1] == max(PAUSES_S) == 30.0


def test_it_keeps_dying_from_the_third_death_in_a_row_on() -> None:
    restarts = Restarts()
    told = []
    for _ in range(4):
        restarts.died(WELL_S - 1)
        told.append(restarts.failing)
    assert told == [False, False, True, True]


def test_one_that_lived_long_or_did_its_work_dies_for_the_first_time() -> None:
    restarts = Restarts()
    for _ in range(9):
        restarts.died(0.0)
    assert restarts.died(WELL_S) == 0.0
    assert not restarts.failing
    for _ in range(9):
        restarts.died(0.0)
    restarts.worked()
    assert not restarts.failing
    assert restarts.died(0.0) == 0.0
