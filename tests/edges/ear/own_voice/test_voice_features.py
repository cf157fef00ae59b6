"""What the network hears of a sound. Source: arithmetic of the cepstrum, and Kaldi's frames."""

from __future__ import annotations

import numpy as np
import pytest

from callout.edges.ear.own_voice.features import BINS, mfcc
from callout.edges.ear.sound import RATE_HZ, Samples


def noise(seconds: float, seed: int = 1) -> Samples:
    made = np.random.default_rng(seed).standard_normal(int(seconds * RATE_HZ))
    return (1_000 * made).astype(np.int16)


def test_a_frame_begins_at_each_hundredth_of_a_second_and_is_whole() -> None:
    """25 ms every 10 ms: a second has 98 of them."""
    assert mfcc(noise(1.0)).shape == (98, 40)


def test_twice_as_loud_changes_the_first_number_alone() -> None:
    """The energy of each of the 40 bands is four times as large, and a cosine of order zero is
    the square root of 1/40."""
    quiet, loud = mfcc(noise(0.5), dither=0.0), mfcc(2 * noise(0.5), dither=0.0)
    more = loud - quiet
    assert more[:, 0] == pytest.approx(np.sqrt(BINS) * np.log(4.0), abs=1e-3)
    assert np.abs(more[:, 1:]).max() < 1e-3


def test_high_and_low_sound_differ_in_the_tilt() -> None:
    """The second number is the cosine over the bands, positive where the low ones are louder."""
    time = np.arange(RATE_HZ) / RATE_HZ
    low, high = (
        mfcc((5_000 * np.sin(2 * np.pi * hertz * time)).astype(np.int16))[:, 1].mean()
        for hertz in (200, 5_000)
    )
    assert low > 0.0 > high
