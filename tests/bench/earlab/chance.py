"""Whether a difference is chance."""

from __future__ import annotations

import math


def mcnemar(better: int, worse: int) -> float:
    """The exact two-sided probability of so uneven a split by chance.

    Source: McNemar 1947, in its exact binomial form.
    """
    total = better + worse
    tail = sum(math.comb(total, k) for k in range(min(better, worse) + 1)) / 2**total
    return min(1.0, 2 * tail) if total else 1.0
