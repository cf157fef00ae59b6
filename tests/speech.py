"""Speech for tests: spoken by the real voice, kept between runs."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

import numpy as np
import soundfile

from callout.edges.phrases import Phrases, cache_folder
from callout.edges.piper_voice import PiperSynthesizer
from callout.edges.sound import RATE_HZ

PHRASES = Phrases(PiperSynthesizer(), cache_folder())


def spoken(texts: Sequence[str], gap_s: float = 0.8, lead_s: float = 0.5) -> np.ndarray:
    """The texts one after another with silence between, at 16 kHz, from -1 to 1."""
    quiet = np.zeros(int(gap_s * RATE_HZ), dtype=np.float32)
    parts = [np.zeros(int(lead_s * RATE_HZ), dtype=np.float32)]
    for text in texts:
        parts += [PHRASES.render(text).at(RATE_HZ) * 0.5, quiet]
    return np.concatenate(parts)


def speech_file(folder: Path, *texts: str, gap_s: float = 0.8, name: str = "said.wav") -> Path:
    """A WAV file of the texts."""
    path = folder / name
    soundfile.write(path, spoken(texts, gap_s), RATE_HZ, subtype="PCM_16")
    return path
