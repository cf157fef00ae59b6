"""What is said, as samples: a tone, the words after it, and the limit of their level."""

from __future__ import annotations

import sys
from typing import Final

import numpy as np

from callout.edges.voice.phrases import Phrases, sentences
from callout.edges.voice.tones import Sound, tone
from callout.errors import ModelError

LOUDEST: Final = 0.5
"""The largest sample: a headset at full volume must not hurt."""


def limited(sound: Sound, gain: float) -> Sound:
    """The sound with that gain, its peak limited to `LOUDEST`."""
    peak = float(np.abs(sound).max(initial=0.0))
    within: Sound = sound * np.float32(gain * min(1.0, LOUDEST / peak) if peak else gain)
    return within


def sound_or_tone(
    phrases: Phrases, text: str, tone_name: str, rate_hz: int, speed: float = 1.0
) -> Sound:
    """The samples; where the voice fails, a tone, and the words in print."""
    try:
        return sounding(phrases, text, tone_name, rate_hz, speed)
    except Exception as error:
        # Whatever fails, somebody waits for the sentence: it is at least printed.
        what = error if isinstance(error, ModelError) else repr(error)
        print(f"voice: {what}\n  > {text}", file=sys.stderr, flush=True)
        return tone(tone_name or "attention", rate_hz)


def sounding(
    phrases: Phrases, text: str, tone_name: str, rate_hz: int, speed: float = 1.0
) -> Sound:
    """The samples of a tone and a text after it."""
    parts = [tone(tone_name, rate_hz)] if tone_name else []
    parts += [phrases.render(sentence, speed).at(rate_hz) for sentence in sentences(text)]
    return np.concatenate(parts) if parts else np.zeros(0, dtype=np.float32)
