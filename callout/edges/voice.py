"""The voices of the table: through a sound device, into a WAV file, or in print.

All keep the same promise: `speak` sounds a tone and then a text, one after another; `hush` stops
at once; `told` is called as each begins and ends, so that the ear can be closed meanwhile.
"""

from __future__ import annotations

import queue
import sys
import threading
from collections.abc import Callable
from pathlib import Path
from typing import Final, Protocol

import numpy as np
import soundfile

from callout.edges.phrases import Phrases, cache_folder
from callout.edges.player import Player, has_output
from callout.edges.tones import Sound, tone
from callout.errors import CalloutError, DeviceError, ModelError

WAV_RATE_HZ: Final = 22_050

Told = Callable[[str, str], None]
"""Called with `started` or `finished` and the text."""


def ignore(what: str, text: str) -> None:
    """Tells nobody."""


class Voice(Protocol):
    """Something that speaks."""

    def speak(self, text: str, tone_name: str = "") -> None:
        """Sounds the tone, if one is named, and then says the text, if there is one."""

    def hush(self) -> None:
        """Stops at once, and forgets what was still to be said."""

    def close(self) -> None:
        """Ends when all has been said."""


class PrintVoice:
    """Says everything in print: for machines that have no sound."""

    def __init__(self, told: Told = ignore) -> None:
        self._told = told

    def speak(self, text: str, tone_name: str = "") -> None:
        """Prints the text, or the tone's name where there is none."""
        self._told("started", text)
        print(f"  > {text}" if text else f"  > ({tone_name})", file=sys.stderr, flush=True)
        self._told("finished", text)

    def hush(self) -> None:
        """Print cannot be interrupted."""

    def close(self) -> None:
        """Nothing is left to be said."""


class WavVoice:
    """Speaks into a WAV file, each sound at the moment that `now_s` gives."""

    def __init__(self, path: Path, phrases: Phrases, now_s: Callable[[], float]) -> None:
        self.path = path
        self._phrases = phrases
        self._now_s = now_s
        self._parts: list[tuple[int, Sound]] = []
        self._end = 0

    def speak(self, text: str, tone_name: str = "") -> None:
        """Puts the sound at the present moment, or after what is being said."""
        sound = sounding(self._phrases, text, tone_name, WAV_RATE_HZ)
        start = max(self._end, round(self._now_s() * WAV_RATE_HZ))
        self._parts.append((start, sound))
        self._end = start + len(sound)

    def hush(self) -> None:
        """Cuts what would sound after the present moment."""
        now = round(self._now_s() * WAV_RATE_HZ)
        kept = [(start, sound[: max(0, now - start)]) for start, sound in self._parts]
        self._parts = [(start, sound) for start, sound in kept if len(sound)]
        self._end = min(self._end, now)

    def close(self) -> None:
        """Writes the file."""
        whole = np.zeros(max(self._end, 1), dtype=np.float32)
        for start, sound in self._parts:
            whole[start : start + len(sound)] += sound
        try:
            soundfile.write(self.path, whole, WAV_RATE_HZ, subtype="PCM_16")
        except (OSError, soundfile.LibsndfileError) as error:
            raise DeviceError(f"{self.path}: cannot be written: {error}") from None


class DeviceVoice:
    """Speaks through a sound device; phrases are rendered and played by a thread of its own."""

    def __init__(
        self, phrases: Phrases, device: str | None = None, ears: str = "both", told: Told = ignore
    ) -> None:
        """`ears` is left, right or both."""
        self._phrases = phrases
        self._told = told
        self._player = Player(device, ears, self._ended)
        self._wanted: queue.Queue[tuple[int, str, str] | None] = queue.Queue()
        self._turn = 0
        self._thread = threading.Thread(target=self._work, name="voice", daemon=True)
        self._thread.start()

    def speak(self, text: str, tone_name: str = "") -> None:
        """Queues the tone and the text; what was rendered before starts at once."""
        self._wanted.put((self._turn, text, tone_name))

    def hush(self) -> None:
        """Stops within a hundredth of a second."""
        self._turn += 1
        self._player.stop()

    def close(self) -> None:
        """Waits until all has been said, then frees the device."""
        self._wanted.put(None)
        self._thread.join()
        self._player.drain()
        self._player.close()
        self._phrases.close()

    def _work(self) -> None:
        while (wanted := self._wanted.get()) is not None:
            turn, text, tone_name = wanted
            try:
                sound = sounding(self._phrases, text, tone_name, self._player.rate_hz)
            except ModelError as error:
                print(error, file=sys.stderr)
                sound = tone("attention", self._player.rate_hz)
            if turn == self._turn:
                self._told("started", text)
                self._player.play(text, sound)

    def _ended(self, text: str) -> None:
        self._told("finished", text)


def sounding(phrases: Phrases, text: str, tone_name: str, rate_hz: int) -> Sound:
    """The samples of a tone and a text after it."""
    parts = [tone(tone_name, rate_hz)] if tone_name else []
    if text:
        parts.append(phrases.render(text).at(rate_hz))
    return np.concatenate(parts) if parts else np.zeros(0, dtype=np.float32)


def open_voice(
    choice: str, now_s: Callable[[], float], device: str | None = None, told: Told = ignore
) -> Voice:
    """The voice of that choice: `auto`, `print`, a WAV file to write, or a piper model to use.

    `auto` is the best that this machine can do, and says in one line why it is not more.

    Raises:
        CalloutError: what was chosen by name cannot be had.
    """
    if choice == "print":
        return PrintVoice(told)
    if choice.endswith(".wav"):
        return WavVoice(Path(choice), Phrases(folder=cache_folder()), now_s)
    try:
        phrases = Phrases(None if choice == "auto" else Path(choice), cache_folder())
        if not has_output():
            raise DeviceError("no sound device was found: replies are printed")
        return DeviceVoice(phrases, device, told=told)
    except CalloutError as error:
        if choice != "auto":
            raise
        print(error, file=sys.stderr)
        return PrintVoice(told)
