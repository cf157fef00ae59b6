"""What tells speakers apart. Source: made speakers, whose spread is known; arithmetic."""

from __future__ import annotations

import numpy as np
import pytest

from callout.edges.ear.sound import RATE_HZ
from tests.training.speakers import PIECES_S, fitted, pieces

SIZE = 4


def test_the_spread_of_made_speakers_is_found() -> None:
    """2,000 speakers with eight pieces each; one speaker's pieces are correlated."""
    random = np.random.default_rng(3)
    within = random.standard_normal((SIZE, SIZE)) + 2.0 * np.eye(SIZE)
    between = np.array([0.5, 1.0, 2.0, 4.0])
    means = random.standard_normal((2_000, SIZE)) * np.sqrt(between)
    rows = (means[:, None] + random.standard_normal((2_000, 8, SIZE))) @ within + 3.0
    who = [str(each) for each in range(2_000) for _ in range(8)]
    found = fitted(rows.reshape(-1, SIZE), who)
    assert found["spread"] == pytest.approx(between, rel=0.15)
    assert found["mean"] == pytest.approx(np.full(SIZE, 3.0), abs=0.3)
    turned = (rows - rows.mean(1, keepdims=True)).reshape(-1, SIZE) @ found["directions"]
    covariance = turned.T @ turned / (2_000 * 7)
    assert covariance == pytest.approx(np.eye(SIZE), abs=0.05)


def test_pieces_are_as_long_as_calls_and_hold_no_quiet_edge() -> None:
    random = np.random.default_rng(4)
    sound = np.zeros(12 * RATE_HZ)
    sound[RATE_HZ : 11 * RATE_HZ] = random.uniform(-0.5, 0.5, 10 * RATE_HZ)
    found = list(pieces(sound, random))
    assert {len(each) / RATE_HZ for each in found} <= set(PIECES_S)
    assert all(np.abs(each[:320]).max() > 0.1 < np.abs(each[-320:]).max() for each in found)
    assert 8.0 < sum(map(len, found)) / RATE_HZ <= 10.0
