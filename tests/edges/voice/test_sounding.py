"""Samples of what is said, and the level that nothing goes above."""

from __future__ import annotations

import numpy as np
import pytest

from callout.edges.voice.sounding import LOUDEST, limited, sounding
from callout.table.speech.delivery import GAINS
from tests.speech import PHRASES

RATE_HZ = 22_050


@pytest.mark.parametrize("gain", GAINS)
@pytest.mark.parametrize("peak", [0.0, 0.1, 0.5, 1.0])
def test_nothing_is_louder_than_is_safe(peak: float, gain: float) -> None:
    sound = limited(np.array([0.0, peak, -peak / 2], dtype=np.float32), gain)
    assert np.abs(sound).max() == pytest.approx(gain * min(peak, LOUDEST))
    assert sound.dtype == np.float32


def test_speed_changes_the_words_and_not_the_tone() -> None:
    plain, fast = (sounding(PHRASES, "", "accepted", RATE_HZ, speed) for speed in (1.0, 1.3))
    assert np.array_equal(plain, fast)
    slow = sounding(PHRASES, "Home two, number five.", "accepted", RATE_HZ, 0.8)
    assert len(slow) > len(sounding(PHRASES, "Home two, number five.", "accepted", RATE_HZ))
    assert np.array_equal(slow[: len(plain)], plain)
