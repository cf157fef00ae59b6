"""The system's own voice, a process for each phrase: for machines without the one that is fetched.

Only voices that give their sound away will do: the level that cannot hurt, the one ear and the gate
of the ear are ours to keep. So on Linux it is espeak-ng, and not spd-say in front of it, which
plays by itself.
"""

from __future__ import annotations

import math
import os
import shutil
import subprocess
import tempfile
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Final

import soundfile

from callout.edges.phrases import LIMIT_S, Phrases, Rendered
from callout.edges.tones import faded
from callout.errors import ModelError

WORDS_A_MINUTE: Final = 175
"""The usual speed of `say` and espeak-ng."""

_SAPI: Final = (
    "Add-Type -AssemblyName System.Speech; "
    "$voice = New-Object System.Speech.Synthesis.SpeechSynthesizer; "
    "$voice.Rate = [int]$env:CALLOUT_RATE; $voice.SetOutputToWaveFile($env:CALLOUT_WAV); "
    "$voice.Speak([Console]::In.ReadToEnd()); $voice.Dispose()"
)


def _say(path: Path, speed: float) -> list[str]:
    form = ["--file-format=WAVE", "--data-format=LEI16@22050"]
    return ["-r", str(round(WORDS_A_MINUTE * speed)), "-o", str(path), *form, "-f", "-"]


def _espeak(path: Path, speed: float) -> list[str]:
    return ["-s", str(round(WORDS_A_MINUTE * speed)), "-w", str(path), "--stdin"]


def _sapi(path: Path, speed: float) -> list[str]:
    return ["-NoProfile", "-NonInteractive", "-Command", _SAPI]


PROGRAMS: Final[Mapping[str, Callable[[Path, float], list[str]]]] = {
    "say": _say,
    "powershell": _sapi,
    "espeak-ng": _espeak,
}
"""What speaks on macOS, on Windows and on Linux, with how it is told where to write and how fast;
the text comes on its standard input. The first that is there is taken."""


def system_program() -> Path:
    """The program that speaks on this machine.

    Raises:
        ModelError: there is none.
    """
    for name in PROGRAMS:
        if found := shutil.which(name):
            return Path(found)
    raise ModelError("this system has no voice of its own: install espeak-ng, or --voice print")


def has_system_voice() -> bool:
    """Whether this machine has a voice of its own."""
    return any(shutil.which(name) for name in PROGRAMS)


def sapi_rate(speed: float) -> int:
    """The speed in the steps of SAPI, of which ten are three times as fast.

    Source: from memory.
    """
    return max(-10, min(10, round(10 * math.log(speed) / math.log(3))))


class SystemPhrases(Phrases):
    """Texts to sound by the system's own voice, with the same memory."""

    def __init__(self, folder: Path | None = None) -> None:
        """`folder` keeps rendered phrases; None keeps none beyond this process.

        Raises:
            ModelError: the system has no voice.
        """
        super().__init__(system_program(), folder)

    def _ask(self, text: str, speed: float) -> Rendered:
        arguments = PROGRAMS[self.model.stem]
        with tempfile.TemporaryDirectory(prefix="callout-voice-") as made:
            path = Path(made) / "said.wav"
            rate = {"CALLOUT_WAV": str(path), "CALLOUT_RATE": str(sapi_rate(speed))}
            command = [str(self.model), *arguments(path, speed)]
            try:
                subprocess.run(
                    command, input=text, text=True, encoding="utf-8", check=True, timeout=LIMIT_S,
                    capture_output=True, env={**os.environ, **rate},
                )  # fmt: skip
                samples, rate_hz = soundfile.read(path, dtype="float32", always_2d=True)
            except (OSError, subprocess.SubprocessError, soundfile.LibsndfileError) as error:
                raise ModelError(
                    f"the voice {self.model.name} failed on {text!r}: {error}"
                ) from None
        return Rendered(faded(samples[:, 0], rate_hz), rate_hz)
