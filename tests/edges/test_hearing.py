"""The ear's process: what it hears in real speech, and what becomes of it when it dies."""

from __future__ import annotations

import os
import queue
import shutil
import signal
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import soundfile

from callout.edges import hearing as module
from callout.edges import restarts
from callout.edges.hall import hall_noise, in_noise
from callout.edges.hearing import FileEar, Hearing
from callout.edges.sound import RATE_HZ
from callout.edges.understood import Understood, understand
from callout.errors import InputError, ModelError
from callout.language.parser import Parser
from tests.pulse import Pulse, pulse_server
from tests.speech import speech_file, spoken


def heard(ear: FileEar, parser: Parser, path: Path) -> list[Understood]:
    return [each for utterance in ear.hear(path) for each in understand(parser, utterance)]


def texts(found: list[Understood]) -> list[str]:
    return [each.text for each in found if each.sentence is not None]


def test_spoken_calls_are_heard_with_their_times(
    ear: FileEar, parser: Parser, tmp_path: Path
) -> None:
    path = speech_file(tmp_path, "home two number five.", "guest foul eleven.", "start clock.")
    found = heard(ear, parser, path)
    assert texts(found) == ["home two number five", "guest foul eleven", "start clock"]
    assert 0.3 < found[0].start_s < 0.8
    assert found[0].end_s < found[1].start_s < found[1].end_s < found[2].start_s


def test_two_calls_in_one_breath_are_two(ear: FileEar, parser: Parser, tmp_path: Path) -> None:
    found = heard(ear, parser, speech_file(tmp_path, "home two number five, guest foul eleven."))
    assert texts(found) == ["home two number five", "guest foul eleven"]


def test_other_talk_is_ignored(ear: FileEar, parser: Parser, tmp_path: Path) -> None:
    said = ("The weather is lovely today.", "Did you see that?", "I would like a cup of coffee.")
    found = heard(ear, parser, speech_file(tmp_path, *said))
    assert texts(found) == []
    assert {each.status for each in found} <= {"ignored"}


@pytest.mark.parametrize("kind", ["silence", "noise", "hum"])
def test_no_speech_is_no_call(ear: FileEar, parser: Parser, tmp_path: Path, kind: str) -> None:
    count = 6 * RATE_HZ
    sounds = {
        "silence": np.zeros(count),
        "noise": 0.3 * hall_noise(6.0, seed=5),
        "hum": 0.3 * np.sin(2 * np.pi * 50 * np.arange(count) / RATE_HZ),
    }
    path = tmp_path / "quiet.wav"
    soundfile.write(path, sounds[kind], RATE_HZ)
    assert texts(heard(ear, parser, path)) == []


@pytest.mark.parametrize("rate_hz", [8_000, 48_000, 96_000])
def test_a_call_is_heard_at_any_rate_and_in_noise(
    ear: FileEar, parser: Parser, tmp_path: Path, rate_hz: int
) -> None:
    sound = in_noise(spoken(["guest foul eleven."]), hall_noise(10.0, seed=3), 15.0)
    full = np.interp(
        np.arange(0, len(sound), RATE_HZ / rate_hz), np.arange(len(sound)), sound
    ).astype(np.float32)  # fmt: skip
    path = tmp_path / "call.flac"
    soundfile.write(path, np.stack([0 * full, full], axis=1), rate_hz)
    assert texts(heard(ear, parser, path)) == ["guest foul eleven"]


def test_a_bad_file_leaves_the_ear_ready(ear: FileEar, parser: Parser, tmp_path: Path) -> None:
    bad = tmp_path / "text.wav"
    bad.write_text("home two")
    with pytest.raises(InputError, match=r"text\.wav: expected a sound file"):
        ear.hear(bad)
    assert texts(heard(ear, parser, speech_file(tmp_path, "undo that."))) == ["undo that"]


def test_a_missing_or_damaged_model_says_what_to_do(
    model: Path, parser: Parser, tmp_path: Path
) -> None:
    with pytest.raises(ModelError, match=r"am/final\.mdl is missing; get it with: callout models"):
        FileEar(tmp_path, parser.network)
    damaged = tmp_path / "damaged"
    for path in model.rglob("*"):
        if path.is_file():
            target = damaged / path.relative_to(model)
            target.parent.mkdir(parents=True, exist_ok=True)
            target.write_bytes(path.read_bytes()[: 1000 if path.name == "final.mdl" else None])
    with pytest.raises(ModelError, match="callout models"):
        FileEar(damaged, parser.network)


Events = queue.Queue[dict[str, Any]]


@pytest.fixture
def live(
    pulse: Pulse, model: Path, parser: Parser, monkeypatch: pytest.MonkeyPatch
) -> Iterator[tuple[Hearing, Events]]:
    """An ear that is started, on a machine whose microphone is that of a sound server."""
    for name, value in pulse.environment.items():
        monkeypatch.setenv(name, value)
    events = Events()
    hearing = Hearing(model, {"always": parser.network}, events.put)
    hearing.start()
    yield hearing, events
    hearing.close()


def wait_for(events: Events, name: str) -> dict[str, Any]:
    while True:
        event = events.get(timeout=30)
        if event["event"] == name:
            return event


def test_an_ear_that_is_killed_is_started_again_and_hears(
    model: Path, parser: Parser, tmp_path: Path
) -> None:
    events = Events()
    hearing = Hearing(model, {"always": parser.network}, events.put)
    hearing.start()
    wait_for(events, "ready")
    assert hearing.pid is not None
    os.kill(hearing.pid, signal.SIGKILL)
    killed = time.monotonic()
    assert wait_for(events, "died")["status"] == -signal.SIGKILL
    wait_for(events, "back")
    print(f"back after {time.monotonic() - killed:.2f} s")
    hearing.hear_file(speech_file(tmp_path, "start clock."))
    assert wait_for(events, "utterance")["text"] == "start clock"
    hearing.close()


@pytest.mark.thorough
def test_an_ear_that_keeps_dying_is_tried_until_it_lives_and_told_of_once(
    model: Path, parser: Parser, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Its model is away for some time, as on a stick that was pulled out."""
    monkeypatch.setattr(restarts, "PAUSES_S", (0.0, 0.0, 0.2))
    monkeypatch.setattr(module, "WELL_S", 0.5)
    away = tmp_path / "away"
    stick = Path(shutil.copytree(model, tmp_path / "stick", copy_function=os.link))
    events = Events()
    hearing = Hearing(stick, {"always": parser.network}, events.put)
    hearing.start()
    wait_for(events, "ready")
    assert hearing.pid is not None
    stick.rename(away)
    os.kill(hearing.pid, signal.SIGKILL)
    end = time.monotonic() + 60
    while hearing._restarts.deaths < restarts.MANY + 2:
        assert time.monotonic() < end
        time.sleep(0.05)
    away.rename(stick)
    told = [event["event"] for event in iter(lambda: events.get(timeout=60), BACK)]
    assert told == ["died", "gone", "ready"]
    hearing.hear_file(speech_file(tmp_path, "start clock."))
    assert wait_for(events, "utterance")["text"] == "start clock"
    hearing.close()
    hearing.start()
    assert hearing._process is not None
    assert hearing._process.poll() is not None, "one that was closed is not started again"


BACK = {"event": "back"}


@pytest.mark.thorough
def test_one_that_is_killed_while_it_reads_its_model_leaves_nothing(
    model: Path, parser: Parser, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(tempfile, "tempdir", str(tmp_path))
    events = Events()
    hearing = Hearing(model, {"always": parser.network}, events.put)
    hearing.start()
    killed: list[int] = []
    while len(killed) < 2:
        assert len(list(tmp_path.glob("callout-ear-*"))) == 1
        if hearing.pid not in (None, *killed) and list(tmp_path.glob("callout-ear-*/ear/*/am/*")):
            killed.append(hearing.pid or 0)
            os.kill(killed[-1], signal.SIGKILL)
        time.sleep(0.002)
    wait_for(events, "back")
    assert not list(tmp_path.glob("callout-ear-*/ear/*")), "its model is in memory"
    hearing.close()
    assert not list(tmp_path.iterdir())


@pytest.mark.thorough
def test_an_ear_that_hangs_is_killed_and_hears_again(
    live: tuple[Hearing, Events], monkeypatch: pytest.MonkeyPatch
) -> None:
    hearing, events = live
    monkeypatch.setattr(module, "HANGS_S", 3)
    hearing.listen(None, "hold")
    wait_for(events, "listening")
    time.sleep(5.0)
    assert not [each for each in iter_now(events) if each["event"] == "died"]
    assert hearing.pid is not None
    os.kill(hearing.pid, signal.SIGSTOP)
    assert wait_for(events, "died")["status"] == -signal.SIGKILL
    wait_for(events, "listening")


def iter_now(events: Events) -> Iterator[dict[str, Any]]:
    """What has been told so far."""
    while not events.empty():
        yield events.get()


def test_a_line_that_breaks_off_is_no_end_of_hearing(model: Path, parser: Parser) -> None:
    events: list[dict[str, Any]] = []
    hearing = Hearing(model, {"always": parser.network}, events.append)
    hearing.close()  # so that it does not start the process again
    told = 'print(\'{"event": "ready"}\\n{"event": "utter\', end="")'
    dying = subprocess.Popen([sys.executable, "-c", told], stdout=subprocess.PIPE, text=True)
    hearing._read(dying)
    assert (events, dying.returncode) == ([{"event": "ready"}], 0)


@pytest.mark.thorough
def test_an_ear_that_died_while_the_table_spoke_is_deaf_when_it_is_back(
    live: tuple[Hearing, Events], pulse: Pulse, tmp_path: Path
) -> None:
    hearing, events = live
    hearing.listen(None, "open")
    wait_for(events, "listening")
    hearing.gate(True)
    assert hearing.pid is not None
    os.kill(hearing.pid, signal.SIGKILL)
    wait_for(events, "died")
    wait_for(events, "listening")
    pulse.play(speech_file(tmp_path, "guest foul eleven.", name="own.wav"))
    hearing.gate(False)
    time.sleep(1.0)
    pulse.play(speech_file(tmp_path, "start clock.", name="call.wav"))
    assert wait_for(events, "utterance")["text"] == "start clock"


@pytest.mark.thorough
def test_a_sound_server_that_ends_is_waited_for(
    model: Path, parser: Parser, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    folder = tmp_path / "pulse"
    folder.mkdir(mode=0o700)
    events = Events()
    hearing = Hearing(model, {"always": parser.network}, events.put)
    try:
        with pulse_server(folder) as first:
            for name, value in first.environment.items():
                monkeypatch.setenv(name, value)
            hearing.start()
            hearing.listen(None, "open")
            wait_for(events, "listening")
        while "gives no sound" not in wait_for(events, "problem")["what"]:
            pass
        with pulse_server(folder) as second:
            while "is back" not in wait_for(events, "problem")["what"]:
                pass
            second.play(speech_file(tmp_path, "start clock."))
            assert wait_for(events, "utterance")["text"] == "start clock"
    finally:
        hearing.close()
