"""The voices of the table: through a sound device, into a WAV file, or in print.

Of each, `speak` sounds a tone and then a text, one request after another, and `hush` stops at once.
Print and devices call `told` when each begins and ends, so that the ear can be closed meanwhile; a
file does not, as no ear hears it.
"""

from __future__ import annotations

import sys
from collections import deque
from collections.abc import Callable, Iterable
from pathlib import Path
from typing import Final, Protocol

from callout.edges.sound_devices import has_output
from callout.edges.voice.device import DeviceVoice, Told, ignore
from callout.edges.voice.phrases import Phrases, cache_folder
from callout.edges.voice.piper import PiperSynthesizer
from callout.edges.voice.synthesizer import Synthesizer
from callout.edges.voice.system import SystemSynthesizer, has_system_voice
from callout.edges.voice.wav import WavVoice, free_file
from callout.errors import CalloutError, DeviceError, ModelError
from callout.table.speech.delivery import Delivery

SYSTEM: Final = "system"
"""The choice of the system's own voice."""

ENGLISH: Final = "en"
"""The language of the voice that comes as an extra."""


MOST_SHOWN: Final = 20
"""The replies on the screen that a voice in print remembers."""


class Voice(Protocol):
    """Something that speaks."""

    tells: bool
    """Whether it calls `told`, as all but files do."""

    def speak(self, text: str, tone_name: str = "") -> None:
        """Sounds the tone, if one is named, and then says the text, if there is one."""

    def hush(self) -> None:
        """Stops at once, and drops what was still to be said."""

    def deliver(self, delivery: Delivery) -> None:
        """Sets the speed and the volume from now on."""

    def prepare(self, texts: Iterable[str]) -> None:
        """Renders what may have to be said soon, where that saves time."""

    def close(self) -> None:
        """Ends when all has been said."""


class PrintVoice:
    """Says everything in print: for machines that have no sound."""

    tells = True

    def __init__(self, told: Told = ignore) -> None:
        self._told = told
        self._shown: deque[str] = deque(maxlen=MOST_SHOWN)

    def shown(self, text: str) -> None:
        """A text that stands on the screen: what it holds is not printed once more."""
        self._shown.append(text)

    def speak(self, text: str, tone_name: str = "") -> None:
        """Prints the text, or the tone's name where there is none."""
        self._told("started", text)
        if not self._stands_there(text):
            print(f"  > {text}" if text else f"  > ({tone_name})", file=sys.stderr, flush=True)
        self._told("finished", text)

    def _stands_there(self, text: str) -> bool:
        """Whether the screen shows the text; what comes again later is printed."""
        for nth, line in enumerate(self._shown):
            if text and text in line:
                self._shown[nth] = line.replace(text, "", 1)
                return True
        return False

    def hush(self) -> None:
        """Print cannot be interrupted."""

    def deliver(self, delivery: Delivery) -> None:
        """Print is neither fast nor loud."""

    def prepare(self, texts: Iterable[str]) -> None:
        """Print needs no time."""

    def close(self) -> None:
        """Nothing is left to be said."""


def replies_file(game: Path) -> Path:
    """The file for replies where there is no sound device; a number is added if it exists."""
    return game.with_name(f"{game.name}-replies.wav")


def open_voice(
    choice: str,
    now_s: Callable[[], float],
    *,
    ears: str,
    device: str | None = None,
    told: Told = ignore,
    otherwise: Path | None = None,
    language: str = ENGLISH,
) -> Voice:
    """The voice of that choice: `auto`, `system`, `print`, a WAV file to write, or a piper model.

    `auto` is the best that this machine can do, and prints in one line why it is not more. Without
    a sound device it is the WAV file `otherwise`, if given; without a voice, print. `language` is
    the code of what will be said. What is not English is spoken by the system's own voice, as the
    voice that comes as an extra speaks English; the language of a piper model is not checked.

    Raises:
        CalloutError: what was chosen by name cannot be had.
    """
    if choice == "print":
        return PrintVoice(told)
    if choice.endswith(".wav"):
        return _file_voice(Path(choice), now_s, phrases_for("auto", language))
    try:
        instead = otherwise if choice in ("auto", SYSTEM) else None
        return _aloud(phrases_for(choice, language), now_s, device, told, instead, ears)
    except CalloutError as error:
        if choice != "auto":
            raise
        print(f"voice: {error}: replies are printed", file=sys.stderr)
        return PrintVoice(told)


def phrases_for(choice: str, language: str) -> Phrases:
    """What speaks texts in the voice of that choice, as `open_voice` takes it.

    Raises:
        CalloutError: it cannot be had.
    """
    return Phrases(synthesizer_of(choice, language), cache_folder())


def synthesizer_of(choice: str, language: str) -> Synthesizer:
    """A piper model, or the system's own voice where that is chosen or the only one.

    Raises:
        ModelError: it cannot be had.
    """
    if choice == SYSTEM:
        return SystemSynthesizer(language)
    if choice == "auto" and language != ENGLISH:
        if not has_system_voice():
            raise ModelError(f"no voice for {language!r}: install espeak-ng, or --voice FILE.onnx")
        print(f"voice: {language!r} is spoken by the system's own voice", file=sys.stderr)
        return SystemSynthesizer(language)
    try:
        return PiperSynthesizer(None if choice == "auto" else Path(choice))
    except ModelError:
        if choice != "auto" or not has_system_voice():
            raise
        return SystemSynthesizer(language)


def _aloud(
    phrases: Phrases,
    now_s: Callable[[], float],
    device: str | None,
    told: Told,
    otherwise: Path | None,
    ears: str,
) -> Voice:
    try:
        if not has_output():
            raise DeviceError("no sound device was found")
        return DeviceVoice(phrases, ears, device, told)
    except DeviceError as error:
        if otherwise is None:
            raise
        print(f"voice: {error}", file=sys.stderr)
        return _file_voice(otherwise, now_s, phrases)


def _file_voice(path: Path, now_s: Callable[[], float], phrases: Phrases) -> WavVoice:
    path, opened_s = free_file(path), now_s()
    print(f"voice: replies are spoken into {path}", file=sys.stderr)
    voice = WavVoice(path, phrases, lambda: now_s() - opened_s)
    voice.write()
    return voice
