"""What is said and how loud it is right before and after a call: talk seldom pauses for one."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Final

import numpy as np
from numpy.typing import NDArray

from callout.edges.ear.sound import FRAME, RATE_HZ, Samples, levels

BESIDE_S: Final = (0.15, 1.0)
"""From so long to so long before and after a call one listens for what is as loud."""

AS_LOUD_DB: Final = 5.0
"""As loud is what lies no further below the call. At 6 dB the hall lies 3 to 9 below it."""

ABOVE_HALL_DB: Final = 8.0
"""And so far above the hall, of which the louder moments lie 2 to 7 above the quiet ones."""

OF_HALL_DB: Final = 4.0
"""What stands no further above the hall is the hall's own: at 6 dB the faintest of 205 true calls
stood 4.7 above it."""

FEW: Final = 4
"""Fewer frames than this tell nothing."""

PAUSE_S: Final = 0.08
"""Words are parted from a call by a longer pause than this, where they do not lead over."""

TALK_S: Final = 0.25
"""Less talk than this tells nothing: one reading lets a word begin sooner than another."""

BEGINS_S: Final = 0.05
"""A word that begins sooner is one that the sound begins with."""

INSIDE: Final = 0.3
"""A word that lies in a call with so much of its length is the call itself, heard as another."""

Span = tuple[float, float]
"""From when to when something was said, in seconds of the sound."""


class Surroundings:
    """What a sound holds beside its calls; one of them may follow another at once."""

    def __init__(
        self,
        sound: Samples,
        calls: Sequence[Span],
        unknown: Sequence[Span],
        words: Sequence[Span],
    ) -> None:
        """`unknown` is what the calls' network heard as other speech; `words` are those of the
        whole sound, its calls too, as all English reads it."""
        # What the sound itself begins with may be its quiet, or the last of what was heard before.
        self._unknown = [each for each in unknown if each[0] > BEGINS_S or _lasts_s(each) >= TALK_S]
        self._words = [
            word
            for word in words
            if word[0] > BEGINS_S
            and all(_overlap_s(word, call) < INSIDE * _lasts_s(word) for call in calls)
        ]
        self._db: NDArray[np.float64] = 20.0 * np.log10(levels(sound) + 1.0)
        # What is all zeros is no hall: the ear was closed, or a file had ended.
        hall = self._db[self._db > 0.0]
        self._hall_db = float(np.percentile(hall, 10)) if len(hall) else 0.0
        self._beside = self._db.copy()
        for call in calls:
            self._beside[_frames(call)] = np.nan

    def clear_db(self, call: Span) -> float:
        """How far the quieter moments of the hall lie below the call."""
        return _loud_db(self._db[_frames(call)]) - self._hall_db

    def is_of_hall(self, call: Span) -> bool:
        """Whether it is as soft as the hall, where there is one: somebody there may say it."""
        return self._hall_db > 0.0 and self.clear_db(call) < OF_HALL_DB

    def are_unknown(self, call: Span) -> bool:
        """Whether other speech was heard right before or after it, however loud.

        What the call does not explain of its own sound is heard so too, and a true one explains it.
        """
        near = call[0] - BESIDE_S[1], call[1] + BESIDE_S[1]
        return any(_overlap_s(each, near) > 0.0 for each in self._unknown)

    def lead_over(self, call: Span) -> bool:
        """Whether other words, as loud, go over into it, or it into them, without a pause."""
        (start_s, end_s), far = call, BESIDE_S[1]
        before, after = (start_s - far, start_s), (end_s, end_s + far)
        return self._leads(before, start_s, call) or self._leads(after, end_s, call)

    def _leads(self, side: Span, edge_s: float, call: Span) -> bool:
        words = [_shared(word, side) for word in self._words if _overlap_s(word, side) > 0.0]
        abut = any(max(word[0] - edge_s, edge_s - word[1]) < PAUSE_S for word in words)
        long = sum(map(_lasts_s, words)) >= TALK_S
        return abut and long and self._is_as_loud(words, call)

    def _is_as_loud(self, words: Sequence[Span], call: Span) -> bool:
        """Or they are the hall's, for which the recognizer found words: at 6 dB it lies 7 below."""
        heard = np.concatenate([self._db[_frames(word)] for word in words])
        return _loud_db(heard) > _loud_db(self._db[_frames(call)]) - AS_LOUD_DB

    def are_loud(self, call: Span) -> bool:
        """Whether it is as loud right before or after it, though nothing was made of that."""
        near, far = (round(seconds * RATE_HZ / FRAME) for seconds in BESIDE_S)
        at = _frames(call)
        before = self._beside[max(0, at.start - far) : max(0, at.start - near)]
        after = self._beside[at.stop + near : at.stop + far]
        least_db = max(_loud_db(self._db[at]) - AS_LOUD_DB, self._hall_db + ABOVE_HALL_DB)
        return max(_loud_db(before), _loud_db(after)) > least_db


def _shared(one: Span, other: Span) -> Span:
    return max(one[0], other[0]), min(one[1], other[1])


def _overlap_s(one: Span, other: Span) -> float:
    return max(0.0, _lasts_s(_shared(one, other)))


def _lasts_s(span: Span) -> float:
    return span[1] - span[0]


def _frames(call: Span) -> slice:
    """The frames in which it is said."""
    start, stop = (round(at_s * RATE_HZ / FRAME) for at_s in call)
    return slice(start, stop)


def _loud_db(levels_db: NDArray[np.float64]) -> float:
    """The level that a fifth of the frames are above; of too few, it is none at all."""
    told = levels_db[~np.isnan(levels_db)]
    return float(np.percentile(told, 80)) if len(told) >= FEW else -math.inf
