"""The system's own voice, a process for each phrase, for machines without the voice of the extra.

The voice must give us its samples, for we limit its level, choose the ear and close the ear's gate
meanwhile. So on Linux it is espeak-ng, and not spd-say, which plays by itself.
"""

from __future__ import annotations

import math
import shutil
import subprocess
import tempfile
from collections.abc import Callable, Mapping
from functools import cached_property
from pathlib import Path
from typing import Final

import soundfile

from callout.edges.child_environment import child_environment
from callout.edges.models.catalogue import sha256
from callout.edges.voice.rendered import Rendered
from callout.edges.voice.synthesizer import LIMIT_S
from callout.errors import ModelError

WORDS_A_MINUTE: Final = 175
"""The usual speed of `say` and espeak-ng."""

_SAPI: Final = (
    "Add-Type -AssemblyName System.Speech; "
    "$voice = New-Object System.Speech.Synthesis.SpeechSynthesizer; "
    "$voice.Rate = [int]$env:CALLOUT_RATE; $voice.SetOutputToWaveFile($env:CALLOUT_WAV); "
    "$voice.Speak([Console]::In.ReadToEnd()); $voice.Dispose()"
)


def _say(path: Path, speed: float, _language: str) -> list[str]:
    form = ["--file-format=WAVE", "--data-format=LEI16@22050"]
    return ["-r", str(round(WORDS_A_MINUTE * speed)), "-o", str(path), *form, "-f", "-"]


def _espeak(path: Path, speed: float, language: str) -> list[str]:
    speed_of_it = ["-s", str(round(WORDS_A_MINUTE * speed))]
    return ["-v", language, *speed_of_it, "-w", str(path), "--stdin"]


def _sapi(_path: Path, _speed: float, _language: str) -> list[str]:
    return ["-NoProfile", "-NonInteractive", "-Command", _SAPI]


PROGRAMS: Final[Mapping[str, Callable[[Path, float, str], list[str]]]] = {
    "say": _say,
    "powershell": _sapi,
    "espeak-ng": _espeak,
}
"""The programs of macOS, Windows and Linux, each with its arguments for a file, a speed and a
language; the text is given on standard input. The first that is installed is taken."""

CHOOSES: Final = "espeak-ng"
"""The program that takes a language; the others speak that of the system."""


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


def _has_voice(program: Path, language: str) -> bool:
    """Whether espeak-ng lists a voice of the language, below the line of column heads.

    If it fails to list any, it will say why when it is to speak.
    """
    command = [str(program), f"--voices={language}"]
    listed = subprocess.run(command, env=child_environment(), capture_output=True, check=False)
    return listed.returncode != 0 or len(listed.stdout.splitlines()) > 1


def sapi_rate(speed: float) -> int:
    """The speed in SAPI's steps: ten steps are three times as fast.

    Source: from memory.
    """
    return max(-10, min(10, round(10 * math.log(speed) / math.log(3))))


class SystemSynthesizer:
    """The system's program, run for each text."""

    def __init__(self, language: str) -> None:
        """`language` is a code, such as `es`.

        Raises:
            ModelError: the system has no voice, or none of that language.
        """
        self.program = system_program()
        self.language = language
        if self.program.stem == CHOOSES and not _has_voice(self.program, language):
            raise ModelError(f"{CHOOSES} has no voice for the language {language!r}")
        self.back: Callable[[], None] = lambda: None

    @property
    def name(self) -> str:
        """What a person knows it by."""
        return f"{self.program.stem}, the system's own"

    @cached_property
    def key(self) -> str:
        """The checksum of the program, and the language."""
        return f"{sha256(self.program)}:{self.language}"

    def render(self, text: str, speed: float) -> Rendered:
        """The sound of a text; `speed` 1.2 speaks a fifth faster.

        Raises:
            ModelError: the program fails on this text.
        """
        arguments = PROGRAMS[self.program.stem]
        with tempfile.TemporaryDirectory(prefix="callout-voice-") as made:
            path = Path(made) / "said.wav"
            rate = {"CALLOUT_WAV": str(path), "CALLOUT_RATE": str(sapi_rate(speed))}
            command = [str(self.program), *arguments(path, speed, self.language)]
            try:
                subprocess.run(
                    command, input=text, text=True, encoding="utf-8", check=True, timeout=LIMIT_S,
                    capture_output=True, env=child_environment(rate),
                )  # fmt: skip
                samples, rate_hz = soundfile.read(path, dtype="float32", always_2d=True)
            except (OSError, subprocess.SubprocessError, soundfile.LibsndfileError) as error:
                raise ModelError(
                    f"the voice {self.program.name} failed on {text!r}: {error}"
                ) from None
        return Rendered.of(samples[:, 0], rate_hz)

    def close(self) -> None:
        """Nothing to end: no process runs between two texts."""
