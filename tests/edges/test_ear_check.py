"""The check of the ear: its measures by arithmetic, and the whole of it through a sound server."""

from __future__ import annotations

import os
import subprocess
import sys
import threading
from pathlib import Path

import numpy as np
import pytest

from callout.edges.ear_check import Tried, advice, level_db, texts_to_read, threshold
from callout.edges.own_ear import HIGHEST, LOWEST, own_options
from callout.edges.sound import RATE_HZ
from callout.language.parser import Parser
from tests.pulse import Pulse
from tests.speech import speech_file


def test_the_level_is_that_of_the_loudest_frame() -> None:
    """A sine of full scale has half the energy of a constant: -3.01 dB."""
    time = np.arange(RATE_HZ) / RATE_HZ
    sine = 32_767 * np.sin(2 * np.pi * 500 * time)
    assert level_db(sine.astype(np.int16)) == pytest.approx(-3.01, abs=0.05)
    assert level_db((sine / 10).astype(np.int16)) == pytest.approx(-23.01, abs=0.05)
    half = np.where(time < 0.5, sine, 0).astype(np.int16)
    assert level_db(half) == pytest.approx(-3.01, abs=0.05)
    assert level_db(np.zeros(0, dtype=np.int16)) == -120.0


def tried(level: float, *scores: float | None) -> list[Tried]:
    return [Tried("a", "a" if score is not None else "", level, score) for score in scores]


@pytest.mark.parametrize(
    ("hall", "voice", "part"),
    [
        (-50.0, -20.0, None),
        (-50.0, -3.0, "too loud: turn"),
        (-70.0, -50.0, "faint"),
        (-30.0, -20.0, "hold a key or a pedal"),
        (-25.0, -20.0, "worn at the mouth"),
        (-120.0, -120.0, "only zeros"),
    ],
)
def test_each_fault_has_its_remedy(hall: float, voice: float, part: str | None) -> None:
    told = advice(hall, tried(voice, 5.0, 5.0, 5.0, 5.0, 5.0))
    assert (told == []) == (part is None)
    assert part is None or part in " ".join(told)


def test_a_voice_that_is_not_understood_is_told_to_slow_down() -> None:
    assert "slower" in advice(-60.0, tried(-20.0, 5.0, 5.0, 5.0, None, None))[0]
    assert advice(-60.0, tried(-20.0, 5.0, 5.0, 5.0, 5.0, None)) == []


@pytest.mark.parametrize(
    ("scores", "kept"),
    [
        ((8.0, 5.0, 9.0, 9.0, 9.0), 1.0),
        ((8.0, 2.5, None, None, 9.0), -1.5),
        ((20.0, 20.0, 20.0, 20.0, 20.0), HIGHEST),
        ((-5.0, 20.0, 20.0, 20.0, 20.0), LOWEST),
        ((8.0, 8.0, None, None, None), None),
    ],
)
def test_the_threshold_lies_below_the_worst_call(
    scores: tuple[float | None, ...], kept: float | None
) -> None:
    own = threshold(tried(-20.0, *scores))
    assert (own and own.least_score) == kept


@pytest.mark.thorough
def test_calls_that_are_read_out_are_heard_and_a_threshold_is_kept(
    pulse: Pulse, parser: Parser, tmp_path: Path
) -> None:
    """The whole of it: what it asks for is played into the hall, as if somebody read it out."""
    environment = {**os.environ, **pulse.environment, "XDG_CONFIG_HOME": str(tmp_path)}
    sounds = {
        text: speech_file(tmp_path, f"{text}.", name=f"{at}.wav")
        for at, text in enumerate(texts_to_read(parser.grammar))
    }
    command = [sys.executable, "-u", "-m", "callout", "check", "--ear"]
    with subprocess.Popen(
        command, env=environment, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True
    ) as process:
        assert process.stdout is not None
        lines = []
        for line in process.stdout:
            lines.append(line.strip())
            asked = line.partition("Now say:")[2].strip()
            if asked:
                threading.Thread(target=pulse.play, args=(sounds[asked],)).start()
        assert process.wait(timeout=60) == 0, lines
    assert "5 of 5 calls heard as said." in lines
    assert own_options(tmp_path / "callout" / "ear.toml")["least_score"] <= HIGHEST
