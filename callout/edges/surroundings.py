"""How loud it is right before and after a call: people who talk seldom pause for it."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Final

import numpy as np
from numpy.typing import NDArray

from callout.edges.sound import FRAME, RATE_HZ, Samples, levels

BESIDE_S: Final = (0.15, 1.0)
"""From so long to so long before and after a call one listens for what is as loud."""

AS_LOUD_DB: Final = 5.0
"""As loud is what lies no further below the call. At 6 dB the hall lies 3 to 9 below it."""

ABOVE_HALL_DB: Final = 8.0
"""And so far above the hall, of which the louder moments lie 2 to 7 above the quiet ones."""

FEW: Final = 4
"""Fewer frames than this tell nothing."""

Span = tuple[float, float]
"""From when to when something was said, in seconds of the sound."""


class Surroundings:
    """The loudness of a sound, but for its calls: one may follow another at once."""

    def __init__(self, sound: Samples, calls: Sequence[Span]) -> None:
        self._db: NDArray[np.float64] = 20.0 * np.log10(levels(sound) + 1.0)
        # What is all zeros is no hall: the ear was closed, or a file had ended.
        hall = self._db[self._db > 0.0]
        self._hall_db = float(np.percentile(hall, 10)) if len(hall) else 0.0
        self._beside = self._db.copy()
        for call in calls:
            self._beside[_frames(call)] = np.nan

    def are_loud(self, call: Span) -> bool:
        """Whether it is as loud right before or after it, though nothing was made of that."""
        near, far = (round(seconds * RATE_HZ / FRAME) for seconds in BESIDE_S)
        at = _frames(call)
        before = self._beside[max(0, at.start - far) : max(0, at.start - near)]
        after = self._beside[at.stop + near : at.stop + far]
        least_db = max(_loud_db(self._db[at]) - AS_LOUD_DB, self._hall_db + ABOVE_HALL_DB)
        return max(_loud_db(before), _loud_db(after)) > least_db


def _frames(call: Span) -> slice:
    """The frames in which it is said."""
    start, stop = (round(at_s * RATE_HZ / FRAME) for at_s in call)
    return slice(start, stop)


def _loud_db(levels_db: NDArray[np.float64]) -> float:
    """The level that a fifth of the frames are above; of too few, it is none at all."""
    told = levels_db[~np.isnan(levels_db)]
    return float(np.percentile(told, 80)) if len(told) >= FEW else -math.inf
