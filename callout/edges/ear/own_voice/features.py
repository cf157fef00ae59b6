"""What the recognizer's network hears of a sound: 40 cepstra for each hundredth of a second.

Source of the method: Kaldi's MFCC (from memory); the numbers are those of the model's own files.
"""

from __future__ import annotations

from functools import cache
from typing import Final

import numpy as np
from numpy.typing import NDArray

from callout.edges.ear.sound import RATE_HZ, Samples

Array = NDArray[np.float32]

BINS: Final = 40
"""Mel filters, and cepstra of a frame."""
LOW_HZ: Final = 20.0
HIGH_HZ: Final = 7600.0
FRAME: Final = RATE_HZ // 40
"""Samples of a frame: 25 ms."""
HOP: Final = RATE_HZ // 100
"""Samples from one frame to the next: 10 ms."""
POINTS: Final = 512
"""Points of the Fourier transform."""
LIFTER: Final = 22.0
EMPHASIS: Final = 0.97
"""The share of the sample before that is subtracted from each."""
LEAST_ENERGY: Final = float(np.finfo(np.float32).eps)


def mfcc(samples: Samples, dither: float = 1.0) -> Array:
    """The mel-frequency cepstra of a sound: an array (frames, 40).

    The recognizer adds noise of one step to each sample, and so do we.
    """
    waves = np.lib.stride_tricks.sliding_window_view(samples.astype(np.float64), FRAME)[::HOP]
    frames = waves + dither * np.random.default_rng(0).standard_normal(waves.shape)
    frames -= frames.mean(1, keepdims=True)
    first = frames[:, :1] * (1.0 - EMPHASIS)
    frames = np.concatenate([first, frames[:, 1:] - EMPHASIS * frames[:, :-1]], 1)
    power = np.abs(np.fft.rfft(frames * _window(), POINTS)) ** 2
    logs = np.log(np.maximum(power @ _mel_bins(), LEAST_ENERGY))
    return (logs @ _cosines()).astype(np.float32)


@cache
def _window() -> NDArray[np.float64]:
    angle = 2.0 * np.pi * np.arange(FRAME) / (FRAME - 1)
    made: NDArray[np.float64] = (0.5 - 0.5 * np.cos(angle)) ** 0.85
    return made


@cache
def _mel_bins() -> NDArray[np.float64]:
    """Triangles that overlap by half, of equal width by the mel scale."""
    low_mel, high_mel = _mel(np.array([LOW_HZ, HIGH_HZ]))
    edges = np.linspace(low_mel, high_mel, BINS + 2)
    at = _mel(np.arange(POINTS // 2 + 1) * RATE_HZ / POINTS)[:, None]
    low, middle, high = edges[:-2], edges[1:-1], edges[2:]
    made: NDArray[np.float64] = np.minimum(
        (at - low) / (middle - low), (high - at) / (high - middle)
    ).clip(0.0)
    made[-1] = 0.0
    return made


def _mel(hertz: NDArray[np.float64]) -> NDArray[np.float64]:
    made: NDArray[np.float64] = 1127.0 * np.log(1.0 + hertz / 700.0)
    return made


@cache
def _cosines() -> NDArray[np.float64]:
    row, column = np.arange(BINS)[:, None], np.arange(BINS)[None]
    made = np.sqrt(2.0 / BINS) * np.cos(np.pi / BINS * (column + 0.5) * row)
    made[0] = np.sqrt(1.0 / BINS)
    lifted: NDArray[np.float64] = (made * (1.0 + 0.5 * LIFTER * np.sin(np.pi * row / LIFTER))).T
    return lifted
