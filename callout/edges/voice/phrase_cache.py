"""The cache of rendered phrases, in memory and on the disk, with a limit for each.

In memory a phrase is 16-bit samples; on the disk a FLAC file with its SHA-256 behind it (players
ignore what follows the sound). A file that a power cut left truncated or changed does not match its
hash: it counts as unknown and is replaced. So nothing here waits for the disk to flush.
"""

from __future__ import annotations

import hashlib
import io
import os
import threading
import time
from collections import OrderedDict
from contextlib import suppress
from pathlib import Path
from typing import Final

import numpy as np
import soundfile
from numpy.typing import NDArray

from callout.edges.voice.rendered import Rendered
from callout.edges.voice.tones import Sound
from callout.table.book.files import make_private

MEMORY_BYTES: Final = 64_000_000
"""The phrases kept in memory; the least recently used leave first. A game foresees some 720
sentences of 60 kB each, 43 MB."""

DISK_BYTES: Final = 100_000_000
"""The phrases kept on the disk; the least recently used leave first. A game's take some 25 MB."""

LEFT: Final = 0.8
"""The share of `DISK_BYTES` that a clean-up leaves, so that clean-ups are rare."""

USED_S: Final = 86_400.0
"""A file's time is set to its last use, but at most once in this time."""

DIGEST_BYTES: Final = 32
_SUFFIX: Final = ".flac"


Pcm = NDArray[np.int16]

FULL: Final = 32_768.0
"""The 16-bit sample that stands for 1.0."""


def pcm_of(sound: Sound) -> Pcm:
    """The samples of a sound, from -1 to 1, in 16 bits."""
    return np.clip(np.round(sound * FULL), -FULL, FULL - 1).astype(np.int16)


def rendered_of(samples: Pcm, rate_hz: int) -> Rendered:
    """The phrase of those samples: the inverse of `pcm_of`, except for rounding."""
    return Rendered(samples.astype(np.float32) / FULL, rate_hz)


class Memory:
    """The phrases of this process, the last used last; safe to use from several threads."""

    def __init__(self, most_bytes: int = MEMORY_BYTES) -> None:
        self._most = most_bytes
        self._kept: OrderedDict[tuple[str, float], tuple[Pcm, int]] = OrderedDict()
        self._bytes = 0
        self._lock = threading.Lock()

    def has(self, key: tuple[str, float]) -> bool:
        """Whether the phrase is in memory; that counts as a use."""
        with self._lock:
            if key in self._kept:
                self._kept.move_to_end(key)
            return key in self._kept

    def get(self, key: tuple[str, float]) -> Rendered | None:
        """The phrase, if it is in memory."""
        with self._lock:
            if key not in self._kept:
                return None
            self._kept.move_to_end(key)
            samples, rate_hz = self._kept[key]
        return rendered_of(samples, rate_hz)

    def put(self, key: tuple[str, float], samples: Pcm, rate_hz: int) -> None:
        """Keep a phrase, and drop the least recently used."""
        with self._lock:
            if key in self._kept:
                self._bytes -= self._kept.pop(key)[0].nbytes
            self._kept[key] = samples, rate_hz
            self._bytes += samples.nbytes
            while self._bytes > self._most and len(self._kept) > 1:
                self._bytes -= self._kept.popitem(last=False)[1][0].nbytes


class PhraseFolder:
    """The phrases on the disk: FLAC files that only the user may read."""

    def __init__(self, folder: Path, most_bytes: int = DISK_BYTES) -> None:
        self.folder, self._most = folder, most_bytes
        self._bytes: int | None = None
        """The size of all files; None before the first is written."""

    def read(self, name: str) -> tuple[Pcm, int] | None:
        """A phrase's samples and their rate in hertz; None if it is not here, or damaged."""
        path = self.folder / (name + _SUFFIX)
        try:
            data = path.read_bytes()
            sound, digest = data[:-DIGEST_BYTES], data[-DIGEST_BYTES:]
            if hashlib.sha256(sound).digest() != digest:
                path.unlink(missing_ok=True)
                return None
            if time.time() - path.stat().st_mtime > USED_S:
                os.utime(path)
            samples, rate_hz = soundfile.read(io.BytesIO(sound), dtype="int16")
        except (OSError, soundfile.LibsndfileError):
            return None
        return samples, rate_hz

    def write(self, name: str, samples: Pcm, rate_hz: int) -> None:
        """Keep a phrase; where that fails it is rendered again in the next game."""
        file = io.BytesIO()
        soundfile.write(file, samples, rate_hz, format="FLAC", subtype="PCM_16")
        data = file.getvalue() + hashlib.sha256(file.getvalue()).digest()
        part = self.folder / f"{name}.{os.getpid()}.{threading.get_ident()}.part"
        try:
            self._make_room(len(data))
            make_private(part)
            part.write_bytes(data)
            part.replace(part.with_name(name + _SUFFIX))
        except OSError:
            with suppress(OSError):
                part.unlink(missing_ok=True)

    def _make_room(self, count: int) -> None:
        """Remove phrases where the limit would be exceeded; make the folder at the first call."""
        if self._bytes is None:
            self.folder.mkdir(mode=0o700, parents=True, exist_ok=True)
            self.folder.chmod(0o700)
            self._sweep()
        if self._kept_bytes + count > self._most:
            self._sweep(int(LEFT * self._most) - count)
        self._bytes = self._kept_bytes + count

    @property
    def _kept_bytes(self) -> int:
        return self._bytes or 0

    def _sweep(self, most: int | None = None) -> None:
        """Measure the folder; remove older forms, unfinished files and what exceeds `most`."""
        kept: list[tuple[float, int, Path]] = []
        for path in self.folder.iterdir():
            with suppress(OSError):
                status = path.stat()
                if path.suffix == _SUFFIX:
                    kept.append((status.st_mtime, status.st_size, path))
                elif path.suffix in (".npz", ".part") and time.time() - status.st_mtime > USED_S:
                    path.unlink()
        total = sum(size for _, size, _ in kept)
        for _, size, path in sorted(kept):
            if most is None or total <= most:
                break
            with suppress(OSError):
                path.unlink()
            total -= size
        self._bytes = total
