"""The microphone, through a real sound server: speech played into a null sink comes out as calls.

The server stands in for the sound card; PortAudio, the ear's process and the recognizer are those
of the program.
"""

from __future__ import annotations

import json
import queue
import subprocess
import sys
import tempfile
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import pytest
import soundfile

from callout.edges.hall import hall_noise
from callout.edges.sound import RATE_HZ
from callout.language.compiler import compile_network
from callout.language.grammar import Scope
from callout.language.parser import Parser
from tests.pulse import Pulse, pulse_server
from tests.speech import speech_file


class Child:
    """The ear's process, spoken to in its own lines."""

    def __init__(self, environment: dict[str, str], folder: Path) -> None:
        self.process = subprocess.Popen(
            [sys.executable, "-m", "callout.edges.ear", str(folder)], env=environment, text=True,
            stdin=subprocess.PIPE, stdout=subprocess.PIPE, stderr=subprocess.DEVNULL,
        )  # fmt: skip
        self._events: queue.Queue[dict[str, Any]] = queue.Queue()
        self._reader = threading.Thread(target=self._read, daemon=True)
        self._reader.start()

    def _read(self) -> None:
        for line in self.process.stdout or ():
            self._events.put(json.loads(line))

    def do(self, do: str, **fields: Any) -> None:
        """Give a command."""
        assert self.process.stdin is not None
        self.process.stdin.write(json.dumps({"do": do, **fields}) + "\n")
        self.process.stdin.flush()

    def wait_for(self, event: str, part: str = "", seconds: float = 20.0) -> dict[str, Any]:
        """The next event of that name with that text in it; others before it are dropped."""
        end = time.monotonic() + seconds
        while (left := end - time.monotonic()) > 0:
            try:
                found = self._events.get(timeout=left)
            except queue.Empty:
                break
            if found["event"] == event and part in json.dumps(found):
                return found
        raise AssertionError(f"no {event!r} with {part!r} in {seconds} s")

    def calls_within(self, seconds: float) -> list[str]:
        """The trusted calls that come within that time."""
        end = time.monotonic() + seconds
        found = []
        while (left := end - time.monotonic()) > 0:
            try:
                event = self._events.get(timeout=left)
            except queue.Empty:
                break
            found += trusted(event)
        return found


def trusted(event: dict[str, Any]) -> list[str]:
    calls = [call for call in event.get("calls", []) if call["margin"] >= 0]
    return [" ".join(word for word, _, _ in call["words"]) for call in calls]


@contextmanager
def child(pulse: Pulse, model: Path, parser: Parser) -> Iterator[Child]:
    """An ear that is ready."""
    networks = {
        "always": parser.network.to_dict(),
        "question": compile_network(parser.grammar, Scope(), "any").to_dict(),
    }
    ear = Child(pulse.environment, Path(tempfile.mkdtemp()))
    try:
        ear.do("load", model=str(model), networks=networks, options={})
        ear.wait_for("ready")
        yield ear
        ear.do("quit")
        assert ear.process.wait(timeout=10) == 0
    finally:
        ear.process.kill()
        ear.process.communicate()


@pytest.mark.thorough
def test_the_open_ear_hears_gates_and_changes_its_network(
    pulse: Pulse, model: Path, parser: Parser, tmp_path: Path
) -> None:
    foul = speech_file(tmp_path, "guest foul eleven.", name="foul.wav")
    yes = speech_file(tmp_path, "yes.", name="yes.wav")
    with child(pulse, model, parser) as ear:
        ear.do("listen", device=None, mode="open")
        assert ear.wait_for("listening")["rate_hz"] > 0
        pulse.play(foul)
        heard = ear.wait_for("utterance", "guest")
        assert trusted(heard) == ["guest foul eleven"]
        # What is said now began before it is told: the time must tell when.
        assert 0.3 < heard["age_s"] < 2.5
        ear.do("gate", closed=True)
        pulse.play(foul)
        assert ear.calls_within(2.0) == []
        ear.do("gate", closed=False)
        ear.do("use", name="question")
        time.sleep(0.5)
        pulse.play(yes)
        answer = ear.wait_for("utterance", "yes")
        assert trusted(answer) == ["yes"]
        ear.do("use", name="always")
        pulse.play(yes)
        assert ear.calls_within(2.0) == []


def test_the_held_ear_hears_while_the_pedal_is_down(
    pulse: Pulse, model: Path, parser: Parser, tmp_path: Path
) -> None:
    call = speech_file(tmp_path, "home two number five.", name="call.wav")
    with child(pulse, model, parser) as ear:
        ear.do("listen", device=None, mode="hold")
        ear.wait_for("listening")
        pulse.play(call)
        assert ear.calls_within(1.0) == []
        ear.do("press")
        pulse.play(call)
        ear.do("release")
        assert trusted(ear.wait_for("utterance", seconds=5)) == ["home two number five"]


@pytest.mark.thorough
def test_a_microphone_that_stops_is_told_of_once_and_taken_up_again(
    pulse: Pulse, model: Path, parser: Parser, tmp_path: Path
) -> None:
    call = speech_file(tmp_path, "start clock.", name="call.wav")

    def suspend(what: int) -> None:
        command = ["pactl", "suspend-sink", "hall", str(what)]
        subprocess.run(command, env=pulse.environment, check=True, timeout=10)

    with child(pulse, model, parser) as ear:
        ear.do("listen", device=None, mode="open")
        ear.wait_for("level")
        suspend(1)
        stopped = time.monotonic()
        assert ear.wait_for("problem", "gives no sound")["kind"] == "DeviceError"
        assert time.monotonic() - stopped < 4
        time.sleep(3)
        suspend(0)
        ear.wait_for("problem", "is back", seconds=30)
        pulse.play(call)
        assert trusted(ear.wait_for("utterance", "start")) == ["start clock"]


def test_zeros_alone_are_told_of(pulse: Pulse, model: Path, parser: Parser) -> None:
    with child(pulse, model, parser) as ear:
        ear.do("listen", device=None, mode="open")
        # A null sink into which nobody plays gives zeros, as a muted microphone does.
        assert "gives only zeros" in ear.wait_for("problem", "zeros", seconds=10)["what"]


@pytest.mark.thorough
def test_a_microphone_whose_stream_was_moved_is_taken_up_again(
    model: Path, parser: Parser, tmp_path: Path
) -> None:
    folder, noise = tmp_path / "pulse", tmp_path / "noise.wav"
    folder.mkdir(mode=0o700)
    soundfile.write(noise, 0.01 * hall_noise(120.0, seed=6), RATE_HZ)
    call = speech_file(tmp_path, "start clock.", name="call.wav")
    with pulse_server(folder) as pulse, child(pulse, model, parser) as ear:
        with pulse.noise(noise):
            ear.do("listen", device=None, mode="open")
            ear.wait_for("level")
        for _ in range(2):
            pulse.unload("hall")
            ear.wait_for("problem", "gives only zeros", seconds=10)
            pulse.load("hall")
            with pulse.noise(noise):
                ear.wait_for("problem", "is back", seconds=20)
                pulse.play(call)
                assert trusted(ear.wait_for("utterance", "start")) == ["start clock"]


@pytest.mark.thorough
def test_a_microphone_that_is_plugged_in_later_is_found(
    model: Path, parser: Parser, tmp_path: Path
) -> None:
    folder = tmp_path / "pulse"
    folder.mkdir(mode=0o700)
    call = speech_file(tmp_path, "start clock.", name="call.wav")
    with pulse_server(folder) as pulse:
        pulse.unload("hall")
        pulse.unload("headset")
        with child(pulse, model, parser) as ear:
            ear.do("listen", device=None, mode="open")
            assert ear.wait_for("problem")["sort"] == "absent"
            pulse.load("hall")
            ear.wait_for("problem", "is back", seconds=20)
            pulse.play(call)
            assert trusted(ear.wait_for("utterance", "start")) == ["start clock"]


def test_a_device_that_is_not_there_is_a_problem_and_no_crash(
    pulse: Pulse, model: Path, parser: Parser
) -> None:
    with child(pulse, model, parser) as ear:
        for mode in ("open", "hold"):
            ear.do("listen", device="no such device", mode=mode)
            problem = ear.wait_for("problem")
            assert problem["kind"] == "DeviceError"
            assert problem["what"].startswith("no such device: cannot be opened")
            ear.do("press")
            ear.do("release")
