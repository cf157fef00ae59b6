"""The voice into a WAV file: for machines without a sound device, and for tests."""

from __future__ import annotations

import queue
import sys
import threading
from collections import deque
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from pathlib import Path
from typing import Final

import numpy as np
import soundfile

from callout.edges.voice.phrases import Phrases
from callout.edges.voice.sounding import limited, sound_or_tone
from callout.edges.voice.tones import Sound
from callout.errors import DeviceError
from callout.table.book.files import make_private, why
from callout.table.speech.delivery import Delivery

WAV_RATE_HZ: Final = 22_050


@dataclass(slots=True)
class _Asked:
    """Something to be said."""

    text: str
    tone_name: str
    at: int
    """The sample at which it was asked for."""
    delivery: Delivery
    until: int | None = None
    """The sample at which it was stopped."""


def free_file(path: Path) -> Path:
    """A new, empty file of that name, or with a number added, which only the user may read.

    It overwrites nothing and follows no link.

    Raises:
        DeviceError: none can be made.
    """
    numbered = (path.with_stem(f"{path.stem}-{nth}") for nth in range(2, 100))
    for name in (path, *numbered):
        try:
            make_private(name)
        except FileExistsError:
            continue
        except OSError as error:
            raise DeviceError(f"{name}: cannot be written: {why(error)}") from None
        return name
    raise DeviceError(f"{path}: there are a hundred such files already: name another")


class WavVoice:
    """Speaks into a WAV file, each sound at the time given by `now_s`.

    The file is written as time passes: after a crash it has all that sounded before.
    """

    tells = False

    def __init__(self, path: Path, phrases: Phrases, now_s: Callable[[], float]) -> None:
        """`path` is a file to overwrite; `now_s` gives seconds since the beginning."""
        self.path = path
        self._phrases = phrases
        self._now_s = now_s
        self._asked: queue.Queue[_Asked | None] = queue.Queue()
        self._unmade: deque[_Asked] = deque()
        """What is not rendered yet, in the order of the requests."""
        self._parts: deque[tuple[int, Sound]] = deque()
        self._lock = threading.Lock()
        self._end = 0
        self._written = 0
        self._begun = False
        self._delivery = Delivery()
        self._thread = threading.Thread(target=self._work, name="wav voice", daemon=True)
        self._thread.start()

    def speak(self, text: str, tone_name: str = "") -> None:
        """Places the sound at the current time, or after what is being said.

        It is rendered on another thread: a synthesizer that hangs must not stop the game.
        """
        asked = _Asked(text, tone_name, self._now(), self._delivery)
        with self._lock:
            self._unmade.append(asked)
        self._asked.put(asked)

    def hush(self) -> None:
        """Cuts what would sound after the current time."""
        now = self._now()
        with self._lock:
            for asked in self._unmade:
                asked.until = now if asked.until is None else asked.until
            kept = [(start, sound[: max(0, now - start)]) for start, sound in self._parts]
            self._parts = deque((start, sound) for start, sound in kept if len(sound))
            self._end = min(self._end, now)

    def _work(self) -> None:
        while (asked := self._asked.get()) is not None:
            try:
                self._place(asked, self._made(asked))
                self._write()
            except DeviceError as error:
                # A full disk costs a reply, but neither the voice nor the game.
                print(f"voice: {error}", file=sys.stderr, flush=True)
            finally:
                self._asked.task_done()

    def _made(self, asked: _Asked) -> Sound:
        how = asked.delivery
        sound = sound_or_tone(self._phrases, asked.text, asked.tone_name, WAV_RATE_HZ, how.speed)
        return limited(sound, how.gain)

    def _place(self, asked: _Asked, sound: Sound) -> None:
        with self._lock:
            self._unmade.remove(asked)
            start = max(self._end, asked.at)
            if asked.until is not None:
                sound = sound[: max(0, asked.until - start)]
            if len(sound):
                self._parts.append((start, sound))
                self._end = start + len(sound)

    def deliver(self, delivery: Delivery) -> None:
        """Sets the speed and the volume from now on."""
        self._delivery = delivery

    def prepare(self, texts: Iterable[str]) -> None:
        """Renders these in the background, in place of those that were prepared last."""
        self._phrases.prepare(texts, self._delivery.speed)

    def write(self) -> None:
        """Writes what has sounded by now, once all requests are rendered.

        Raises:
            DeviceError: the file cannot be written.
        """
        self._asked.join()
        self._write()

    def _write(self) -> None:
        now = self._now()
        with self._lock:
            while self._parts and self._parts[0][0] + len(self._parts[0][1]) <= now:
                self._append(*self._parts.popleft())
            self._append(self._written, np.zeros(0, dtype=np.float32))

    def close(self) -> None:
        """Writes the rest; if nothing was said, a tenth of a second of silence.

        Raises:
            DeviceError: the file cannot be written.
        """
        self._asked.put(None)
        self._thread.join()
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
