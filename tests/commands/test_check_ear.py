"""The check of the ear: its measures by arithmetic, and the whole of it through a sound server."""

from __future__ import annotations

import os
import subprocess
import sys
import threading
from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from callout.commands.check_ear import (
    GIVES_UP,
    HALL_S,
    WAIT_S,
    advice,
    ear_check,
    texts_to_read,
    threshold,
)
from callout.commands.read_call import ReadCall
from callout.edges.ear.level import level_db
from callout.edges.ear.own_threshold import HIGHEST, LOWEST, own_options
from callout.edges.ear.sound import RATE_HZ, Samples
from callout.language.parser import Parser
from tests.patience import HANG_S
from tests.pulse import Pulse
from tests.speech import speech_file, spoken


def test_the_level_is_that_of_the_loudest_frame() -> None:
    """A sine of full scale has half the energy of a constant: -3.01 dB."""
    time = np.arange(RATE_HZ) / RATE_HZ
    sine = 32_767 * np.sin(2 * np.pi * 500 * time)
    assert level_db(sine.astype(np.int16)) == pytest.approx(-3.01, abs=0.05)
    assert level_db((sine / 10).astype(np.int16)) == pytest.approx(-23.01, abs=0.05)
    half = np.where(time < 0.5, sine, 0).astype(np.int16)
    assert level_db(half) == pytest.approx(-3.01, abs=0.05)
    assert level_db(np.zeros(0, dtype=np.int16)) == -120.0


def tried(level: float, *scores: float | None) -> list[ReadCall]:
    return [ReadCall("a", "a" if score is not None else "", level, score) for score in scores]


@pytest.mark.parametrize(
    ("hall", "voice", "part"),
    [
        (-50.0, -20.0, None),
        (-50.0, -3.0, "too loud: turn"),
        (-70.0, -50.0, "faint"),
        (-30.0, -20.0, "hold a key or a pedal"),
        (-25.0, -20.0, "worn at the mouth"),
        (-120.0, -120.0, "only zeros"),
        (-96.0, -96.0, "only zeros"),
        (-96.0, -17.0, None),
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


class Reader:
    """A microphone before somebody who reads out, after what is asked for, what the test says."""

    name = "given"

    def __init__(self, read: Callable[[int, str], str]) -> None:
        self.said: list[str] = []
        self.closed = False
        self._read, self._asked = read, 0
        self._take: Callable[[Samples], None] = lambda samples: None

    def __call__(self, device: str | None, take: Callable[[Samples], None], trouble: object) -> Any:
        """Open it: a quiet hall."""
        self._take = take
        self._give(0.003 * np.random.default_rng(1).standard_normal(int(HALL_S * RATE_HZ)))
        return self

    def say(self, line: str) -> None:
        """Take what the program says, and read out what it asks for."""
        self.said.append(line.strip())
        if text := line.partition("Now say:")[2].strip():
            self._asked += 1
            words = self._read(self._asked, text)
            sound = spoken([words], gap_s=1.5) if words else np.zeros(int(WAIT_S * RATE_HZ))
            self._give(sound + 0.003 * np.random.default_rng(2).standard_normal(len(sound)))

    def _give(self, sound: np.ndarray) -> None:
        for at in range(0, len(sound), RATE_HZ // 20):
            self._take((sound[at : at + RATE_HZ // 20] * 32_767).astype(np.int16))

    def close(self) -> None:
        """It is closed."""
        self.closed = True


def test_calls_that_are_read_out_are_heard_and_a_threshold_is_kept(
    model: Path, tmp_path: Path
) -> None:
    reader = Reader(lambda nth, text: f"{text}.")
    path = tmp_path / "ear.toml"
    assert ear_check(None, reader.say, path, model=model, opener=reader) == 0
    assert reader.said[0] == "Listening to given. Say nothing for 3 seconds."
    assert "5 of 5 calls heard as said." in reader.said
    assert reader.said[-1].endswith("No sound was kept.")
    assert LOWEST <= own_options(path).least_score <= HIGHEST
    assert reader.closed


@pytest.mark.thorough
def test_calls_that_are_not_read_out_keep_no_threshold(model: Path, tmp_path: Path) -> None:
    """Of five two are as they were asked for, one is another, and two are none."""
    reader = Reader(lambda nth, text: ["", f"{text}.", f"{text}.", "undo that.", "", ""][nth])
    path = tmp_path / "ear.toml"
    assert ear_check(None, reader.say, path, model=model, opener=reader) == 1
    assert "2 of 5 calls heard as said." in reader.said
    assert "heard:  undo that" in reader.said
    assert "heard:  (nothing)" in reader.said
    assert not path.exists()


@pytest.mark.thorough
@pytest.mark.parametrize(
    ("words", "asked", "reason"),
    [
        ("undo that.", 20, "The same words were heard each time, 'undo that'"),
        ("", GIVES_UP, "Nothing was heard."),
    ],
    ids=["one call twenty times", "silence"],
)
def test_what_teaches_no_voice_is_refused_and_nothing_is_kept(
    model: Path,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    words: str,
    asked: int,
    reason: str,
) -> None:
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path / "data"))
    reader, path = Reader(lambda nth, text: words), tmp_path / "ear.toml"
    assert ear_check(None, reader.say, path, model=model, opener=reader, voice_of="ann") == 1
    assert sum(line.startswith("Now say:") for line in reader.said) == asked
    assert reader.said[-1].startswith(f"Nothing was learned or kept. {reason}")
    assert not path.exists()
    assert not (tmp_path / "data").exists()


@pytest.mark.thorough
def test_it_listens_to_a_real_sound_server(pulse: Pulse, parser: Parser, tmp_path: Path) -> None:
    """What it asks for is played into the hall, as if somebody read it out."""
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
        process.wait(timeout=HANG_S)
    assert [line for line in lines if line.endswith("calls heard as said.")]
    assert [line for line in lines if line.startswith("Voice ")]
