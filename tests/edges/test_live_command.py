"""A game kept live: real sound into a sound server, the real ear, the real voice out again."""

from __future__ import annotations

import os
import re
import signal
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

import numpy as np
import pytest
import soundfile

from callout.edges.file_ear import FileEar
from callout.edges.hall import hall_noise
from callout.edges.live_command import live
from callout.edges.live_voice import Outlets
from callout.edges.restarts import MANY
from callout.edges.sound import RATE_HZ
from callout.edges.understood import understand
from callout.errors import CalloutError
from callout.game import calls
from callout.game.terms import Team
from callout.language.parser import Parser
from callout.table.journal import Journal
from callout.table.setup import read_setup
from tests.pulse import Pulse, pulse_server
from tests.speech import speech_file

SETUP = """
profile: youth-6-minute
home: Harbour Kites | 4 5 12
guest: Quarry Foxes | 8 11 15
"""

PRINT = Outlets(voice="print", ears="left")

QUICK_S = 12.0
"""Well before the quiet of a key would end by itself."""


@pytest.fixture
def setup(tmp_path: Path) -> Path:
    """A setup file."""
    path = tmp_path / "game.setup"
    path.write_text(SETUP, encoding="utf-8")
    return path


class Table:
    """`callout live` running, and what it has printed."""

    def __init__(self, command: list[str], folder: Path, environment: dict[str, str]) -> None:
        self.log = folder / "live.log"
        self._file = self.log.open("w")
        self.process = subprocess.Popen(
            command, env=environment, stdin=subprocess.PIPE, stdout=self._file,
            stderr=subprocess.STDOUT, text=True,
        )  # fmt: skip

    def wait_for(self, pattern: str, seconds: float = 60.0) -> str:
        """What it has printed, once that is in it."""
        end = time.monotonic() + seconds
        while time.monotonic() < end:
            text = self.log.read_text()
            if re.search(pattern, text):
                return text
            if self.process.poll() is not None:
                break
            time.sleep(0.05)
        raise AssertionError(f"expected {pattern!r}, got {self.log.read_text()!r}")

    def type(self, line: str) -> None:
        """Type a line at its terminal."""
        assert self.process.stdin is not None
        self.process.stdin.write(line + "\n")
        self.process.stdin.flush()

    def stop(self) -> None:
        """End it as a person would, with Ctrl-C."""
        self.process.send_signal(2)
        self.process.wait(timeout=30)
        self._file.close()
        if self.process.stdin is not None:
            self.process.stdin.close()


@contextmanager
def table(game: Path, setup: Path, pulse: Pulse, *options: str, folder: Path) -> Iterator[Table]:
    command = [sys.executable, "-m", "callout", "live", str(game), "--setup", str(setup), *options]
    running = Table(command, folder, pulse.environment)
    try:
        yield running
    finally:
        running.stop()


def say(running: Table, pulse: Pulse, said: Path, answer: str) -> None:
    """As a person would: once more if nothing comes of it, as where a busy machine lost sound."""
    for _ in range(2):
        pulse.play(said)
        with suppress(AssertionError):
            running.wait_for(answer, 15)
            return
    pulse.play(said)
    running.wait_for(answer, 15)


def test_calls_spoken_into_a_microphone_are_booked_and_answered_aloud(
    tmp_path: Path, setup: Path, pulse: Pulse, ear: FileEar, parser: Parser
) -> None:
    game, answer, room = tmp_path / "game", tmp_path / "answer.wav", tmp_path / "room.wav"
    # Without it the microphone is told of as mute, aloud, while the first call is spoken.
    soundfile.write(room, 0.01 * hall_noise(120.0, seed=6), RATE_HZ)
    with (
        pulse.noise(room),
        table(game, setup, pulse, "--ear", "open", folder=tmp_path) as running,
    ):
        running.wait_for("ear: listening")
        begun = pulse.sounded()
        say(running, pulse, speech_file(tmp_path, "start clock.", name="one.wav"), "Running")
        pulse.wait_for_an_end(begun)  # the ear is closed while the answer is spoken
        with pulse.recording(answer):
            begun = pulse.sounded()
            two = speech_file(tmp_path, "home two number five.", name="two.wav")
            say(running, pulse, two, "Home two, number five")
            pulse.wait_for_an_end(begun)
    with Journal.open(game) as journal:
        booked = [entry.call for entry in journal.entries()]
        said = [each.text for each in journal.replies()]
        source = journal.entries()[-1].source
    assert calls.Score(Team.HOME, 2, "5") in booked
    assert source == "voice"
    assert "Home two, number five. Two, nothing." in said
    sound, _ = soundfile.read(answer)
    assert np.abs(sound).max() > 0.05
    assert np.abs(sound).max() <= 0.55
    heard = " ".join(
        each.text for utterance in ear.hear(answer) for each in understand(parser, utterance)
    )
    assert "home two number five" in heard


@pytest.mark.thorough
def test_a_held_ear_hears_only_while_it_is_held(tmp_path: Path, setup: Path, pulse: Pulse) -> None:
    game = tmp_path / "game"
    options = ("--ear", "hold", "--voice", "print")
    with table(game, setup, pulse, *options, folder=tmp_path) as running:
        running.wait_for("ear: listening")
        pulse.play(speech_file(tmp_path, "start clock.", name="unheld.wav"))
        running.type("")
        time.sleep(0.3)
        pulse.play(speech_file(tmp_path, "tip home.", name="no.wav"))
        running.type("")
        running.wait_for("No period is being played", 15)
        running.type("")
        time.sleep(0.3)
        pulse.play(speech_file(tmp_path, "start clock.", name="held.wav"))
        running.type("")
        running.wait_for("Running", 15)
    with Journal.open(game) as journal:
        assert [entry.call for entry in journal.entries()] == [calls.StartClock()]


@pytest.mark.thorough
@pytest.mark.skipif(sys.platform != "linux", reason="the ear's process is found in /proc")
def test_a_game_goes_on_without_its_ear_and_says_that_it_is_back(
    tmp_path: Path, setup: Path, pulse: Pulse
) -> None:
    game = tmp_path / "game"
    options = ("--ear", "hold", "--voice", "print")
    with table(game, setup, pulse, *options, folder=tmp_path) as running:
        running.wait_for("ear: listening")
        os.kill(ear_of(running), signal.SIGKILL)
        running.type("start clock")
        running.wait_for(r"The ear is gone\. Wait\.")
        running.wait_for("start clock  ->  .*Running")
        running.wait_for(r"The ear is back\.")
        running.type("")
        time.sleep(0.3)
        pulse.play(speech_file(tmp_path, "home two.", name="held.wav"))
        running.type("")
        running.wait_for("Home two", 15)


@pytest.mark.thorough
@pytest.mark.skipif(sys.platform != "linux", reason="the ear's process is found in /proc")
def test_a_key_to_talk_to_an_ear_that_keeps_dying_does_not_silence_the_table(
    tmp_path: Path, setup: Path, pulse: Pulse
) -> None:
    with table(
        tmp_path / "game", setup, pulse, "--ear", "hold", "--voice", "print", folder=tmp_path
    ) as running:
        running.wait_for("ear: listening")
        for deaths in range(1, 5):
            kill_the_ear(running)
            if deaths == MANY:
                running.wait_for("ear: gone")
        running.type("")
        running.type("start clock")
        running.wait_for("  > First quarter", QUICK_S)


@pytest.mark.thorough
def test_a_key_to_talk_does_not_silence_the_table_without_a_microphone(
    tmp_path: Path, setup: Path, pulse: Pulse
) -> None:
    options = ("--ear", "hold", "--voice", "print", "--microphone", "nowhere")
    with table(tmp_path / "game", setup, pulse, *options, folder=tmp_path) as running:
        running.wait_for("cannot be opened")
        running.type("")
        running.type("start clock")
        running.wait_for("  > First quarter", QUICK_S)


@pytest.mark.thorough
def test_a_microphone_that_gives_nothing_ends_the_quiet_of_a_key(
    tmp_path: Path, setup: Path
) -> None:
    place = tmp_path / "pulse"
    place.mkdir(mode=0o700)
    options = ("--ear", "hold", "--voice", "print")
    with (
        pulse_server(place) as pulse,
        table(tmp_path / "game", setup, pulse, *options, folder=tmp_path) as running,
    ):
        running.wait_for("ear: listening")
        running.type("")
        running.type("start clock")
        for sink in ("hall", "headset"):
            pulse.unload(sink)
        running.wait_for("  > No sound from the microphone", QUICK_S)
        running.type("")
        running.type("")
        running.type("home two")
        running.wait_for("  > Home two", QUICK_S)


def kill_the_ear(running: Table) -> None:
    """Kill its process, once there is one."""
    end = time.monotonic() + 20
    while time.monotonic() < end:
        with suppress(AssertionError, OSError):
            os.kill(ear_of(running), signal.SIGKILL)
            time.sleep(0.2)
            return
        time.sleep(0.1)
    raise AssertionError("expected an ear to be started again, got none")


def ear_of(running: Table) -> int:
    """The process of its ear."""
    for path in Path(f"/proc/{running.process.pid}/task").glob("*/children"):
        for child in path.read_text().split():
            if b"callout.edges.ear" in Path(f"/proc/{child}/cmdline").read_bytes():
                return int(child)
    raise AssertionError("expected an ear, got none")


def tap_and_say(running: Table, pulse: Pulse, said: Path) -> None:
    """As a person would: once more if told "Say again?", as where a busy machine lost sound."""
    for _ in range(3):
        told = running.log.read_text().count("Say again?")
        running.type("")
        time.sleep(0.3)
        pulse.play(said)
        time.sleep(5)
        if running.log.read_text().count("Say again?") == told:
            return


@pytest.mark.thorough
def test_a_tapped_ear_hears_one_call(tmp_path: Path, setup: Path, pulse: Pulse) -> None:
    game = tmp_path / "game"
    options = ("--ear", "tap", "--voice", "print")
    with table(game, setup, pulse, *options, folder=tmp_path) as running:
        running.wait_for("ear: listening")
        pulse.play(speech_file(tmp_path, "start clock.", name="untapped.wav"))
        time.sleep(1.5)
        tap_and_say(running, pulse, speech_file(tmp_path, "start clock.", name="tapped.wav"))
        running.wait_for("Running", 15)
        pulse.play(speech_file(tmp_path, "home two.", name="after.wav"))
        time.sleep(1.5)
        tap_and_say(running, pulse, speech_file(tmp_path, "guest three.", name="again.wav"))
        running.wait_for("Guest three", 15)
    with Journal.open(game) as journal:
        booked = [entry.call for entry in journal.entries()]
    assert booked == [calls.StartClock(), calls.Score(Team.GUEST, 3)]


@pytest.mark.thorough
def test_a_game_is_typed_and_taken_up_again(tmp_path: Path, setup: Path) -> None:
    command = [sys.executable, "-m", "callout", "live", str(tmp_path / "game"), "--ear", "off",
               "--voice", "print"]  # fmt: skip
    typed = "start clock\nhome two number five\nend period\nno\n"
    first = subprocess.run(
        [*command, "--setup", str(setup)], input=typed, capture_output=True, text=True, timeout=60
    )
    assert first.returncode == 0, first.stderr
    assert "Home two, number five. Two, nothing." in first.stdout
    assert "The period goes on." in first.stdout
    again = subprocess.run(
        command, input="score check\nwho knows\n", capture_output=True, text=True, timeout=60
    )
    assert "2 entries" in again.stdout
    assert "Last booked: Home two, number five. Two, nothing." in again.stdout
    assert "Carry on from" in again.stdout
    assert "Home two, guest nothing." in again.stdout
    assert "Say again?" in again.stdout


@pytest.mark.thorough
def test_a_game_made_without_an_ear_is_taken_up_with_one_that_lacks_a_nickname(
    tmp_path: Path, setup: Path, pulse: Pulse
) -> None:
    setup.write_text(SETUP + "nickname guest: foxez, foxes\n", encoding="utf-8")
    game = tmp_path / "game"
    Journal.create(game, read_setup(setup)).close()
    with table(game, setup, pulse, "--voice", "print", folder=tmp_path) as running:
        running.wait_for("it does not know foxez")
        running.wait_for("ear: listening")
        pulse.play(speech_file(tmp_path, "foxes two.", name="two.wav"))
        running.wait_for("foxes two  ->", 15)


def test_a_nickname_that_the_ear_lacks_is_refused_before_the_game_is_made(
    tmp_path: Path, setup: Path
) -> None:
    setup.write_text(SETUP + "nickname guest: foxez\n", encoding="utf-8")
    with pytest.raises(CalloutError, match="not known to the ear; such would do: quarry, foxes"):
        live(tmp_path / "game", setup=setup, ear="open", outlets=PRINT)
    assert not (tmp_path / "game").exists()


def test_a_wrong_start_is_one_line(tmp_path: Path) -> None:
    with pytest.raises(CalloutError, match="a new game needs its teams: --setup FILE"):
        live(tmp_path / "game", ear="off", outlets=PRINT)
    with pytest.raises(CalloutError, match="expected hold, open, tap or off, got 'loud'"):
        live(tmp_path / "game", ear="loud", outlets=PRINT)
    with pytest.raises(CalloutError, match="expected left, right, both, got 'none'"):
        live(tmp_path / "game", ear="off", outlets=Outlets(voice="print", ears="none"))


def test_a_game_in_spanish_is_called_and_answered_in_spanish(tmp_path: Path, setup: Path) -> None:
    command = [sys.executable, "-m", "callout", "live", str(tmp_path / "game"), "--setup",
               str(setup), "--voice", "print", "--keys", "typed", "--language", "es"]  # fmt: skip
    said = "arranca reloj\nlocal dos número cinco\n"
    done = subprocess.run([*command, "--ear", "off"], input=said, capture_output=True, text=True,
                          timeout=60)  # fmt: skip
    assert "Local dos, número cinco. Dos, cero." in done.stdout
    deaf = subprocess.run(command, input="", capture_output=True, text=True, timeout=60)
    assert deaf.returncode == 2
    assert "--model FOLDER, or --ear off" in deaf.stderr
