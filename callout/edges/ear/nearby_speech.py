"""What is said right before and after a call, and how loud: talk seldom pauses around a call."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Final

import numpy as np
from numpy.typing import NDArray

from callout.edges.ear.sound import FRAME, RATE_HZ, Samples, levels

BESIDE_S: Final = (0.15, 1.0)
"""The span before and after a call that is checked for other sound: 0.15 to 1.0 s away."""

AS_LOUD_DB: Final = 5.0
"""Sound is as loud as the call down to this level below it. In a hall at 6 dB the noise is 3 to 9
dB below."""

ABOVE_HALL_DB: Final = 8.0
"""Other sound must also be this far above the hall's quiet level, whose peaks are 2 to 7 dB above
it."""

OF_HALL_DB: Final = 4.0
"""Speech less than this above the hall's quiet level belongs to the hall. At 6 dB the faintest of
205 true calls was 4.7 dB above it."""

FEW: Final = 4
"""Fewer frames than this give no level."""

PAUSE_S: Final = 0.08
"""Words that lead into or out of a call are separated from it by no more than this pause."""

TALK_S: Final = 0.25
"""Less talk than this is ignored: where a word begins differs from one hypothesis to the next."""

BEGINS_S: Final = 0.05
"""A word that begins before this is the one that the sound begins with."""

INSIDE: Final = 0.3
"""A dictated word that overlaps a call by this share of its length is the call itself, misheard."""

Span = tuple[float, float]
"""When something was said: from and to, in seconds of the sound."""


class Surroundings:
    """What a sound holds beside its calls. A call right after another is no other speech."""

    def __init__(
        self,
        sound: Samples,
        calls: Sequence[Span],
        unknown: Sequence[Span],
        words: Sequence[Span],
    ) -> None:
        """`unknown` are the spans that the acceptor of calls reads as other speech; `words` those
        of all words, calls included, in open speech."""
        # The sound may begin with silence, or with the end of what was heard before.
        self._unknown = [each for each in unknown if each[0] > BEGINS_S or _lasts_s(each) >= TALK_S]
        self._words = [
            word
            for word in words
            if word[0] > BEGINS_S
            and all(_overlap_s(word, call) < INSIDE * _lasts_s(word) for call in calls)
        ]
        self._db: NDArray[np.float64] = 20.0 * np.log10(levels(sound) + 1.0)
        # Zeros are no hall: the ear was closed, or a file had ended.
        hall = self._db[self._db > 0.0]
        self._hall_db = float(np.percentile(hall, 10)) if len(hall) else 0.0
        self._beside = self._db.copy()
        for call in calls:
            self._beside[_frames(call)] = np.nan

    def clear_db(self, call: Span) -> float:
        """Signal-to-noise ratio of the call: its level above the hall's quiet level."""
        return _loud_db(self._db[_frames(call)]) - self._hall_db

    def is_of_hall(self, call: Span) -> bool:
        """Whether the call is as soft as the hall, if there is noise: somebody there may say it."""
        return self._hall_db > 0.0 and self.clear_db(call) < OF_HALL_DB

    def are_unknown(self, call: Span) -> bool:
        """Whether other speech was heard right before or after the call, however loud.

        Sound of the call itself that its words do not explain is heard as other speech, too; the
        words of a true call explain all of it.
        """
        near = call[0] - BESIDE_S[1], call[1] + BESIDE_S[1]
        return any(_overlap_s(each, near) > 0.0 for each in self._unknown)

    def lead_over(self, call: Span) -> bool:
        """Whether other words, as loud as the call, lead into it or out of it without a pause."""
        (start_s, end_s), far = call, BESIDE_S[1]
        before, after = (start_s - far, start_s), (end_s, end_s + far)
        return self._leads(before, start_s, call) or self._leads(after, end_s, call)

    def _leads(self, side: Span, edge_s: float, call: Span) -> bool:
        words = [_shared(word, side) for word in self._words if _overlap_s(word, side) > 0.0]
        abut = any(max(word[0] - edge_s, edge_s - word[1]) < PAUSE_S for word in words)
        long = sum(map(_lasts_s, words)) >= TALK_S
        return abut and long and self._is_as_loud(words, call)

    def _is_as_loud(self, words: Sequence[Span], call: Span) -> bool:
        """Whether the words are as loud as the call.

        Softer ones are hall noise read as words, which is 7 dB below the call at 6 dB.
        """
        heard = np.concatenate([self._db[_frames(word)] for word in words])
        return _loud_db(heard) > _loud_db(self._db[_frames(call)]) - AS_LOUD_DB

    def are_loud(self, call: Span) -> bool:
        """Whether sound beside the call is as loud as the call, whether read as words or not."""
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
    """The frames of that span."""
    start, stop = (round(at_s * RATE_HZ / FRAME) for at_s in call)
    return slice(start, stop)


def _loud_db(levels_db: NDArray[np.float64]) -> float:
    """The 80th percentile of the levels; minus infinity for too few frames."""
    told = levels_db[~np.isnan(levels_db)]
    return float(np.percentile(told, 80)) if len(told) >= FEW else -math.inf
