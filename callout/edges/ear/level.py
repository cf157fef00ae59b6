"""How loud a microphone is: its level a few times a second, and what to do about it."""

from __future__ import annotations

import queue
import time
from collections import deque
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from enum import Enum
from typing import Any, Final

import numpy as np

from callout.edges.ear.device import open_microphone
from callout.edges.ear.hall_noise import loudest_frame
from callout.edges.ear.sound import Samples

QUIET_DB: Final = -45.0
"""Loudest frame, of full scale: below this, the voice is too far from the microphone."""
LOUD_DB: Final = -6.0
"""Above this, the voice will clip when its owner gets excited."""
NOTHING_DB: Final = -90.0
"""A microphone below this gives only zeros: at 48 kHz these come out of the resampler as noise at
-96 dB (measured with a null sink), while the quietest room gives some -80."""

EVERY_S: Final = 0.1
"""How often a level is told."""

RECENT_S: Final = 3.0
"""What was loudest within this time is judged: speech has pauses, and a microphone is moved."""


class Verdict(Enum):
    """What a microphone's loudest frame says of it, and what to do."""

    MUTE = "mute: it gives only zeros; check its switch, cable and permission"
    SOFT = "too soft: move it to two fingers from the mouth"
    GOOD = "good"
    LOUD = "too loud, it clips: turn it down, or move it to the side"


def verdict(loudest_db: float) -> Verdict:
    """The verdict on a loudest frame.

    Units: dB of full scale.
    """
    if loudest_db <= NOTHING_DB:
        return Verdict.MUTE
    if loudest_db < QUIET_DB:
        return Verdict.SOFT
    return Verdict.LOUD if loudest_db > LOUD_DB else Verdict.GOOD


@dataclass(frozen=True, slots=True)
class Level:
    """What a microphone gives now."""

    name: str
    """Of the microphone."""
    level_db: float
    """The loudest frame since the last level, in dB of full scale."""
    loudest_db: float = -120.0
    """The loudest frame of the last `RECENT_S`."""
    trouble: str = ""
    """What the microphone complains of."""

    def told(self) -> dict[str, Any]:
        """What a page shows of it: the level, and the verdict in a word and in words.

        The words are in pieces, so that a page can say them in its own language.
        """
        found = verdict(self.loudest_db)
        level = "" if found is Verdict.MUTE else f"{self.loudest_db:.0f} dB, "
        words = [self.trouble] if self.trouble else [f"{self.name}: {level}", found.value]
        return {"level_db": self.level_db, "verdict": found.name.lower(), "told": words}


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
    sound: queue.SimpleQueue[Samples] = queue.SimpleQueue()
    troubles: queue.SimpleQueue[str] = queue.SimpleQueue()
    microphone = opener(device, sound.put, lambda kind, what: troubles.put(what))
    try:
        recent: deque[tuple[float, float]] = deque()
        end = now_s() + seconds
        while (now := now_s()) < end:
            level = round(level_db(_taken(sound)), 1)
            recent.append((now, level))
            while recent[0][0] < now - RECENT_S:
                recent.popleft()
            loudest = max(each for _, each in recent)
            trouble = "" if troubles.empty() else troubles.get()
            yield Level(str(microphone.name), level, loudest, trouble)
    finally:
        microphone.close()


def _taken(sound: queue.SimpleQueue[Samples]) -> Samples:
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
