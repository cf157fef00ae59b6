"""Sound files of any usual kind, read as the recognizer takes them: 16 kHz, mono, 16 bit."""

from __future__ import annotations

import struct
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Final

import numpy as np
import soundfile
import soxr
from numpy.typing import NDArray

from callout.errors import InputError
from callout.table.book.files import why

RATE_HZ: Final = 16_000
"""The sample rate of the recognizer's model."""

Samples = NDArray[np.int16]

FRAME: Final = RATE_HZ // 50
"""The length of the frames whose level is measured, in samples."""

UNKNOWN_SIZE: Final = 0xFFFF_FFFF
"""The length in a WAV header whose writer did not know it."""

SLOWEST_HZ: Final = 4_000
FASTEST_HZ: Final = 768_000
"""Sample rates of sound files. Below there is no speech, above no device: the header is wrong."""

BLOCK: Final = 1 << 17
"""Samples of all channels held at once: 8 s at the recognizer's rate."""


def sound_blocks(path: Path, step: Callable[[], None] = lambda: None) -> Iterator[Samples]:
    """The sound in a file, a few seconds at a time: WAV, FLAC, OGG or what libsndfile knows.

    Of several channels the loudest is taken; their sum could cancel out. So the file is read twice,
    and is refused before the first block is given. `step` is called now and then.

    Raises:
        InputError: it cannot be read, is no sound, is empty, or shorter than it says it is.
    """
    try:
        if not path.is_file():
            got = "what is no file" if path.exists() else "nothing there"
            raise InputError(path, f"expected a sound file, got {got}")
        _check_whole(path)
        # Opened here, since soundfile cannot take every name that a file may have.
        with path.open("rb") as file, soundfile.SoundFile(file) as sound:
            yield from _mono(sound, _loudest(path, sound, step))
    except (soundfile.LibsndfileError, ValueError):
        raise InputError(path, "expected a sound file (WAV, FLAC, OGG), got none") from None
    except OSError as error:
        raise InputError(path, f"cannot be read: {why(error)}") from None


def _read(sound: soundfile.SoundFile) -> Iterator[NDArray[np.float32]]:
    """Frames by channels, from the beginning."""
    sound.seek(0)
    count = max(1, BLOCK // sound.channels)
    while len(block := sound.read(count, dtype="float32", always_2d=True)):
        yield block


def _loudest(path: Path, sound: soundfile.SoundFile, step: Callable[[], None]) -> int:
    """The channel with the most energy, once all of the file has been read."""
    if not SLOWEST_HZ <= sound.samplerate <= FASTEST_HZ:
        what = f"expected {SLOWEST_HZ} to {FASTEST_HZ} samples a second, got {sound.samplerate}"
        raise InputError(path, what)
    energy, frames = np.zeros(sound.channels), 0
    for block in _read(sound):
        energy += (block.astype(np.float64) ** 2).sum(axis=0)
        frames += len(block)
        step()
    if not frames:
        raise InputError(path, "expected sound, got a file without any")
    if not np.isfinite(energy).all():
        raise InputError(path, "expected samples that are numbers, got some that are not")
    return int(np.argmax(energy))


def _mono(sound: soundfile.SoundFile, channel: int) -> Iterator[Samples]:
    """One channel as the recognizer takes it."""
    blocks = (np.ascontiguousarray(block[:, channel]) for block in _read(sound))
    if sound.samplerate == RATE_HZ:
        yield from map(_scaled, blocks)
        return
    change = soxr.ResampleStream(sound.samplerate, RATE_HZ, 1, dtype="float32")
    for block in blocks:
        yield _scaled(change.resample_chunk(block))
    yield _scaled(change.resample_chunk(np.zeros(0, dtype=np.float32), last=True))


def to_recognizer(data: NDArray[np.float32], rate_hz: int) -> Samples:
    """Samples (frames by channels, from -1 to 1) as the recognizer takes them."""
    mono = data[:, int(np.argmax((data.astype(np.float64) ** 2).sum(axis=0)))]
    if rate_hz != RATE_HZ:
        mono = soxr.resample(mono, rate_hz, RATE_HZ)
    return _scaled(mono)


def _scaled(mono: NDArray[np.float32]) -> Samples:
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
