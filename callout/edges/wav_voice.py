"""The voice into a WAV file: for machines without a sound device, and for tests."""

from __future__ import annotations

import sys
from collections import deque
from collections.abc import Callable, Iterable
from pathlib import Path
from typing import Final

import numpy as np
import soundfile

from callout.edges.phrases import Phrases
from callout.edges.sounding import limited, sound_or_tone
from callout.edges.tones import Sound
from callout.errors import DeviceError
from callout.table.delivery import Delivery

WAV_RATE_HZ: Final = 22_050


class WavVoice:
    """Speaks into a WAV file, each sound at the moment that `now_s` gives.

    What has sounded is written as time passes: after a crash the file holds all up to then.
    """

    tells = False

    def __init__(self, path: Path, phrases: Phrases, now_s: Callable[[], float]) -> None:
        self.path = path
        self._phrases = phrases
        self._now_s = now_s
        self._parts: deque[tuple[int, Sound]] = deque()
        self._end = 0
        self._written = 0
        self._begun = False
        self._delivery = Delivery()

    def speak(self, text: str, tone_name: str = "") -> None:
        """Puts the sound at the present moment, or after what is being said."""
        sound = sound_or_tone(self._phrases, text, tone_name, WAV_RATE_HZ, self._delivery.speed)
        sound = limited(sound, self._delivery.gain)
        start = max(self._end, self._now())
        self._parts.append((start, sound))
        self._end = start + len(sound)
        try:
            self.write()
        except DeviceError as error:
            # A full disk takes the voice, but not the game.
            print(f"voice: {error}", file=sys.stderr, flush=True)

    def hush(self) -> None:
        """Cuts what would sound after the present moment."""
        now = self._now()
        kept = [(start, sound[: max(0, now - start)]) for start, sound in self._parts]
        self._parts = deque((start, sound) for start, sound in kept if len(sound))
        self._end = min(self._end, now)

    def deliver(self, delivery: Delivery) -> None:
        """Speaks so fast and so loud from now on."""
        self._delivery = delivery

    def prepare(self, texts: Iterable[str]) -> None:
        """Renders these in the background, in place of what was last asked for in this way."""
        self._phrases.prepare(texts, self._delivery.speed)

    def write(self) -> None:
        """Writes what has sounded by now.

        Raises:
            DeviceError: the file cannot be written.
        """
        now = self._now()
        while self._parts and self._parts[0][0] + len(self._parts[0][1]) <= now:
            self._append(*self._parts.popleft())
        self._append(self._written, np.zeros(0, dtype=np.float32))

    def close(self) -> None:
        """Writes the rest; a file in which nothing was said is a tenth of a second of silence.

        Raises:
            DeviceError: the file cannot be written.
        """
        while self._parts:
            self._append(*self._parts.popleft())
        if self._written == 0:
            self._append(WAV_RATE_HZ // 10, np.zeros(0, dtype=np.float32))
        self._phrases.close()

    def _now(self) -> int:
        return round(self._now_s() * WAV_RATE_HZ)

    def _append(self, start: int, sound: Sound) -> None:
        quiet = np.zeros(start - self._written, dtype=np.float32)
        mode = "r+" if self._begun else "w"
        format_ = {} if self._begun else {"samplerate": WAV_RATE_HZ, "channels": 1, "format": "WAV"}
        try:
            with soundfile.SoundFile(self.path, mode, **format_) as file:
                file.seek(0, soundfile.SEEK_END)
                file.write(np.concatenate([quiet, sound]))
        except (OSError, soundfile.LibsndfileError) as error:
            raise DeviceError(f"{self.path}: cannot be written: {error}") from None
        self._begun = True
        self._written = start + len(sound)
