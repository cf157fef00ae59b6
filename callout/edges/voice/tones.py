"""The tones of the table, computed; each can be told from the others by ear."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType
from typing import Final

import numpy as np
from numpy.typing import NDArray

Sound = NDArray[np.float32]
"""Mono samples from -1 to 1."""

Step = tuple[int, int]
"""A pitch in hertz (0 for a pause) and how long it lasts in milliseconds."""

TONES: Final[Mapping[str, tuple[Step, ...]]] = MappingProxyType(
    {
        "accepted": ((880, 50), (1320, 90)),
        "refused": ((330, 130), (220, 200)),
        "unheard": ((392, 70), (0, 50), (392, 70)),
        "question": ((660, 90), (880, 160)),
        "attention": ((1047, 90), (0, 50), (1047, 90), (0, 50), (1047, 90)),
        "clock_started": ((523, 50), (659, 50), (784, 80)),
        "clock_stopped": ((784, 50), (659, 50), (523, 80)),
        "last_seconds": ((988, 260),),
        "horn": ((233, 900),),
        "whistle": ((2_900, 60), (3_100, 60)) * 5,
    }
)
"""Rising for yes, falling for no, level and doubled for a call that was not understood."""

EDGE_S: Final = 0.006
"""The fade-in and fade-out of every step: a hard edge clicks, and hurts in a headset."""


def tone(name: str, rate_hz: int) -> Sound:
    """The samples of a tone.

    Raises:
        KeyError: there is no such tone.
    """
    return np.concatenate([_step(hz, ms, rate_hz) for hz, ms in TONES[name]])


def _step(hz: int, ms: int, rate_hz: int) -> Sound:
    count = rate_hz * ms // 1000
    time = np.arange(count) / rate_hz
    wave = np.sin(2 * np.pi * hz * time) + 0.3 * np.sin(4 * np.pi * hz * time)
    return (faded(wave, rate_hz) * 0.4).astype(np.float32)


def faded(samples: NDArray[np.floating], rate_hz: int) -> Sound:
    """The samples with a short ramp at both ends."""
    edge = min(int(EDGE_S * rate_hz), len(samples) // 2)
    if edge == 0:
        return samples.astype(np.float32)
    ramp = np.linspace(0.0, 1.0, edge)
    out = samples.astype(np.float32)
    out[:edge] *= ramp
    out[-edge:] *= ramp[::-1]
    return out
