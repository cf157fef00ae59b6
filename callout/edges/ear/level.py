"""How loud a microphone is: its level a few times a second, and what to do about it."""

from __future__ import annotations

import queue
import time
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from typing import Any, Final

import numpy as np

from callout.edges.ear.device import open_microphone
from callout.edges.ear.hall_noise import loudest_frame
from callout.edges.ear.sound import Samples

QUIET_DB: Final = -45.0
"""Loudest frame, of full scale: below this, the voice is too far from the microphone."""
LOUD_DB: Final = -6.0
"""Above this, the voice will clip when its owner gets excited."""
NOTHING_DB: Final = -119.0
"""A microphone below this gives only zeros."""

EVERY_S: Final = 0.1
"""How often a level is told."""


@dataclass(frozen=True, slots=True)
class Level:
    """What a microphone gives now."""

    name: str
    """Of the microphone."""
    level_db: float
    """The loudest frame since the last level, in dB of full scale."""
    trouble: str = ""
    """What the microphone complains of."""


def level_db(samples: Samples) -> float:
    """The energy of the loudest frame, in decibels of full scale."""
    energy = loudest_frame(samples / 32_768) if len(samples) else 0.0
    return 10 * float(np.log10(max(energy, 1e-12)))


def levels(
    device: str | None,
    seconds: float,
    *,
    opener: Callable[..., Any] = open_microphone,
    now_s: Callable[[], float] = time.monotonic,
) -> Iterator[Level]:
    """The levels of a microphone for that time; no sound is kept.

    Raises:
        DeviceError: there is no such microphone.
    """
    sound: queue.Queue[Samples] = queue.Queue()
    troubles: queue.Queue[str] = queue.Queue()
    microphone = opener(device, sound.put, lambda kind, what: troubles.put(what))
    try:
        end = now_s() + seconds
        while now_s() < end:
            taken = _taken(sound)
            trouble = "" if troubles.empty() else troubles.get()
            yield Level(str(microphone.name), round(level_db(taken), 1), trouble)
    finally:
        microphone.close()


def _taken(sound: queue.Queue[Samples]) -> Samples:
    """All that came within `EVERY_S` of the first block, or nothing within a second."""
    try:
        taken = [sound.get(timeout=1.0)]
    except queue.Empty:
        return np.zeros(0, dtype=np.int16)
    end = time.monotonic() + EVERY_S
    while (left := end - time.monotonic()) > 0:
        try:
            taken.append(sound.get(timeout=left))
        except queue.Empty:
            break
    return np.concatenate(taken)
