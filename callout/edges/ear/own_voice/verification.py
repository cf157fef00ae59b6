"""Speaker verification: whether two sounds are of one person.

Source of the method: probabilistic linear discriminant analysis with two covariances, Ioffe 2006
(from memory). What it knows of speakers in general was learned by `tests/training/speakers.py`.
"""

from __future__ import annotations

from pathlib import Path
from typing import Final

import numpy as np

from callout.edges.ear.hall_change import read_change
from callout.edges.ear.own_voice.features import Array
from callout.edges.ear.own_voice.speaker import VECTOR
from callout.errors import ModelError

CALLS: Final = 4.0
"""How many independent calls the mean of a voice's calls is worth: they are said in one hall, and
so depend on each other."""

SHAPES: Final = {"mean": (VECTOR,), "directions": (VECTOR, VECTOR), "spread": (VECTOR,)}


class Plda:
    """Probabilistic linear discriminant analysis of the speaker's vectors: how much those of one
    person differ, and how much those of different people.
    """

    def __init__(self, path: Path) -> None:
        """`path` is the file that `tests/training/speakers.py` writes.

        Raises:
            ModelError: it is missing or damaged.
        """
        parts = read_change(path)
        if {name: each.shape for name, each in parts.items()} != SHAPES:
            raise ModelError(f"{path}: expected what tells speakers apart, got another file")
        self._mean, self._directions = parts["mean"], parts["directions"]
        self._spread = parts["spread"].astype(float)

    def log_likelihood_ratio(self, vector: Array, of_voice: Array) -> float:
        """How much likelier a vector (30) is of that voice than of anybody else, in nats.

        `of_voice` (30) is the mean vector of the voice's calls.
        """
        known, here = self._turned(of_voice), self._turned(vector)
        spread = self._spread
        certain = spread / (spread + 1.0 / CALLS)
        expected, variance = certain * known, 1.0 + certain / CALLS
        anybody = 1.0 + spread
        same = (here - expected) ** 2 / variance + np.log(variance)
        other = here**2 / anybody + np.log(anybody)
        return float(0.5 * (other - same).sum())

    def nearest(self, vector: Array, others: Array, count: int) -> Array:
        """The mean (30) of the `count` of these vectors (n, 30) that are most like it."""
        telling = self._spread / (1.0 + self._spread)
        apart = ((self._turned(others) - self._turned(vector)) ** 2 * telling).sum(1)
        made: Array = others[np.argsort(apart)[:count]].mean(0)
        return made

    def _turned(self, vectors: Array) -> Array:
        turned: Array = (vectors - self._mean) @ self._directions
        return turned
