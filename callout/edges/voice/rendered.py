"""A sentence as a voice spoke it, trimmed of silence."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np
import soxr

from callout.edges.voice.tones import Sound, faded

PAUSE_S: Final = 0.1
"""The pause after every sentence: long enough to separate two, short enough to wait for."""

FAINT: Final = 0.01
"""Samples below this fraction of the largest are the voice's own silence."""

SOFT_S: Final = 0.03
"""The silence kept on both sides: a word may begin and end softly."""


@dataclass(frozen=True, slots=True)
class Rendered:
    """A phrase as the voice spoke it."""

    samples: Sound
    rate_hz: int

    def at(self, rate_hz: int) -> Sound:
        """Its samples at another sample rate."""
        if rate_hz == self.rate_hz:
            return self.samples
        out: Sound = soxr.resample(self.samples, self.rate_hz, rate_hz)
        return out

    @staticmethod
    def of(samples: Sound, rate_hz: int) -> Rendered:
        """The sentence trimmed of silence, with a standard pause after it."""
        loud = np.flatnonzero(np.abs(samples) > FAINT * np.abs(samples).max(initial=0.0))
        if len(loud) == 0:
            return Rendered(samples, rate_hz)
        soft = int(SOFT_S * rate_hz)
        said = faded(samples[max(0, loud[0] - soft) : loud[-1] + soft], rate_hz)
        pause = np.zeros(int(PAUSE_S * rate_hz), dtype=np.float32)
        return Rendered(np.concatenate([said, pause]), rate_hz)
