"""What a voice is taught by: its calls in a hall, and what should be answered in each frame.

Both voices say the same words, at their own pace. Dynamic time warping finds which frames of the
one belong to which of the other.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np

from callout.edges.ear.hall_noise import hall_noise, in_noise
from callout.edges.ear.own_voice.features import HOP, Array, mfcc
from callout.edges.ear.own_voice.network import Network
from callout.edges.ear.own_voice.speaker import Extractor
from callout.edges.ear.sound import RATE_HZ, Samples

SHARP: Final = 3.0
"""The network's answers are so flat that those that matter show only when raised to this power."""

RATIOS_DB: Final = (None, 20.0, 12.0)
"""The halls in which each call is heard again; None is the one in which it was recorded."""

NOISE_S: Final = 40.0
"""How much noise of a hall is made; each call is put into another part of it."""
SEED: Final = 77
"""Of the noise and the parts: the same calls always teach the same."""

QUIET_S: Final = 0.3
"""The silence put before and after each call."""

LOUDEST: Final = 0.6
"""The peak of each call: how loud a voice is differs from day to day, and is not learned."""


@dataclass(frozen=True)
class Lesson:
    """One call in one hall."""

    features: Array
    """Of the call with `QUIET_S` of silence on both sides: (frames, cepstra)."""
    speaker: Array
    """The speaker's vector (30)."""
    right: Array
    """By frame, the probability of each state: (frames, states)."""


def lessons(
    network: Network, extractor: Extractor, calls: Sequence[tuple[Samples, Samples]]
) -> list[Lesson]:
    """The lessons of these calls, one for each hall.

    `calls` holds of each call the voice's own sound, and the default voice's.
    """
    noise, random = hall_noise(NOISE_S, SEED), np.random.default_rng(SEED)
    found = []
    for own, usual in calls:
        wave = prepared(own)
        right = _answers(network, extractor, prepared(usual))
        right = _at_the_pace_of(_answers(network, extractor, wave), right)
        for ratio_db in RATIOS_DB:
            start = int(random.integers(0, len(noise) - len(wave)))
            heard = wave if ratio_db is None else in_noise(wave, noise[start:], ratio_db)
            features = cepstra(heard)
            found.append(Lesson(features, extractor.vector(features, len(features) // 2), right))
    return found


def vectors(extractor: Extractor, given: Sequence[Lesson]) -> Array:
    """The speaker's vectors of these calls (n, 30), without the silence around them."""
    edge = int(QUIET_S * RATE_HZ) // HOP
    return np.stack([extractor.of_loud(each.features[edge:-edge]) for each in given])


def prepared(samples: Samples) -> Array:
    """A call at the usual level, with a little silence around it."""
    quiet = np.zeros(int(QUIET_S * RATE_HZ), np.float32)
    wave = samples / max(1.0, float(np.abs(samples.astype(np.int32)).max())) * LOUDEST
    return np.concatenate([quiet, wave.astype(np.float32), quiet])


def cepstra(wave: Array) -> Array:
    """The features of a sound from -1 to 1."""
    return mfcc((wave * 32_767).astype(np.int16))


def logs(answers: Array) -> Array:
    """The logarithm of each state's probability."""
    sharp = SHARP * answers
    sharp -= sharp.max(1, keepdims=True)
    made: Array = sharp - np.log(np.exp(sharp).sum(1, keepdims=True))
    return made


def _answers(network: Network, extractor: Extractor, wave: Array) -> Array:
    features = cepstra(wave)
    vector = extractor.vector(features, len(features))
    return logs(network.hear(features, vector, {}).answers)


def _at_the_pace_of(own: Array, usual: Array) -> Array:
    """By frame of `own`, the probabilities of the frames of `usual` that belong to it."""
    states = np.exp(usual)
    pairs = np.zeros((len(own), len(usual)), np.float32)
    # The divergence of each frame of the one from each of the other.
    costs = (states * usual).sum(1)[:, None] - states @ own.T
    for at, frame in warped(costs):
        pairs[frame, at] = 1.0
    made: Array = pairs / pairs.sum(1, keepdims=True) @ states
    return made


def warped(costs: Array) -> list[tuple[int, int]]:
    """The cheapest way from the first pair of frames to the last, each step forward in one or both.

    Source: Sakoe and Chiba 1978 (from memory).
    """
    rows, columns = costs.shape
    whole = np.full((rows + 1, columns + 1), np.inf)
    whole[0, 0] = 0.0
    for row in range(rows):
        for column in range(columns):
            before = min(whole[row, column], whole[row, column + 1], whole[row + 1, column])
            whole[row + 1, column + 1] = costs[row, column] + before
    row, column, path = rows, columns, []
    while row and column:
        path.append((row - 1, column - 1))
        steps = [(row - 1, column - 1), (row - 1, column), (row, column - 1)]
        row, column = min(steps, key=lambda step: whole[step])
    return path[::-1]
