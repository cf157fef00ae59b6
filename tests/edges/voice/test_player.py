"""The player: its blocks, one by one, as a device asks for them; and once through a sound server.

What comes out is arithmetic: the stream and the clock are passed in, so no machine is too busy.
"""

from __future__ import annotations

import json
import re
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import numpy as np
import pytest
import soundfile
from numpy.typing import NDArray

from callout.edges.voice.output import Fill
from callout.edges.voice.player import Player, Speech
from callout.edges.voice.sounding import LOUDEST
from callout.edges.voice.tones import Sound
from tests.patience import HANG_S
from tests.pulse import Pulse, pulse_server

RATE_HZ = 8_000
LATENCY_S = 0.06


class Hand:
    """A stream that asks for blocks when it is told to, and a clock that goes on with them."""

    rate_hz = RATE_HZ
    latency_s = LATENCY_S
    name = "by hand"

    def __init__(self, channels: int = 2) -> None:
        self.channels = channels
        self.now_s = 0.0
        self._fill: Fill | None = None

    def open(self, device: str | None, fill: Fill) -> Hand:
        """What a player opens."""
        self._fill = fill
        return self

    def start(self) -> None:
        """Nothing starts by itself."""

    def close(self) -> None:
        """Nothing is to be freed."""

    def clock_s(self) -> float:
        """The time of the stream."""
        return self.now_s

    def play(self, seconds: float, block: int = 160) -> NDArray[np.float32]:
        """So much of what sounds, one column a channel."""
        assert self._fill is not None
        out = np.full((round(seconds * RATE_HZ), self.channels), np.nan, dtype=np.float32)
        for at in range(0, len(out), block):
            part = out[at : at + block]
            self._fill(part, len(part))
            self.now_s += len(part) / RATE_HZ
        assert not np.isnan(out).any(), "every sample of a block is filled"
        return out


class Told:
    """A player by hand, with what it told of ends."""

    def __init__(self, ears: str = "both", channels: int = 2) -> None:
        self.hand = Hand(channels)
        self.ends: list[tuple[str, bool]] = []
        self.player = Player(
            None, ears, lambda speech, whole: self.ends.append((speech.name, whole)),
            open_stream=self.hand.open, clock_s=self.hand.clock_s,
        )  # fmt: skip

    def say(self, name: str, sound: Sound) -> None:
        """A speech of one sound."""
        self.player.add(Speech(name, self.player.turn), sound, last=True)

    def finish(self) -> list[tuple[str, bool]]:
        """The ends, once the device has played all it was given."""
        self.hand.now_s += 1.01 * LATENCY_S
        self.player.drain()
        return self.ends


@pytest.fixture
def told() -> Iterator[Told]:
    """A player into both ears."""
    made = Told()
    yield made
    made.player.close()


def sine(seconds: float, hz: float = 500, level: float = 0.3) -> Sound:
    time_s = np.arange(round(seconds * RATE_HZ)) / RATE_HZ
    return (level * np.sin(2 * np.pi * hz * time_s)).astype(np.float32)


def test_sounds_follow_one_another_and_each_end_is_told_once(told: Told) -> None:
    told.say("one", sine(0.4))
    told.say("two", sine(0.3, 700))
    told.say("none", sine(0))
    out = told.hand.play(1.0)
    expected = np.concatenate([sine(0.4), sine(0.3, 700), np.zeros(round(0.3 * RATE_HZ))])
    assert out[:, 0] == pytest.approx(expected, abs=1e-6)
    assert told.finish() == [("one", True), ("two", True), ("none", True)]


@pytest.mark.parametrize("block", [37, 441, 2_048])
def test_what_sounds_does_not_depend_on_the_devices_blocks(told: Told, block: int) -> None:
    told.say("one", sine(0.4))
    told.say("two", sine(0.3, 700))
    out = told.hand.play(0.7, block)
    assert out[:, 1] == pytest.approx(np.concatenate([sine(0.4), sine(0.3, 700)]), abs=1e-6)


def test_an_end_is_told_once_the_sound_has_left_the_device(told: Told) -> None:
    told.say("one", sine(0.2))
    told.hand.play(0.2)
    told.hand.now_s += 0.99 * LATENCY_S
    told.player.tell_ends()
    assert told.ends == []
    told.hand.now_s += 0.02 * LATENCY_S
    told.player.drain()
    assert told.ends == [("one", True)]


def test_draining_waits_for_an_end_that_is_being_told(told: Told) -> None:
    # All has been copied, and nothing is told yet: that is no moment to free the device.
    told.say("one", sine(0.1))
    told.hand.play(0.2)
    assert not told.player.sounds
    assert told.player.owes == 1
    told.finish()
    assert told.player.owes == 0


@pytest.mark.parametrize("block", [37, 441, 2_048])
def test_a_stop_fades_what_sounds_and_drops_what_waits(told: Told, block: int) -> None:
    told.say("long", sine(5))
    told.say("next", sine(5))
    before = told.hand.play(0.8, block)
    told.player.stop()
    after = told.hand.play(0.8, block)
    assert told.finish() == [("long", False), ("next", False)]
    whole = np.concatenate([before, after])[:, 0]
    (loud,) = np.nonzero(np.abs(whole) > 1e-3)
    assert 0.8 < (loud[-1] + 1) / RATE_HZ <= 0.8 + 0.01
    # A hard cut would step as high as the sine itself: 2.5 times its own steepest step here.
    assert np.abs(np.diff(whole)).max() < 1.2 * np.abs(np.diff(sine(0.1))).max()


def test_what_is_asked_for_after_a_stop_is_played_whole(told: Told) -> None:
    told.player.stop()
    told.say("urgent", sine(0.6))
    assert told.hand.play(0.6)[:, 0] == pytest.approx(sine(0.6), abs=1e-6)
    assert told.finish() == [("urgent", True)]


def test_an_interruption_is_heard_at_once(told: Told) -> None:
    told.say("a", sine(5))
    told.hand.play(0.5)
    told.player.stop()
    told.say("b", sine(0.5, 1_500))
    out = told.hand.play(0.6)[:, 0]
    start = round(0.01 * RATE_HZ)  # the fade of the first
    assert out[start : start + 4_000] == pytest.approx(sine(0.5, 1_500), abs=1e-6)
    assert told.finish() == [("a", False), ("b", True)]


def test_nothing_is_louder_than_is_safe(told: Told) -> None:
    told.say("loud", sine(0.3, level=40.0))
    told.say("soft", sine(0.3, level=0.1))
    out = np.abs(told.hand.play(0.6)).max(axis=1)
    assert out[: len(out) // 2].max() == pytest.approx(LOUDEST, abs=1e-6)
    assert out[len(out) // 2 :].max() == pytest.approx(0.1, abs=1e-3)


@pytest.mark.parametrize(("ears", "gains"), [("left", [1, 0]), ("right", [0, 1]), ("both", [1, 1])])
def test_one_ear_or_both(ears: str, gains: list[int]) -> None:
    told = Told(ears)
    told.say("one", sine(0.5))
    out = told.hand.play(0.5)
    assert out == pytest.approx(np.outer(sine(0.5), gains), abs=1e-6)
    told.finish()
    told.player.close()


def test_a_device_with_one_channel_has_all_of_it() -> None:
    told = Told("right", channels=1)
    told.say("one", sine(0.5))
    assert told.hand.play(0.5)[:, 0] == pytest.approx(sine(0.5), abs=1e-6)
    told.finish()
    told.player.close()


BEGIN = """
import json, sys, time
import numpy as np
from callout.edges.voice.player import Player, Speech

told = []
player = Player(None, 'both', lambda speech, whole: told.append([speech.name, whole]))

def sine(seconds, hz=500, level=0.3):
    time_s = np.arange(int(seconds * player.rate_hz)) / player.rate_hz
    return (level * np.sin(2 * np.pi * hz * time_s)).astype(np.float32)

def say(name, sound):
    player.add(Speech(name, player.turn), sound, last=True)
"""
END = """
player.drain()
player.close()
print(json.dumps(told))
"""


NEAR_HZ = 5.0
"""A tone that a busy machine tore apart has its peak this near to its pitch."""
TIMES = 4
"""A busy machine lost a whole tone, twice: the first, as the device began."""


def sounds(path: Path, hz: float) -> float:
    """How loud that pitch is in a recording, as a part of the loudest pitch."""
    sound, rate_hz = soundfile.read(path)
    spectrum = np.abs(np.fft.rfft(sound))
    near = np.abs(np.fft.rfftfreq(len(sound), 1 / rate_hz) - hz) < NEAR_HZ
    return float(spectrum[near].max() / spectrum.max())


@pytest.mark.thorough
def test_a_sound_server_plays_it(pulse: Pulse, tmp_path: Path) -> None:
    """Order and presence alone: a busy machine may lose a part of what sounds."""
    out = tmp_path / "out.wav"
    script = "say('one', sine(0.6)); say('two', sine(0.6, 1500))\n" * TIMES
    with pulse.recording(out):
        done = subprocess.run(
            [sys.executable, "-c", BEGIN + script + END], env=pulse.environment, timeout=HANG_S,
            capture_output=True, text=True, check=True,
        )  # fmt: skip
    assert json.loads(done.stdout) == [["one", True], ["two", True]] * TIMES
    assert min(sounds(out, 500), sounds(out, 1_500)) > 0.3
    assert sounds(out, 3_000) < 0.1


LOST = """
print("ready", flush=True)
while not player.lost:
    time.sleep(0.02)
say("too late", sine(0.2))
while player.lost:
    time.sleep(0.02)
sys.stdin.readline()  # it is recorded from now on
for _ in range(TIMES):
    say("back", sine(0.6))
    player.drain()
"""


@pytest.mark.thorough
def test_a_headset_that_is_gone_is_found_again(tmp_path: Path) -> None:
    folder = tmp_path / "pulse"
    folder.mkdir(mode=0o700)
    out = tmp_path / "out.wav"
    with pulse_server(folder) as pulse:
        process = subprocess.Popen(
            [sys.executable, "-c", f"TIMES = {TIMES}\n{BEGIN}{LOST}{END}"],
            env=pulse.environment, stdin=subprocess.PIPE, stdout=subprocess.PIPE,
            stderr=subprocess.PIPE, text=True,
        )  # fmt: skip
        assert process.stdout is not None
        assert process.stdout.readline() == "ready\n"
    with pulse_server(folder) as pulse, pulse.recording(out):
        said, problems = process.communicate("go\n", timeout=HANG_S)
    assert json.loads(said) == [["too late", False], *[["back", True]] * TIMES]
    assert re.search(r"voice: \S+ is gone", problems)
    assert re.search(r"voice: \S+ is back", problems)
    assert sounds(out, 500) == 1.0


TWO = """
import json, time
from callout.edges.voice.device import DeviceVoice
from callout.edges.voice.phrases import Phrases, cache_folder
from callout.edges.voice.piper import PiperSynthesizer

told = {"headset": [], "loud": []}

def opened(name, device):
    note = lambda what, text: told[name].append([what, text])
    return DeviceVoice(Phrases(PiperSynthesizer(), cache_folder()), "both", device, note)

def wait(until):
    end = time.monotonic() + 40
    while not until() and time.monotonic() < end:
        time.sleep(0.02)

def say_often(count):
    for _ in range(count):
        ends = len(told["headset"])
        headset.speak("Home two, number five.")
        wait(lambda: len(told["headset"]) == ends + 2)
        time.sleep(0.5)

headset, loud = opened("headset", None), opened("loud", "loud")
say_often(1)
print("ready", flush=True)
wait(lambda: loud._player.lost)
say_often(3)
print("lost", flush=True)
wait(lambda: not loud._player.lost)
say_often(2)
loud.speak("Sub waiting.")
headset.close()
loud.close()
print(json.dumps(told))
"""

LOUD = """
pcm.loud { type pulse server "unix:SERVER" }
"""


@pytest.mark.thorough
def test_a_loudspeaker_that_is_gone_takes_nothing_from_the_headset(tmp_path: Path) -> None:
    near, far = tmp_path / "near", tmp_path / "far"
    for folder in (near, far):
        folder.mkdir(mode=0o700)
    with pulse_server(near) as pulse:
        with (near / "asound.conf").open("a", encoding="utf-8") as config:
            config.write(LOUD.replace("SERVER", str(far / "native")))
        with pulse_server(far):
            process = subprocess.Popen(
                [sys.executable, "-c", TWO],
                env=pulse.environment, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True,
            )  # fmt: skip
            assert process.stdout is not None
            assert process.stdout.readline() == "ready\n"
        assert process.stdout.readline() == "lost\n"
        with pulse_server(far):
            said, problems = process.communicate(timeout=HANG_S)
    told = json.loads(said)
    text = "Home two, number five."
    assert told["headset"] == [["started", text], ["finished", text]] * 6
    assert told["loud"] == [
        ["notice", "headset_back"],
        ["started", "Sub waiting."],
        ["finished", "Sub waiting."],
    ]
    assert re.findall(r"voice: (\S+) is (gone|back)", problems) == [
        ("loud", "gone"),
        ("loud", "back"),
    ]
