"""The voices of the table: through a sound device, into a WAV file, or in print.

All keep the same promise: `speak` sounds a tone and then a text, one after another; `hush` stops
at once; `told` is called as each begins and ends, so that the ear can be closed meanwhile.
"""

from __future__ import annotations

import queue
import sys
import threading
from collections import deque
from collections.abc import Callable, Iterable
from pathlib import Path
from typing import Final, Protocol

import numpy as np
import soundfile

from callout.edges.phrases import Phrases, cache_folder, sentences
from callout.edges.player import Player, Speech, has_output
from callout.edges.tones import Sound, tone
from callout.errors import CalloutError, DeviceError, ModelError

WAV_RATE_HZ: Final = 22_050

Told = Callable[[str, str], None]
"""Called with the text and `started`, then `finished`, or `stopped` where it was cut short; and
with the kind of a notice and `notice`, where the voice or the headset was gone and is back."""


def ignore(what: str, text: str) -> None:
    """Tells nobody."""


class Voice(Protocol):
    """Something that speaks."""

    def speak(self, text: str, tone_name: str = "") -> None:
        """Sounds the tone, if one is named, and then says the text, if there is one."""

    def hush(self) -> None:
        """Stops at once, and forgets what was still to be said."""

    def prepare(self, texts: Iterable[str]) -> None:
        """Makes ready what may have to be said soon, where that saves time."""

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

    def prepare(self, texts: Iterable[str]) -> None:
        """Print needs no time."""

    def close(self) -> None:
        """Nothing is left to be said."""


class WavVoice:
    """Speaks into a WAV file, each sound at the moment that `now_s` gives.

    What has sounded is written as time passes: after a crash the file holds all up to then.
    """

    def __init__(self, path: Path, phrases: Phrases, now_s: Callable[[], float]) -> None:
        self.path = path
        self._phrases = phrases
        self._now_s = now_s
        self._parts: deque[tuple[int, Sound]] = deque()
        self._end = 0
        self._written = 0
        self._begun = False

    def speak(self, text: str, tone_name: str = "") -> None:
        """Puts the sound at the present moment, or after what is being said."""
        sound = _sound_or_tone(self._phrases, text, tone_name, WAV_RATE_HZ)
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

    def prepare(self, texts: Iterable[str]) -> None:
        """Renders these in the background, in place of what was last asked for in this way."""
        self._phrases.prepare(texts)

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


class DeviceVoice:
    """Speaks through a sound device; phrases are rendered and played by a thread of its own."""

    def __init__(
        self, phrases: Phrases, device: str | None = None, ears: str = "both", told: Told = ignore
    ) -> None:
        """`ears` is left, right or both."""
        self._phrases = phrases
        self._told = told
        self._player = Player(device, ears, self._ended, lambda: told("notice", "headset_back"))
        phrases.back = lambda: told("notice", "voice_back")
        self._wanted: queue.Queue[tuple[Speech, str] | None] = queue.Queue()
        self._thread = threading.Thread(target=self._work, name="voice", daemon=True)
        self._thread.start()

    def speak(self, text: str, tone_name: str = "") -> None:
        """Queues the tone and the text; what was rendered before starts at once."""
        self._wanted.put((Speech(text, self._player.turn), tone_name))

    def hush(self) -> None:
        """Stops within a hundredth of a second."""
        self._player.stop()

    def prepare(self, texts: Iterable[str]) -> None:
        """Renders these in the background, in place of what was last asked for in this way."""
        self._phrases.prepare(texts)

    def close(self) -> None:
        """Waits until all has been said, then frees the device."""
        self._wanted.put(None)
        self._thread.join()
        self._player.drain()
        self._player.close()
        self._phrases.close()

    def _work(self) -> None:
        while (wanted := self._wanted.get()) is not None:
            self._say(*wanted)

    def _say(self, speech: Speech, tone_name: str) -> None:
        """Plays each sentence as soon as it is there, while the next one is rendered."""
        self._told("started", speech.name)
        if tone_name:
            self._player.add(speech, tone(tone_name, self._player.rate_hz))
        for sentence in sentences(speech.name):
            if speech.turn == self._player.turn:
                sound = _sound_or_tone(self._phrases, sentence, "", self._player.rate_hz)
                self._player.add(speech, sound)
        self._player.add(speech, np.zeros(0, dtype=np.float32), last=True)

    def _ended(self, speech: Speech, whole: bool) -> None:
        self._told("finished" if whole else "stopped", speech.name)


def _sound_or_tone(phrases: Phrases, text: str, tone_name: str, rate_hz: int) -> Sound:
    """The samples; where the voice fails, the words in print and a tone."""
    try:
        return sounding(phrases, text, tone_name, rate_hz)
    except ModelError as error:
        print(f"voice: {error}\n  > {text}", file=sys.stderr, flush=True)
        return tone(tone_name or "attention", rate_hz)


def sounding(phrases: Phrases, text: str, tone_name: str, rate_hz: int) -> Sound:
    """The samples of a tone and a text after it."""
    parts = [tone(tone_name, rate_hz)] if tone_name else []
    parts += [phrases.render(sentence).at(rate_hz) for sentence in sentences(text)]
    return np.concatenate(parts) if parts else np.zeros(0, dtype=np.float32)


def replies_file(game: Path) -> Path:
    """Where replies are spoken to if there is no sound device; no game writes over another's."""
    names = ("-replies.wav", *(f"-replies-{nth}.wav" for nth in range(2, 100)))
    paths = [game.with_name(game.name + name) for name in names]
    return next((path for path in paths if not path.exists()), paths[-1])


def open_voice(
    choice: str,
    now_s: Callable[[], float],
    device: str | None = None,
    told: Told = ignore,
    otherwise: Path | None = None,
) -> Voice:
    """The voice of that choice: `auto`, `print`, a WAV file to write, or a piper model to use.

    `auto` is the best that this machine can do, and says in one line why it is not more: without a
    sound device the WAV file `otherwise`, if one is named; without a voice, print.

    Raises:
        CalloutError: what was chosen by name cannot be had.
    """
    if choice == "print":
        return PrintVoice(told)
    if choice.endswith(".wav"):
        return _file_voice(Path(choice), now_s)
    try:
        phrases = Phrases(None if choice == "auto" else Path(choice), cache_folder())
        return _aloud(phrases, now_s, device, told, otherwise if choice == "auto" else None)
    except CalloutError as error:
        if choice != "auto":
            raise
        print(f"voice: {error}: replies are printed", file=sys.stderr)
        return PrintVoice(told)


def _aloud(
    phrases: Phrases,
    now_s: Callable[[], float],
    device: str | None,
    told: Told,
    otherwise: Path | None,
) -> Voice:
    try:
        if not has_output():
            raise DeviceError("no sound device was found")
        return DeviceVoice(phrases, device, told=told)
    except DeviceError as error:
        if otherwise is None:
            raise
        print(f"voice: {error}: replies are spoken into {otherwise}", file=sys.stderr)
        return _file_voice(otherwise, now_s)


def _file_voice(path: Path, now_s: Callable[[], float]) -> WavVoice:
    opened_s = now_s()
    voice = WavVoice(path, Phrases(folder=cache_folder()), lambda: now_s() - opened_s)
    voice.write()
    return voice
