"""Training pairs: the same words in quiet, and as a microphone in a hall receives them."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Any, Final

import numpy as np
import soxr
from earlab.noise import by_the_mouth, stands, talking
from numpy.typing import NDArray

from callout.edges.ear.hall_noise import Wave, hall_noise, in_noise
from callout.edges.ear.sound import RATE_HZ
from callout.edges.voice.tones import Sound
from tests.training.speech import SHARES, Spoken

BED_S: Final = 60.0
BEDS: Final = 8
"""The number of minutes of noise of each kind of hall."""

SIZES: Final = ((1.5, 24), (2.5, 16), (5.0, 8))
"""The lengths of sounds in seconds, each with the number of sounds in one batch."""

RATIOS_DB: Final = (-2.0, 22.0)
"""The range of signal-to-noise ratios, by the largest frames of voice and noise."""

CLEAN: Final = 0.12
HALL_ALONE: Final = 0.05
COLOURED: Final = 0.5
NARROW: Final = 0.2
ECHOING: Final = 0.7
SOFT: Final = 0.3
"""The shares of sounds without noise, of noise alone, and of speech that is coloured by another
microphone, has the bandwidth of a telephone, has reverberation, or is as soft as from a microphone
that is turned down."""

LOUD_DB: Final = (-14.0, 0.0)
SOFT_DB: Final = (-40.0, -14.0)
TELEPHONE_HZ: Final = (3_300.0, 4_000.0)
"""The highest frequency of a telephone, or of a headset that falls back to that mode, lies in this
range."""

TALKERS: Final = ("espeak", "flite rms", "old")
"""The kinds of voice that speak in the stands."""

Rng = np.random.Generator
Pair = tuple[Sound, Sound]
"""A sound in quiet, and the same in the hall."""


def beds(said: Sequence[Spoken], seed: int) -> list[Wave]:
    """Computed halls, halls of talkers, and coloured noise that swells and fades."""
    random = np.random.default_rng(seed)
    talk = [each.sound for each in said if each.by in TALKERS and not each.is_call]
    made = [hall_noise(BED_S, seed + nth) for nth in range(BEDS)]
    made += [_of_talkers(talk, seed + BEDS + nth, random) for nth in range(BEDS)]
    return made + [_plain(random) for _ in range(BEDS // 2)]


def _of_talkers(talk: Sequence[Sound], seed: int, random: Rng) -> Wave:
    count = int(BED_S * RATE_HZ)
    mixed = np.zeros(count)
    for _ in range(int(random.integers(6, 20))):
        loud = random.uniform(0.3, 1.0)
        mixed += loud * talking(count, random, lambda: talk[int(random.integers(len(talk)))])
    return stands(mixed, random.uniform(0.1, 0.6) * hall_noise(BED_S, seed), random)


def _plain(random: Rng) -> Wave:
    count = int(BED_S * RATE_HZ)
    noise = _coloured(random.standard_normal(count), random.uniform(-25.0, 0.0, 6))
    seconds = np.arange(count) / RATE_HZ
    knots = np.linspace(0.0, BED_S, 2 * int(BED_S))
    noise *= np.interp(seconds, knots, random.uniform(0.2, 1.0, len(knots)))
    peak: Wave = noise / np.abs(noise).max()
    return peak


def _coloured(sound: NDArray[Any], gains_db: NDArray[np.float64]) -> Wave:
    """A sound with these gains at six frequencies from 30 Hz to 9 kHz."""
    frequencies = np.fft.rfftfreq(len(sound), 1 / RATE_HZ)
    at = np.log(np.array([30.0, 120.0, 400.0, 1_200.0, 3_500.0, 9_000.0]))
    gains = 10 ** (np.interp(np.log(frequencies + 30.0), at, gains_db) / 20)
    out: Wave = np.fft.irfft(np.fft.rfft(sound) * gains, len(sound))
    return out


def _narrow(sound: NDArray[Any], highest_hz: float) -> Wave:
    """A sound without the frequencies above `highest_hz`."""
    spectrum = np.fft.rfft(sound)
    spectrum[np.fft.rfftfreq(len(sound), 1 / RATE_HZ) > highest_hz] = 0.0
    out: Wave = np.fft.irfft(spectrum, len(sound))
    return out


class Pairs:
    """An endless stream of pairs, determined by a seed."""

    def __init__(self, said: Sequence[Spoken], halls: Sequence[Wave], seed: int) -> None:
        self._by: dict[str, list[Spoken]] = {}
        self._of: dict[str, list[Spoken]] = {}
        for each in said:
            self._by.setdefault(each.by, []).append(each)
            self._of.setdefault(each.voice, []).append(each)
        self._halls, self._random = halls, np.random.default_rng(seed)

    def batches(self) -> Iterator[list[Pair]]:
        """Batches of pairs, each of one length."""
        while True:
            seconds, count = SIZES[self._random.integers(len(SIZES))]
            yield [self._pair(int(seconds * RATE_HZ)) for _ in range(count)]

    def _pair(self, size: int) -> Pair:
        random = self._random
        said = self._said(size)[: size - RATE_HZ // 10]
        plain = np.zeros(size)
        at = int(random.integers(0, size - len(said) + 1))
        plain[at : at + len(said)] = said
        if random.random() < HALL_ALONE:
            plain[:] = 0.0
        heard = plain if random.random() < CLEAN else self._in_hall(plain, said)
        loud = 10 ** (random.uniform(*(SOFT_DB if random.random() < SOFT else LOUD_DB)) / 20)
        return _as_taken(plain * loud), _as_taken(heard * loud)

    def _said(self, size: int) -> Wave:
        """A text in one voice, followed by more of the same voice if there is room."""
        random = self._random
        (by,) = random.choice([*SHARES], 1, p=[*SHARES.values()])
        first = self._by[by][random.integers(len(self._by[by]))]
        said = first.sound.astype(np.float64)
        while size > 3 * RATE_HZ and len(said) < size * random.uniform(0.5, 0.9):
            pause = np.zeros(int(random.uniform(0.02, 0.5) * RATE_HZ))
            same = self._of[first.voice]
            said = np.concatenate([said, pause, same[random.integers(len(same))].sound])
        said = soxr.resample(said, RATE_HZ * random.uniform(0.87, 1.15), RATE_HZ)
        if random.random() < COLOURED:
            said = _coloured(said, random.uniform(-6.0, 6.0, 6))
        if random.random() < NARROW:
            said = _narrow(said, random.uniform(*TELEPHONE_HZ))
        peak: Wave = said / np.abs(said).max() * 0.6
        return peak

    def _in_hall(self, plain: Wave, said: Wave) -> Wave:
        random = self._random
        hall = self._halls[int(random.integers(len(self._halls)))]
        start = int(random.integers(0, len(hall) - len(plain)))
        noise = hall[start : start + len(plain)]
        near = plain
        if random.random() < ECHOING:
            near = by_the_mouth(plain.astype(np.float32), random, random.uniform(0.3, 2.0))
        return in_noise(near, noise, random.uniform(*RATIOS_DB), said).astype(np.float64)


def _as_taken(wave: Wave) -> Sound:
    out: Sound = (np.round(wave * 32_767.0) / 32_768.0).astype(np.float32)
    return out
