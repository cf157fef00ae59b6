"""The system's own voice: the one that this machine has, in real processes."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from callout.edges.voice.phrases import Phrases
from callout.edges.voice.system import PROGRAMS, SystemSynthesizer, sapi_rate, system_program
from callout.edges.voice.voice import PrintVoice, open_voice
from callout.edges.voice.wav import WavVoice
from callout.errors import ModelError


@pytest.fixture
def phrases(tmp_path: Path) -> Phrases:
    """The voice with a memory of its own."""
    return Phrases(SystemSynthesizer("en"), tmp_path / "phrases")


def test_it_speaks_and_remembers(phrases: Phrases, tmp_path: Path) -> None:
    made = phrases.render("Home two, number five.")
    assert 0.8 < len(made.samples) / made.rate_hz < 4.0
    assert np.abs(made.samples).max() > 0.05
    again = Phrases(SystemSynthesizer("en"), tmp_path / "phrases").known("Home two, number five.")
    assert again is not None
    assert np.array_equal(again.samples, made.samples)


def test_faster_is_shorter_and_another_text_another_sound(phrases: Phrases) -> None:
    plain, fast = phrases.render("Home two."), phrases.render("Home two.", 1.5)
    assert len(fast.samples) < 0.85 * len(plain.samples)
    assert len(phrases.render("Guest three, number fifteen.").samples) > len(plain.samples)


def test_what_a_shell_would_take_for_itself_is_only_spoken(
    phrases: Phrases, tmp_path: Path
) -> None:
    phrases.render(f"$(touch {tmp_path}/a); -w {tmp_path}/b")
    assert [path.name for path in tmp_path.iterdir()] == ["phrases"]


def test_a_language_is_spoken_by_a_voice_of_its_own_and_remembered_apart(tmp_path: Path) -> None:
    spanish, english = (Phrases(SystemSynthesizer(language), tmp_path) for language in ("es", "en"))
    said = spanish.render("18")
    assert english.known("18") is None
    assert not np.array_equal(english.render("18").samples, said.samples)
    assert Phrases(SystemSynthesizer("es"), tmp_path).known("18") is not None


def test_a_language_that_it_has_no_voice_for_is_refused() -> None:
    with pytest.raises(ModelError, match="no voice for the language 'mine'"):
        SystemSynthesizer("mine")


def test_it_is_chosen_by_name(tmp_path: Path) -> None:
    now, told, file = [0.0], list[tuple[str, str]](), tmp_path / "a.wav"
    voice = open_voice(
        "system", lambda: now[0], ears="both", otherwise=file,
        told=lambda what, text: told.append((what, text)),
    )  # fmt: skip
    try:
        voice.speak("Home two.")
    finally:
        voice.close()
    if isinstance(voice, WavVoice):
        assert file.stat().st_size > 10_000
    else:
        assert told == [("started", "Home two."), ("finished", "Home two.")]


def test_the_voice_that_is_fetched_is_not_made_to_speak_another_language(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    voice = open_voice(
        "auto", lambda: 0.0, ears="both", otherwise=tmp_path / "a.wav", language="es"
    )
    voice.close()
    assert "voice: 'es' is spoken by the system's own voice\n" in capsys.readouterr().err


def test_what_no_voice_here_can_speak_is_printed(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setenv("PATH", "/nowhere")
    assert isinstance(open_voice("auto", lambda: 0.0, ears="both", language="es"), PrintVoice)
    assert "no voice for 'es': install espeak-ng" in capsys.readouterr().err


def test_a_system_without_a_voice_says_what_to_do(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("PATH", "/nowhere")
    with pytest.raises(ModelError, match="install espeak-ng, or --voice print"):
        system_program()


def test_a_program_that_fails_is_one_line(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    (tmp_path / "espeak-ng").write_text("#!/bin/sh\nexit 3\n")
    (tmp_path / "espeak-ng").chmod(0o755)
    monkeypatch.setenv("PATH", str(tmp_path))
    with pytest.raises(ModelError, match=r"espeak-ng failed on 'One\."):
        SystemSynthesizer("en").render("One.", 1.0)


def test_the_speed_in_steps_of_sapi() -> None:
    # From memory: -10 is a third of the usual speed, 10 three times as fast.
    assert [sapi_rate(speed) for speed in (1 / 3, 1.0, 3.0, 9.0)] == [-10, 0, 10, 10]
    assert set(PROGRAMS) == {"say", "powershell", "espeak-ng"}
