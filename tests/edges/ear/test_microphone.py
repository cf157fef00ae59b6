"""The microphone: watched by a library and seconds that are the test's, and, thorough, by a real
sound server, where speech played into a null sink comes out as calls.
"""

from __future__ import annotations

import json
import queue
import shutil
import subprocess
import sys
import tempfile
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any, TypeVar

import numpy as np
import pytest
import sounddevice as sd
import soundfile

from callout.edges.ear.hall_noise import hall_noise
from callout.edges.ear.messages import (
    COMMANDS,
    EVENTS,
    Command,
    Level,
    Listen,
    Listening,
    Load,
    Mode,
    Problem,
    Ready,
    Told,
    Utterance,
)
from callout.edges.ear.microphone import (
    FRESH,
    RENEW_S,
    RETRY_S,
    SILENT_AGAIN_S,
    SILENT_S,
    TELL_LOST_S,
    Microphone,
)
from callout.edges.ear.sound import RATE_HZ, Samples
from callout.errors import DeviceError
from callout.language.compiler import compile_network
from callout.language.grammar import Scope
from callout.language.parser import Parser
from callout.language.scope import Sentences
from tests.patience import HANG_S
from tests.pulse import Pulse, pulse_server
from tests.speech import speech_file

BLOCK_S = 0.05


@dataclass
class Stream:
    """What the library gives for a device that is open."""

    asked: dict[str, Any]
    latency: float = 0.1
    closed: bool = False

    def start(self) -> None:
        """Begin."""

    def close(self) -> None:
        """End."""
        self.closed = True


@dataclass
class Library:
    """A sound library with one device. Source: python-sounddevice's own documentation."""

    rate_hz: int = 48_000
    channels: int = 2
    is_there: bool = True
    streams: list[Stream] = field(default_factory=list)
    begun: int = 0

    def query_devices(self, device: str | None, kind: str) -> dict[str, Any]:
        """What the device is."""
        if not self.is_there:
            raise ValueError(f"No input device matching {device!r}")
        return {
            "name": "headset", "default_samplerate": float(self.rate_hz),
            "max_input_channels": self.channels,
        }  # fmt: skip

    def RawInputStream(self, **asked: Any) -> Stream:  # noqa: N802 - the library's own name
        """Open it."""
        self.streams.append(Stream(asked))
        return self.streams[-1]

    def _terminate(self) -> None:
        assert self.streams == [] or self.streams[-1].closed

    def _initialize(self) -> None:
        self.begun += 1


class Device:
    """A microphone of that library, its seconds, its sound and what it told."""

    def __init__(self, name: str | None = None, patient: bool = False, **library: Any) -> None:
        self.now = 0.0
        self.library = Library(**library)
        self.sound: list[Samples] = []
        self.told: list[str] = []
        self.lines: list[str] = []
        self.microphone = Microphone(
            name, self.sound.append, self._trouble, patient,
            library=self.library, now_s=lambda: self.now,
        )  # fmt: skip

    def _trouble(self, kind: str, line: str) -> None:
        self.told.append(kind)
        self.lines.append(line)

    def give(self, block: np.ndarray, overflow: bool = False) -> None:
        """The device's own thread gives a block, and it is taken."""
        status = sd.CallbackFlags()
        status.input_overflow = overflow
        data = block.astype(np.int16).tobytes()
        self.library.streams[-1].asked["callback"](data, len(block), None, status)
        self.now += BLOCK_S
        assert self.microphone.step(0) == 0

    def noise(self, seconds: float = BLOCK_S, overflow: bool = False) -> None:
        """The sound of a room."""
        for _ in range(round(seconds / BLOCK_S)):
            count = self.library.streams[-1].asked["blocksize"]
            self.give(np.tile([[3, -3], [-2, 2]], (count // 2, 1)), overflow)

    def zeros(self, seconds: float) -> None:
        """Nothing but zeros."""
        for _ in range(round(seconds / BLOCK_S)):
            self.give(np.zeros((self.library.streams[-1].asked["blocksize"], 2)))

    def nothing(self) -> float:
        """No block in time; the seconds until it is tried again."""
        return self.microphone.step(0)


def test_it_is_opened_at_its_own_rate_and_heard_at_ours() -> None:
    """A tone of 440 Hz and a room's noise in the louder of two channels, 48 kHz in, 16 kHz out."""
    device = Device("head")
    (stream,) = device.library.streams
    asked = {key: stream.asked[key] for key in ("samplerate", "channels", "device", "blocksize")}
    assert asked == {"samplerate": 48_000, "channels": 2, "device": "head", "blocksize": 2_400}
    time_s = np.arange(48_000) / 48_000
    tone = 8_000 * np.sin(2 * np.pi * 440 * time_s)
    tone += 300 * np.random.default_rng(1).standard_normal(48_000)
    for at in range(0, 48_000, 2_400):
        part = tone[at : at + 2_400]
        device.give(np.stack([0.1 * part, -part], axis=1))
    heard = np.concatenate(device.sound).astype(float)
    assert 0.9 * RATE_HZ < len(heard) <= RATE_HZ, "the resampler holds a little back"
    peak = int(np.argmax(np.abs(np.fft.rfft(heard)))) * RATE_HZ / len(heard)
    assert peak == pytest.approx(440, abs=2)
    assert np.quantile(np.abs(heard), 0.97) == pytest.approx(8_000, rel=0.05)
    assert device.told == []


def test_one_that_gives_nothing_is_told_of_once_and_opened_until_it_does() -> None:
    device = Device()
    device.noise()
    for _ in range(3):
        assert device.nothing() == 0.0
    device.library.is_there = False
    assert device.nothing() == RETRY_S
    assert not device.microphone.is_open
    device.library.is_there = True
    assert device.nothing() == 0.0
    assert device.library.begun == 5, "the list of devices is as old as the library's beginning"
    assert [each.closed for each in device.library.streams] == [True] * 4 + [False]
    assert device.told == ["frozen"]
    device.noise()
    assert device.told == ["frozen", "back"]
    assert device.lines[0].startswith("headset: gives no sound")
    device.nothing()
    assert device.told == ["frozen", "back", "frozen"]


def test_one_that_is_not_there_is_a_line_or_looked_for() -> None:
    with pytest.raises(DeviceError, match=r"^nobody's: cannot be opened: no microphone has"):
        Device("nobody's", is_there=False)
    device = Device("nobody's", patient=True, is_there=False)
    assert (device.told, device.microphone.is_open) == (["absent"], False)
    assert device.nothing() == RETRY_S
    device.library.is_there = True
    device.nothing()
    device.noise()
    assert device.told == ["absent", "back"]


def test_zeros_alone_are_told_of_and_it_is_opened_beside_itself() -> None:
    """A muted microphone, or one that a permission keeps from us."""
    device = Device()
    device.zeros(SILENT_S)
    assert device.told == []
    while not device.told:
        device.zeros(BLOCK_S)
    opened = len(device.library.streams)
    pauses_s = (*RENEW_S, RENEW_S[-1], RENEW_S[-1])
    for pause_s in pauses_s:
        before_s = device.now
        while len(device.library.streams) == opened:
            device.zeros(BLOCK_S)
        opened += 1
        assert device.now - before_s == pytest.approx(pause_s, abs=BLOCK_S * 1.01)
    assert device.told == ["zeros"], "told once"
    assert [each.closed for each in device.library.streams] == [True] * (opened - 1) + [False]
    assert device.library.begun == 0, "no other stream of the process is ended"


@pytest.mark.parametrize(("blocks", "back"), [(FRESH - 1, True), (FRESH + 1, False)])
def test_opening_it_anew_has_helped_if_sound_comes_at_once(blocks: int, back: bool) -> None:
    device = Device()
    device.zeros(SILENT_S + 0.1)
    assert device.told == ["zeros"]
    while len(device.library.streams) < 3:
        device.zeros(BLOCK_S)
    device.zeros(blocks * BLOCK_S)
    device.noise()
    assert device.told == (["zeros", "back"] if back else ["zeros"])


def test_a_headset_that_gives_zeros_between_words_is_told_of_once() -> None:
    device = Device()
    device.zeros(SILENT_S + 0.1)
    device.zeros(1.0)
    for _ in range(3):
        device.noise(1.0)
        device.zeros(SILENT_AGAIN_S - 1)
    assert device.told == ["zeros"]
    device.zeros(2.0)
    assert device.told == ["zeros", "zeros"]


def test_sound_that_was_lost_is_told_of_now_and_then() -> None:
    device = Device()
    device.noise(1.0, overflow=True)
    assert device.told == ["lost"]
    device.noise(TELL_LOST_S + 1)
    assert device.told == ["lost"]
    device.noise(overflow=True)
    assert device.told == ["lost", "lost"]


def test_one_that_comes_back_at_another_rate_is_told_of() -> None:
    """Bluetooth's call mode has 16 kHz or 8."""
    device = Device()
    device.noise()
    device.library.rate_hz = 16_000
    device.nothing()
    device.noise()
    assert device.told[:3] == ["frozen", "rate", "back"]
    assert device.microphone.rate_hz == 16_000


def test_it_ends_when_it_is_closed() -> None:
    device = Device()
    device.microphone.start()
    device.microphone.close()
    assert device.library.streams[-1].closed
    assert not any(each.name == "microphone" for each in threading.enumerate())


# --- through a real sound server: order and presence alone ---------------------------------------


E = TypeVar("E", bound=Told)


class Child:
    """The ear's process, spoken to in its own lines."""

    def __init__(self, environment: dict[str, str], folder: Path) -> None:
        self.process = subprocess.Popen(
            [sys.executable, "-m", "callout.edges.ear.process", str(folder)],
            env=environment, text=True,
            stdin=subprocess.PIPE, stdout=subprocess.PIPE, stderr=subprocess.DEVNULL,
        )  # fmt: skip
        self._events: queue.Queue[Told] = queue.Queue()
        self._reader = threading.Thread(target=self._read, daemon=True)
        self._reader.start()

    def _read(self) -> None:
        for line in self.process.stdout or ():
            self._events.put(EVENTS.read(line))

    def do(self, command: Command) -> None:
        """Give a command."""
        assert self.process.stdin is not None
        self.process.stdin.write(COMMANDS.write(command) + "\n")
        self.process.stdin.flush()

    def close(self) -> None:
        """Give it no more commands, so that it ends."""
        assert self.process.stdin is not None
        assert self.process.stdout is not None
        with suppress(OSError):
            self.process.stdin.close()
        self._reader.join(HANG_S)
        self.process.stdout.close()
        self.process.wait(HANG_S)

    def wait_for(self, kind: type[E], part: str = "", seconds: float = HANG_S) -> E:
        """The next event of that kind with that text in it; others before it are dropped."""
        end = time.monotonic() + seconds
        while (left := end - time.monotonic()) > 0:
            try:
                found = self._events.get(timeout=left)
            except queue.Empty:
                break
            if isinstance(found, kind) and part in EVENTS.write(found):
                return found
        raise AssertionError(f"no {kind.__name__} with {part!r} in {seconds} s")


TRIES = 5


def hear_it(ear: Child, pulse: Pulse, call: Path) -> None:
    """Play "start clock" until it is heard: a busy machine may lose a part of a sound."""
    for _ in range(TRIES):
        pulse.play(call)
        with suppress(AssertionError):
            if ear.wait_for(Utterance, "start", HANG_S / TRIES).trusted == ["start clock"]:
                return
    raise AssertionError(f"not heard, played {TRIES} times")


@contextmanager
def child(pulse: Pulse, model: Path, parser: Parser) -> Iterator[Child]:
    """An ear that is ready."""
    networks = {
        "always": parser.network.to_dict(),
        "question": compile_network(parser.grammar, Scope(), Sentences.BOTH).to_dict(),
    }
    folder = Path(tempfile.mkdtemp())
    told = folder / "networks.json"
    told.write_text(json.dumps(networks), encoding="utf-8")
    ear = Child(pulse.environment, folder / "ear")
    try:
        ear.do(Load(str(model), str(told)))
        ear.wait_for(Ready)
        yield ear
        ear.close()
        assert ear.process.wait(timeout=HANG_S) == 0
    finally:
        ear.process.kill()
        ear.close()
        shutil.rmtree(folder)


@pytest.mark.thorough
def test_speech_in_a_hall_comes_out_as_calls_and_what_stops_is_taken_up_again(
    pulse: Pulse, model: Path, parser: Parser, tmp_path: Path
) -> None:
    call = speech_file(tmp_path, "start clock.", name="call.wav")

    def suspend(what: int) -> None:
        command = ["pactl", "suspend-sink", "hall", str(what)]
        subprocess.run(command, env=pulse.environment, check=True, timeout=HANG_S)

    with child(pulse, model, parser) as ear:
        ear.do(Listen(None, Mode.OPEN))
        assert ear.wait_for(Listening).rate_hz > 0
        hear_it(ear, pulse, call)
        suspend(1)
        assert ear.wait_for(Problem, "gives no sound").kind == "DeviceError"
        suspend(0)
        ear.wait_for(Problem, "is back")
        hear_it(ear, pulse, call)


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
            ear.do(Listen(None, Mode.OPEN))
            ear.wait_for(Level)
        for _ in range(2):
            pulse.unload("hall")
            ear.wait_for(Problem, "gives only zeros")
            pulse.load("hall")
            with pulse.noise(noise):
                ear.wait_for(Problem, "is back")
                hear_it(ear, pulse, call)


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
            ear.do(Listen(None, Mode.OPEN))
            assert ear.wait_for(Problem).sort == "absent"
            pulse.load("hall")
            ear.wait_for(Problem, "is back")
            hear_it(ear, pulse, call)


def test_a_device_that_the_real_library_does_not_have_is_one_line() -> None:
    with pytest.raises(DeviceError, match=r"^no such device: cannot be opened"):
        Microphone("no such device", lambda sound: None, lambda kind, line: None)
