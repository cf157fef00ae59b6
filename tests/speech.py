"""Speech for tests, by the real voice without its randomness, cached between runs."""

from __future__ import annotations

import json
import os
from collections.abc import Sequence
from pathlib import Path
from typing import Final

import numpy as np
import soundfile
import soxr

from callout.edges.ear.sound import RATE_HZ, Samples
from callout.edges.voice.phrases import Phrases, cache_folder
from callout.edges.voice.piper import PiperSynthesizer, default_voice

FOLDER = cache_folder().parent / "tests"
"""Apart from the program's cache, where the same texts sound different."""


def even_voice(folder: Path) -> Path:
    """Link the default voice into a folder, with its randomness set to 0.

    Source: VITS (Kim et al., 2021): `noise_w` and `noise_scale` say by how much rhythm and tone of
    a sentence are random.
    """
    published = default_voice()
    config = json.loads(Path(f"{published}.json").read_text(encoding="utf-8"))
    config["inference"].update(noise_scale=0.0, noise_w=0.0)
    folder.mkdir(parents=True, exist_ok=True)
    voice, told = folder / published.name, folder / f"{published.name}.json"
    # Several workers do this at once, so each writes files of its own name first.
    parts = {path: path.with_name(f"{path.name}.{os.getpid()}") for path in (voice, told)}
    for part in parts.values():
        part.unlink(missing_ok=True)
    parts[voice].symlink_to(published)
    parts[told].write_text(json.dumps(config), encoding="utf-8")
    for path, part in parts.items():
        part.replace(path)
    return voice


PHRASES = Phrases(PiperSynthesizer(even_voice(FOLDER)), FOLDER / "phrases")


def spoken(texts: Sequence[str], gap_s: float = 0.8, lead_s: float = 0.5) -> np.ndarray:
    """The texts with silence before and between them: 16 kHz, from -1 to 1."""
    quiet = np.zeros(int(gap_s * RATE_HZ), dtype=np.float32)
    parts = [np.zeros(int(lead_s * RATE_HZ), dtype=np.float32)]
    for text in texts:
        parts += [PHRASES.render(text).at(RATE_HZ) * 0.5, quiet]
    return np.concatenate(parts)


FASTER: Final = 1.25
"""A voice played so many times as fast is another's: higher, and from a shorter throat."""


def call_by(text: str, faster: float = 1.0) -> Samples:
    """A call by the voice as it is, or by the one that it becomes when it is played faster."""
    made = spoken([f"{text}."], gap_s=0.1, lead_s=0.1)
    if faster != 1.0:
        made = soxr.resample(made, faster * RATE_HZ, RATE_HZ)
    return (32_767 * made).astype(np.int16)


def speech_file(folder: Path, *texts: str, gap_s: float = 0.8, name: str = "said.wav") -> Path:
    """Write the texts into a WAV file."""
    path = folder / name
    soundfile.write(path, spoken(texts, gap_s), RATE_HZ, subtype="PCM_16")
    return path
