"""The made hall: the same from the same seed, at the level that was asked for.

Source: arithmetic; the level as the public speech-to-intent benchmark defines it, by the largest
energies of 2048-sample frames.
"""

from __future__ import annotations

import numpy as np
import pytest

from callout.edges.ear.hall_noise import hall_noise, in_noise, loudest_frame
from tests.speech import spoken


def test_a_seed_makes_one_hall() -> None:
    one, same, other = hall_noise(3.0, 1), hall_noise(3.0, 1), hall_noise(3.0, 2)
    assert np.array_equal(one, same)
    assert not np.array_equal(one, other)
    assert len(one) == 48_000
    assert np.abs(one).max() == pytest.approx(1.0)


def test_it_is_never_still() -> None:
    noise = hall_noise(10.0, 4)
    seconds = noise.reshape(10, -1)
    assert (seconds**2).mean(axis=1).min() > 1e-5


@pytest.mark.parametrize("ratio_db", [18.0, 12.0, 6.0])
def test_voice_and_hall_stand_in_the_ratio_asked_for(ratio_db: float) -> None:
    voice, noise = 0.2 * spoken(["home two number five."]), hall_noise(10.0, 6)
    mixed = in_noise(voice, noise, ratio_db)
    added = mixed.astype(float) - voice
    got = 10 * np.log10(loudest_frame(voice) / loudest_frame(added))
    assert got == pytest.approx(ratio_db, abs=0.05)


def test_the_mixture_never_clips() -> None:
    voice = np.clip(3 * spoken(["home two."]), -1, 1)
    assert np.abs(in_noise(voice, hall_noise(5.0, 6), 0.0)).max() <= 0.951


def test_a_short_sound_is_one_frame() -> None:
    assert loudest_frame(np.full(10, 0.5)) == pytest.approx(0.25)
