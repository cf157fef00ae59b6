"""The system's own voice: the one that this machine has, in real processes."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from callout.edges.system_voice import PROGRAMS, SystemPhrases, sapi_rate, system_program
from callout.edges.voice import open_voice
from callout.edges.wav_voice import WavVoice
from callout.errors import ModelError


@pytest.fixture
def phrases(tmp_path: Path) -> SystemPhrases:
    """The voice with a memory of its own."""
    return SystemPhrases(tmp_path / "phrases")


def test_it_speaks_and_remembers(phrases: SystemPhrases, tmp_path: Path) -> None:
    made = phrases.render("Home two, number five.")
    assert 0.8 < len(made.samples) / made.rate_hz < 4.0
    assert np.abs(made.samples).max() > 0.05
    again = SystemPhrases(tmp_path / "phrases").known("Home two, number five.")
    assert again is not None
    assert np.array_equal(again.samples, made.samples)


def test_faster_is_shorter_and_another_text_another_sound(phrases: SystemPhrases) -> None:
    plain, fast = phrases.render("Home two."), phrases.render("Home two.", 1.5)
    assert len(fast.samples) < 0.85 * len(plain.samples)
    assert len(phrases.render("Guest three, number fifteen.").samples) > len(plain.samples)


def test_what_a_shell_would_take_for_itself_is_only_spoken(
    phrases: SystemPhrases, tmp_path: Path
) -> None:
    phrases.render(f"$(touch {tmp_path}/a); -w {tmp_path}/b")
    assert [path.name for path in tmp_path.iterdir()] == ["phrases"]


def test_it_is_chosen_by_name(tmp_path: Path) -> None:
    now = [0.0]
    voice = open_voice("system", lambda: now[0], otherwise=tmp_path / "a.wav")
    try:
        voice.speak("Home two.")
    finally:
        voice.close()
    if isinstance(voice, WavVoice):
        assert (tmp_path / "a.wav").stat().st_size > 10_000


def test_a_system_without_a_voice_says_what_to_do(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("PATH", "/nowhere")
    with pytest.raises(ModelError, match="install espeak-ng, or --voice print"):
        system_program()


def test_a_program_that_fails_is_one_line(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    (tmp_path / "espeak-ng").write_text("#!/bin/sh\nexit 3\n")
    (tmp_path / "espeak-ng").chmod(0o755)
    monkeypatch.setenv("PATH", str(tmp_path))
    with pytest.raises(ModelError, match=r"espeak-ng failed on 'One\."):
        SystemPhrases().render("One.")


def test_the_speed_in_steps_of_sapi() -> None:
    # From memory: -10 is a third of the usual speed, 10 three times as fast.
    assert [sapi_rate(speed) for speed in (1 / 3, 1.0, 3.0, 9.0)] == [-10, 0, 10, 10]
    assert set(PROGRAMS) == {"say", "powershell", "espeak-ng"}
