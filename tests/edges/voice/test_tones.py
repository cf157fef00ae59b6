"""The tones, told apart by the ear alone in a loud hall: by a matched filter.

It knows only their shapes. Source of the method: it is the best detector of a known shape in noise.
"""

from __future__ import annotations

import numpy as np
import pytest

from callout.edges.ear.hall_noise import Wave, hall_noise, in_noise
from callout.edges.voice.tones import TONES, tone

RATE_HZ = 16_000
NAMED = ("accepted", "refused", "unheard", "question", "attention", "clock_started",
         "clock_stopped")  # fmt: skip
"""What the design wants a tone for; `attention` is the urgent one."""
SHAPES = {name: tone(name, RATE_HZ) for name in TONES}


@pytest.fixture(scope="module")
def noise() -> Wave:
    """A loud hall."""
    return hall_noise(20.0, seed=5)


def heard_as(sound: np.ndarray) -> str:
    """The tone that fits a sound best, wherever in it it lies."""
    size = len(sound) + max(map(len, SHAPES.values()))
    spectrum = np.fft.rfft(sound, size)
    fits = {
        name: np.abs(np.fft.irfft(spectrum * np.conj(np.fft.rfft(shape, size)), size)).max()
        / np.linalg.norm(shape)
        for name, shape in SHAPES.items()
    }
    return max(fits, key=lambda name: float(fits[name]))


@pytest.mark.parametrize("ratio_db", [12.0, 0.0])
@pytest.mark.parametrize("name", TONES)
def test_each_is_known_in_a_loud_hall(noise: Wave, name: str, ratio_db: float) -> None:
    quiet = np.zeros(RATE_HZ // 2, dtype=np.float32)
    sound = np.concatenate([quiet, SHAPES[name], quiet])
    starts = range(0, len(noise) - len(sound), len(noise) // 12)
    heard = [heard_as(in_noise(sound, noise[start:], ratio_db)) for start in starts]
    assert len(heard) > 8
    assert set(heard) == {name}


def test_noise_alone_is_not_always_the_same_tone(noise: Wave) -> None:
    """The check could fail: what it is given decides."""
    assert len({heard_as(noise[start : start + RATE_HZ]) for start in range(0, 200_000, 9_999)}) > 1


def test_there_is_one_for_everything_that_must_be_told_without_words() -> None:
    assert set(NAMED) <= set(TONES)
