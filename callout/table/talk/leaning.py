"""Which of several numbers that sound alike this scorer means, learned from answers; pure.

A voice that says "fifteen" like "fifty" is asked about it, and the answer tells which it was. Each
answer moves the weight of the number that was meant up, and those of the others down: by as much as
their shares had been wrong, so that an answer that was expected moves little. It is one step of
logistic regression with a weight for each number. The weights last as long as the program runs, and
are nowhere written down: the next scorer may speak otherwise.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Final, TypeAlias

from callout.game.calls import Call
from callout.table.talk.doubt import numbers_in

Leaning: TypeAlias = Mapping[str, float]
"""By how much likelier a number is said than its sound tells, in nats; 0 where nothing is known."""

STEP: Final = 0.5
"""How far an answer moves the weights, in nats, if the share of what was meant had been 0.

Simulated with 144 calls of six voices at 12 dB, all with a number that sounds like another of the
list, 60 calls a game, drawn 60 times: right at once / wrong of a hundred at 0, 0.25, 0.5 and 1.0:
where each of two numbers has any share of the calls 35.3 / 1.4, 37.8 / 0.9, 40.4 / 1.0, 43.7 / 1.4;
where both are as frequent 35.3 / 1.6, 33.7 / 1.5, 34.2 / 1.7, 35.2 / 2.3.
"""

FURTHEST: Final = 2.0
"""No weight is further from 0, in nats: what sounds clearly like another number stays that."""


def leaned(leaning: Leaning, shares: Mapping[str, float], meant: str) -> Leaning:
    """The weights after an answer; `shares` tells how likely each number that was offered was."""
    whole, moved = sum(shares.values()), dict(leaning)
    for number, share in shares.items():
        further = moved.get(number, 0.0) + STEP * ((number == meant) - share / whole)
        moved[number] = max(-FURTHEST, min(FURTHEST, further))
    return moved


def weight(leaning: Leaning, call: Call) -> float:
    """The factor of a call, by the numbers that it names; 1 is neutral."""
    return math.exp(sum(leaning.get(number, 0.0) for number in numbers_in(call)))
