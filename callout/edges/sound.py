"""Sound files of any usual kind, read as what the recognizer takes: 16 kHz, mono, 16 bit."""

from __future__ import annotations

import struct
from pathlib import Path
from typing import Final

import numpy as np
import soundfile
import soxr
from numpy.typing import NDArray

from callout.errors import InputError

RATE_HZ: Final = 16_000
"""The rate that the recognizer's model was made for."""

Samples = NDArray[np.int16]

FRAME: Final = RATE_HZ // 50
"""Samples of which the loudness is taken."""

UNKNOWN_SIZE: Final = 0xFFFF_FFFF
"""What a WAV header says of a sound whose length was not known when it was begun."""


def read_sound(path: Path) -> Samples:
    """The sound in a file: WAV, FLAC, OGG or whatever else libsndfile knows.

    Of several channels the loudest is taken; a sum could cancel out.

    Raises:
        InputError: it is missing, no sound, empty, or shorter than it says it is.
    """
    if not path.is_file():
        raise InputError(path, "expected a sound file, got nothing there")
    _check_whole(path)
    try:
        # Opened here, since soundfile cannot take every name that a file may have.
        with path.open("rb") as file:
            data, rate_hz = soundfile.read(file, dtype="float32", always_2d=True)
    except (soundfile.LibsndfileError, OSError, ValueError):
        raise InputError(path, "expected a sound file (WAV, FLAC, OGG), got none") from None
    if len(data) == 0:
        raise InputError(path, "expected sound, got a file without any")
    if not np.isfinite(data).all():
        raise InputError(path, "expected samples that are numbers, got some that are not")
    return to_recognizer(data, rate_hz)


def to_recognizer(data: NDArray[np.float32], rate_hz: int) -> Samples:
    """Samples (frames by channels, from -1 to 1) as the recognizer takes them."""
    mono = data[:, int(np.argmax((data.astype(np.float64) ** 2).sum(axis=0)))]
    if rate_hz != RATE_HZ:
        mono = soxr.resample(mono, rate_hz, RATE_HZ)
    scaled: Samples = (np.clip(mono, -1.0, 1.0) * 32767.0).astype(np.int16)
    return scaled


def levels(samples: Samples) -> NDArray[np.float64]:
    """The loudness of each whole frame: the root of its mean square."""
    frames = samples[: len(samples) // FRAME * FRAME].reshape(-1, FRAME).astype(np.float64)
    found: NDArray[np.float64] = np.sqrt((frames**2).mean(axis=1))
    return found


def _check_whole(path: Path) -> None:
    """Refuse a WAV file that ends before its sound does, which libsndfile would let pass."""
    size = path.stat().st_size
    with path.open("rb") as file:
        if file.read(4) != b"RIFF":
            return
        file.seek(12)
        while len(head := file.read(8)) == 8:
            name, length = head[:4], struct.unpack("<I", head[4:])[0]
            if name == b"data":
                missing = file.tell() + length - size
                if length != UNKNOWN_SIZE and missing > 0:
                    what = f"expected {length} bytes of sound, got {length - missing}: cut short"
                    raise InputError(path, what)
                return
            file.seek(length + length % 2, 1)
    raise InputError(path, "expected a WAV file with sound, got a header without any")
