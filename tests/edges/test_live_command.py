"""A game kept live: real sound into a sound server, the real ear, the real voice out again."""

from __future__ import annotations

import os
import re
import signal
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import numpy as np
import pytest
import soundfile

from callout.edges.hall import hall_noise
from callout.edges.live_command import live
from callout.edges.live_voice import Outlets
from callout.edges.sound import RATE_HZ
from callout.errors import CalloutError
from callout.game import calls
from callout.game.terms import Team
from callout.table.journal import Journal
from callout.table.setup import read_setup
from tests.pulse import Pulse
from tests.speech import speech_file

SETUP = """
profile: youth-6-minute
home: Harbour Kites | 4 5 12
guest: Quarry Foxes | 8 11 15
"""

PRINT = Outlets(voice="print", ears="left")


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


@pytest.mark.thorough
def test_calls_spoken_into_a_microphone_are_booked_and_answered_aloud(
    tmp_path: Path, setup: Path, pulse: Pulse
) -> None:
    """The whole chain, once: that it is joined. Each part is tested by itself."""
    game, answer, room = tmp_path / "game", tmp_path / "answer.wav", tmp_path / "room.wav"
    # Without it the microphone is told of as mute, aloud, while the first call is spoken.
    soundfile.write(room, 0.01 * hall_noise(120.0, seed=6), RATE_HZ)
    with (
        pulse.noise(room),
        table(game, setup, pulse, "--ear", "open", folder=tmp_path) as running,
    ):
        running.wait_for("ear: listening")
        begun = pulse.sounded()
        pulse.play(speech_file(tmp_path, "start clock.", name="one.wav"))
        running.wait_for("Running")
        pulse.wait_for_an_end(begun)  # the ear is closed while the answer is spoken
        with pulse.recording(answer):
            begun = pulse.sounded()
            pulse.play(speech_file(tmp_path, "home two number five.", name="two.wav"))
            running.wait_for("Home two, number five")
            pulse.wait_for_an_end(begun)
    with Journal.open(game) as journal:
        booked = [entry.call for entry in journal.entries()]
        said = [each.text for each in journal.replies()]
        source = journal.entries()[-1].source
    assert booked == [calls.StartClock(), calls.Score(Team.HOME, 2, "5")]
    assert source == "voice"
    assert "Home two, number five. Two, nothing." in said
    sound, _ = soundfile.read(answer)
    assert np.abs(sound).max() > 0.05, "it was answered aloud"


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
        running.wait_for("start clock  ->  .*Running")
        printed = running.wait_for(r"The ear is back\.")
    assert printed.index("The ear is gone. Wait.") < printed.index("The ear is back.")
    with Journal.open(game) as journal:
        assert [entry.call for entry in journal.entries()] == [calls.StartClock()]


def ear_of(running: Table) -> int:
    """The process of its ear."""
    for path in Path(f"/proc/{running.process.pid}/task").glob("*/children"):
        for child in path.read_text().split():
            if b"callout.edges.ear" in Path(f"/proc/{child}/cmdline").read_bytes():
                return int(child)
    raise AssertionError("expected an ear, got none")


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
    tmp_path: Path, setup: Path
) -> None:
    setup.write_text(SETUP + "nickname guest: foxez, foxes\n", encoding="utf-8")
    game = tmp_path / "game"
    Journal.create(game, read_setup(setup)).close()
    command = [sys.executable, "-m", "callout", "live", str(game), "--voice", "print",
               "--microphone", "nowhere", "--keys", "typed"]  # fmt: skip
    running = Table(command, tmp_path, dict(os.environ))
    try:
        running.wait_for("it does not know foxez\n")
        running.type("foxez two")
        running.wait_for("foxez two  ->  The game has not started")
    finally:
        running.stop()
    with Journal.open(game) as journal:
        assert list(journal.entries()) == []


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
