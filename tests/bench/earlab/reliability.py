"""Whether what is said to be likely is: reliability, and the risk of booking so many calls."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from itertools import pairwise
from typing import Final

import numpy as np
from numpy.typing import NDArray

from earlab.picture import picture

Pairs = Sequence[tuple[float, bool]]
"""Of each call the share of its likeliest reading among all, and whether that reading is right."""

EDGES: Final = (0.0, 0.5, 0.75, 0.9, 0.95, 0.98, 1.0)
"""Shares crowd near 1, where they decide."""

COVERED: Final = (50, 60, 70, 80, 90, 100)
"""Per cent of the calls that are booked, the likeliest first."""

RISKY: Final = 20.0
"""The top of the scale of the picture of risk, in per cent."""


def calibration_error(pairs: Pairs) -> float:
    """The expected calibration error: how far shares and what is right lie apart, by bins.

    Source: Naeini, Cooper and Hauskrecht 2015, with the bins above in place of equal ones.
    """
    share, right = _columns(pairs)
    gaps = [abs(float(share[at].mean() - right[at].mean())) * at.mean() for at in _bins(share)]
    return float(sum(gaps))


def risk(pairs: Pairs, percent: int) -> float:
    """Per cent wrong if so many of the calls were booked, the likeliest first."""
    share, right = _columns(pairs)
    booked = np.argsort(-share, kind="stable")[: max(1, round(len(share) * percent / 100))]
    return 100.0 * float(1.0 - right[booked].mean())


def reliability_picture(title: str, versions: Mapping[str, Pairs]) -> str:
    """What is right in each bin of shares, for each version, beside what they say."""
    names = [f"{100 * low:g}-{100 * high:g}" for low, high in pairwise(EDGES)]
    drawn: dict[str, list[float]] = {}
    for who, pairs in versions.items():
        share, right = _columns(pairs)
        drawn[f"{who}: said"] = [100 * _mean(share, at) for at in _bins(share, empty=True)]
        drawn[f"{who}: right"] = [100 * _mean(right, at) for at in _bins(share, empty=True)]
    return picture(title, names, drawn)


def risk_picture(title: str, versions: Mapping[str, Pairs]) -> str:
    """What would be wrong if more and more were booked, for each version."""
    drawn = {who: [risk(pairs, each) for each in COVERED] for who, pairs in versions.items()}
    return picture(title, [f"{each} %" for each in COVERED], drawn, RISKY)


def _columns(pairs: Pairs) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    both = np.array([(share, float(right)) for share, right in pairs])
    return both[:, 0], both[:, 1]


def _bins(share: NDArray[np.float64], empty: bool = False) -> list[NDArray[np.bool_]]:
    at = np.clip(np.searchsorted(EDGES, share, side="right") - 1, 0, len(EDGES) - 2)
    found = [at == nth for nth in range(len(EDGES) - 1)]
    return [each for each in found if empty or each.any()]


def _mean(of: NDArray[np.float64], at: NDArray[np.bool_]) -> float:
    return float(of[at].mean()) if at.any() else 0.0
