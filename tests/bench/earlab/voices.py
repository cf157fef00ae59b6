"""Nine synthetic voices at three rates; what they say is rendered once and kept."""

from __future__ import annotations

import hashlib
import os
import shutil
import subprocess
import tempfile
from collections.abc import Iterable, Mapping, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from pathlib import Path
from typing import Final

import numpy as np
import soundfile
import soxr

from callout.edges.ear.sound import RATE_HZ
from callout.edges.voice.phrases import cache_folder
from callout.edges.voice.piper import PiperSynthesizer
from callout.edges.voice.tones import Sound

RATES: Final = (0.85, 1.0, 1.2)
"""Speaking rates: a sixth slower than the voice's own, its own, a fifth faster."""

SPEAKERS: Final = {
    "piper joe": ("piper", ""),
    "flite kal16": ("flite", "kal16"),
    "flite awb": ("flite", "awb"),
    "flite rms": ("flite", "rms"),
    "flite slt": ("flite", "slt"),
    "festival kal": ("festival", "voice_kal_diphone"),
    "festival slt": ("festival", "voice_cmu_us_slt_arctic_hts"),
    "espeak us": ("espeak-ng", "en-us"),
    "espeak gb": ("espeak-ng", "en-gb+f3"),
}
"""Each voice, with the program that speaks it and the voice's name in that program."""

OTHERS: Final = {
    "espeak scotland": ("espeak-ng", "en-gb-scotland+m8"),
    "espeak rp": ("espeak-ng", "en-gb-x-rp+f2"),
    "espeak caribbean": ("espeak-ng", "en-029+m7"),
    "flite kal": ("flite", "kal"),
}
"""Held-out voices: no threshold was chosen and nothing was trained with them. Of the voices above,
`piper joe` and `flite rms` were used to train the recognizer's network."""

ESPEAK_WORDS_A_MINUTE: Final = 150


@dataclass(frozen=True, slots=True, order=True)
class Line:
    """A text in a voice, at a rate."""

    voice: str
    rate: float
    text: str


def voices(of: Mapping[str, tuple[str, str]]) -> tuple[str, ...]:
    """The voices that are installed on this machine."""
    return tuple(name for name in of if of[name][0] == "piper" or shutil.which(of[name][0]))


class Library:
    """Texts as sound at the recognizer's rate, from -1 to 1, kept in a folder between runs."""

    def __init__(
        self, folder: Path | None = None, speakers: Mapping[str, tuple[str, str]] | None = None
    ) -> None:
        """The folder that keeps the sounds, and the voices, if they are not those above."""
        self._speakers = speakers or SPEAKERS | OTHERS
        self._folder = folder or cache_folder().with_name("bench")
        self._folder.mkdir(parents=True, exist_ok=True)
        self._piper: PiperSynthesizer | None = None

    def prepare(self, lines: Iterable[Line]) -> None:
        """Render all lines that are not in the folder yet."""
        by_kind: dict[str, list[Line]] = {}
        for line in sorted({line for line in lines if not self._path(line).is_file()}):
            by_kind.setdefault(self._kind(line), []).append(line)
        jobs = [same[at : at + 40] for same in by_kind.values() for at in range(0, len(same), 40)]
        with ThreadPoolExecutor(os.cpu_count()) as pool:
            list(pool.map(self._render, jobs))

    def sound(self, line: Line) -> Sound:
        """A text's sound without the silence at its edges."""
        path = self._path(line)
        if not path.is_file():
            self._render([line])
        data: Sound = soundfile.read(path, dtype="float32")[0]
        return data

    def _path(self, line: Line) -> Path:
        key = hashlib.sha256(f"{line.voice}|{line.rate}|{line.text}".encode()).hexdigest()
        return self._folder / f"{key[:24]}.flac"

    def _render(self, lines: Sequence[Line]) -> None:
        with tempfile.TemporaryDirectory() as folder:
            paths = [Path(folder) / f"{at}.wav" for at in range(len(lines))]
            kind = self._kind(lines[0])
            if kind == "festival":
                _festival(lines, paths, self._speakers)
            for line, path in zip(lines, paths, strict=True):
                if kind == "piper":
                    self._speak_piper(line, path)
                elif kind != "festival":
                    command = _command(line, path, *self._speakers[line.voice])
                    subprocess.run(command, check=True, capture_output=True)
                data, rate_hz = soundfile.read(path, dtype="float32")
                soundfile.write(self._path(line), _trimmed(data, rate_hz), RATE_HZ)

    def _kind(self, line: Line) -> str:
        return self._speakers[line.voice][0]

    def _speak_piper(self, line: Line, path: Path) -> None:
        self._piper = self._piper or PiperSynthesizer()
        made = self._piper.render(line.text, line.rate)
        soundfile.write(path, made.samples, made.rate_hz)


def _command(line: Line, path: Path, kind: str, name: str) -> list[str]:
    if kind == "flite":
        stretch = f"duration_stretch={1 / line.rate:.3f}"
        return ["flite", "-voice", name, "--setf", stretch, "-t", line.text, "-o", str(path)]
    speed = str(round(ESPEAK_WORDS_A_MINUTE * line.rate))
    return ["espeak-ng", "-v", name, "-s", speed, "-w", str(path), line.text]


def _festival(
    lines: Sequence[Line], paths: Sequence[Path], speakers: Mapping[str, tuple[str, str]]
) -> None:
    """Renders many texts in one run, since loading the voices takes a third of a second."""
    orders = []
    for line, path in zip(lines, paths, strict=True):
        name = speakers[line.voice][1]
        orders.append(f"({name})")
        # The two kinds of voice have different commands for the rate.
        orders.append(f"(Parameter.set 'Duration_Stretch {1 / line.rate:.3f})")
        if "hts" in name:
            rate = f'\'(("-r" {line.rate}))'
            orders.append(f"(set! hts_engine_params (append hts_engine_params {rate}))")
        orders.append(f'(utt.save.wave (utt.synth (Utterance Text "{line.text}")) "{path}" \'riff)')
    script = paths[0].with_suffix(".scm")
    script.write_text("\n".join(orders), encoding="utf-8")
    subprocess.run(["festival", "-b", str(script)], check=True, capture_output=True)


def _trimmed(data: Sound, rate_hz: int) -> Sound:
    sound = soxr.resample(data, rate_hz, RATE_HZ) if rate_hz != RATE_HZ else data
    loud = np.flatnonzero(np.abs(sound) > 0.01 * np.abs(sound).max())
    out: Sound = sound[loud[0] : loud[-1] + 1] if len(loud) else sound
    return out / max(1e-9, float(np.abs(out).max())) * 0.6
