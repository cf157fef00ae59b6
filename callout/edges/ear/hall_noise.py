"""The noise of a sports hall, computed from a seed: for the demo and the benchmarks.

A crowd (many voices' worth of noise, each swelling and ebbing in the bands of speech), bouncing
balls, squeaking soles, now and then a whistle, all in a room that rings for a second.
"""

from __future__ import annotations

from typing import Final

import numpy as np
from numpy.typing import NDArray

Wave = NDArray[np.float64]

FRAME: Final = 2048
"""The length in samples of the frames whose largest energies set the signal-to-noise ratio."""

VOICES: Final = 24
"""Swelling bands of noise that the crowd is made of."""
RINGS_S: Final = 1.0
"""How long the hall rings: the length of its reverberation."""
WET: Final = 0.05
"""The level of the reverberation at its start, relative to the sound itself."""
BOUNCES_PER_S: Final = 1.2
SQUEAKS_PER_S: Final = 0.5
WHISTLES_PER_S: Final = 0.04
"""Mean rates of a ball's bounces, of shoes that squeak, and of whistles."""


def hall_noise(seconds: float, seed: int, rate_hz: int = 16_000) -> Wave:
    """A hall's noise of that length, its largest sample 1."""
    random = np.random.default_rng(seed)
    count = max(FRAME, int(seconds * rate_hz))
    dry = _crowd(count, rate_hz, random)
    events = ((BOUNCES_PER_S, _bounce, 1.0), (SQUEAKS_PER_S, _squeak, 0.8),
              (WHISTLES_PER_S, _whistle, 0.8))  # fmt: skip
    for per_s, make, loud in events:
        for start in random.integers(0, count, random.poisson(per_s * count / rate_hz)):
            sound = loud * random.uniform(0.3, 1.0) * make(rate_hz, random)[: count - start]
            dry[start : start + len(sound)] += sound
    wet = echoed(dry, rate_hz, random)
    peak: Wave = wet / np.abs(wet).max()
    return peak


def echoed(dry: Wave, rate_hz: int, random: np.random.Generator) -> Wave:
    """The sound with reverberation."""
    length = int(RINGS_S * rate_hz)
    decay = np.exp(-6.9 * np.arange(length) / length)
    response = random.standard_normal(length) * decay * WET
    response[0] = 1.0
    size = len(dry) + length
    out: Wave = np.fft.irfft(np.fft.rfft(dry, size) * np.fft.rfft(response, size), size)
    return out[: len(dry)]


def _crowd(count: int, rate_hz: int, random: np.random.Generator) -> Wave:
    crowd = np.zeros(count)
    frequencies = np.fft.rfftfreq(count, 1 / rate_hz)
    for _ in range(VOICES):
        centre, width = random.uniform(200, 2_400), random.uniform(80, 500)
        shape = np.exp(-(((frequencies - centre) / width) ** 2))
        noise = np.fft.irfft(np.fft.rfft(random.standard_normal(count)) * shape, count)
        knots = random.uniform(0.0, 1.0, max(2, int(count / rate_hz * 4))) ** 2
        swell = np.interp(np.linspace(0, len(knots) - 1, count), np.arange(len(knots)), knots)
        crowd += noise / (np.abs(noise).max() + 1e-9) * swell
    loud: Wave = crowd / np.abs(crowd).max()
    return loud


def _bounce(rate_hz: int, random: np.random.Generator) -> Wave:
    time = np.arange(int(0.12 * rate_hz)) / rate_hz
    pitch = random.uniform(70, 130)
    thud = np.sin(2 * np.pi * pitch * time) + 0.3 * random.standard_normal(len(time))
    hit: Wave = thud * np.exp(-time / 0.025)
    return hit


def _squeak(rate_hz: int, random: np.random.Generator) -> Wave:
    time = np.arange(int(random.uniform(0.06, 0.2) * rate_hz)) / rate_hz
    pitch = random.uniform(1_800, 3_200) + random.uniform(-4_000, 4_000) * time
    chirp: Wave = np.sin(2 * np.pi * np.cumsum(pitch) / rate_hz) * np.hanning(len(time))
    return chirp


def _whistle(rate_hz: int, random: np.random.Generator) -> Wave:
    time = np.arange(int(random.uniform(0.3, 0.8) * rate_hz)) / rate_hz
    trill = 2_900 + 120 * np.sign(np.sin(2 * np.pi * 32 * time))
    blown: Wave = np.sin(2 * np.pi * np.cumsum(trill) / rate_hz) * np.hanning(len(time)) ** 0.2
    return blown


def loudest_frame(sound: NDArray[np.floating]) -> float:
    """The largest mean energy of any frame."""
    usable = len(sound) // FRAME * FRAME
    frames = sound[:usable].astype(np.float64).reshape(-1, FRAME) if usable else sound[None]
    return float((frames**2).mean(axis=1).max())


def in_noise(
    speech: NDArray[np.floating],
    noise: Wave,
    ratio_db: float,
    voice: NDArray[np.floating] | None = None,
) -> NDArray[np.float32]:
    """Speech in noise at that signal-to-noise ratio, by the largest energies of their frames.

    The level of `voice` counts, if given, in place of that of the speech, which may be silent.
    """
    part = noise[: len(speech)]
    loud = loudest_frame(speech if voice is None else voice)
    gain = np.sqrt(loud / (loudest_frame(part) * 10 ** (ratio_db / 10)))
    mixed = speech + gain * part
    peak = np.abs(mixed).max()
    out: NDArray[np.float32] = (mixed / max(1.0, peak / 0.95)).astype(np.float32)
    return out
