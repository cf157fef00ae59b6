"""The process of a voice: started again when it dies or hangs, whoever asks it meanwhile."""

from __future__ import annotations

import os
import shutil
import signal
import sys
import threading
import time
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import ClassVar

import numpy as np
import pytest

from callout.edges import restarts
from callout.edges.restarts import MANY, Restarts
from callout.edges.voice.piper import PiperSynthesizer, default_voice
from callout.errors import ModelError
from tests.patience import HANG_S


@pytest.fixture
def piper() -> Iterator[PiperSynthesizer]:
    """The voice that comes as an extra; it ends with the test."""
    made = PiperSynthesizer()
    yield made
    made.close()


@pytest.fixture(scope="module")
def lasting() -> Iterator[PiperSynthesizer]:
    """The same, for all the tests that leave it alive."""
    made = PiperSynthesizer()
    yield made
    made.close()


@pytest.fixture
def own(tmp_path: Path) -> Path:
    """A model of one's own: the same voice under another name."""
    model = tmp_path / "own.onnx"
    model.symlink_to(default_voice())
    shutil.copy(f"{default_voice()}.json", tmp_path / "own.onnx.json")
    return model


CHILD = """
import json, os, sys
from pathlib import Path
started = Path(sys.argv[1] + ".started")
nth = len(started.read_text()) if started.exists() else 0
started.write_text("x" * (nth + 1))
print('{"ready": true}', flush=True)
for line in sys.stdin:
    if nth in HANGS:
        continue
    sound = b"\\x00\\x10" * 2_000
    sys.stdout.buffer.write(json.dumps({"rate_hz": 16000, "bytes": len(sound)}).encode() + b"\\n")
    sys.stdout.buffer.write(sound)
    sys.stdout.flush()
"""
"""It speaks as the voice's process does; those of its processes in HANGS never answer."""


class Watch(threading.Timer):
    """A watch whose time is up at once where `up` says so, and else never."""

    up: ClassVar[list[bool]] = []

    def start(self) -> None:
        if self.up.pop(0):
            self.function()


def hanging(tmp_path: Path, hangs: tuple[int, ...]) -> PiperSynthesizer:
    """A voice some of whose processes never answer: of those the time is up at once."""
    model = tmp_path / "child.onnx"
    model.write_bytes(b"")
    Watch.up = [nth in hangs for nth in range(9)]
    code = CHILD.replace("HANGS", repr(hangs))
    return PiperSynthesizer(model, watch=Watch, program=(sys.executable, "-c", code))


def test_a_voice_that_hangs_is_ended_and_another_speaks(tmp_path: Path) -> None:
    piper = hanging(tmp_path, (0,))
    assert len(piper.render("One.", 1.0).samples) > 1_000
    assert (tmp_path / "child.onnx.started").read_text() == "xx"
    piper.close()


def test_a_voice_that_the_system_does_not_start_is_tried_again(tmp_path: Path) -> None:
    """Too little memory or too many processes may be just what ended the one before."""
    program, model, back = tmp_path / "program", tmp_path / "child.onnx", threading.Event()
    model.write_bytes(b"")
    text = f"#!{sys.executable}\n{CHILD.replace('HANGS', '()')}"

    def put() -> None:
        program.write_text(text)
        program.chmod(0o700)

    put()
    restarts = Restarts((0.0, 0.0, 0.05))
    piper = PiperSynthesizer(model, restarts=restarts, well_s=0.0, program=(str(program),))
    piper.back = back.set
    assert len(piper.render("One.", 1.0).samples) > 1_000
    process = piper._process
    assert process is not None
    program.unlink()
    process.kill()
    _wait_until(lambda: restarts.deaths > MANY)
    with pytest.raises(ModelError, match="keeps failing"):
        piper.render("Two.", 1.0)
    put()
    assert back.wait(HANG_S)
    assert len(piper.render("Two.", 1.0).samples) > 1_000
    piper.close()


def test_a_text_on_which_every_voice_hangs_is_given_up(tmp_path: Path) -> None:
    piper = hanging(tmp_path, (0, 1))
    with pytest.raises(ModelError, match=r"the voice failed on 'One\."):
        piper.render("One.", 1.0)
    piper.close()


def test_a_voice_that_is_killed_is_there_again_by_itself(piper: PiperSynthesizer) -> None:
    back = threading.Event()
    piper.back = back.set
    piper.render("One.", 1.0)
    killed = piper._process
    assert killed is not None
    killed.kill()
    assert back.wait(HANG_S)
    again = piper._process
    assert again is not None
    assert again is not killed
    assert again.poll() is None
    assert len(piper.render("Two, and three.", 1.0).samples) > 1_000


@pytest.mark.thorough
@pytest.mark.skipif(sys.platform != "linux", reason="the processes are found in /proc")
def test_those_who_ask_a_voice_that_was_killed_share_the_one_that_comes_back(own: Path) -> None:
    piper, short, long = PiperSynthesizer(own), "Nine.", "Guest foul, number eleven."
    made: dict[str, list[int]] = {short: [], long: []}

    def ask(text: str) -> None:
        made[text] += [len(piper.render(text, 1.0).samples) for _ in range(3)]

    for _ in range(2):
        piper.render("One.", 1.0)
        killed = piper._process
        assert killed is not None
        os.kill(killed.pid, signal.SIGKILL)
        killed.wait()
        threads = [threading.Thread(target=ask, args=(text,)) for text in made]
        for thread in threads:
            thread.start()
        for thread in threads:
            thread.join()
        assert piper._process is not None
        assert _processes_of(own) == [piper._process.pid]
    piper.close()
    assert _processes_of(own) == []
    assert len(made[short]) == len(made[long]) == 6
    assert min(made[long]) > 1.5 * max(made[short]) > 1_500


def _processes_of(model: Path) -> list[int]:
    lists = [path.read_text() for path in Path("/proc/self/task").glob("*/children")]
    children = [pid for each in lists for pid in each.split()]
    return [
        int(pid) for pid in children if bytes(model) in Path(f"/proc/{pid}/cmdline").read_bytes()
    ]


@pytest.mark.thorough
def test_a_voice_that_keeps_dying_is_told_of_once_it_lives(own: Path) -> None:
    piper = PiperSynthesizer(own, restarts=Restarts((0.0, 0.0, 0.2)), well_s=0.5)
    told: list[float] = []
    piper.back = lambda: told.append(time.monotonic())
    piper.render("One.", 1.0)
    process = piper._process
    assert process is not None
    own.unlink()
    process.kill()
    _wait_until(lambda: piper._restarts.deaths > restarts.MANY)
    # Nobody waits for a voice that is not there: it is refused before it is tried again.
    with pytest.raises(ModelError, match="keeps failing"):
        piper.render("Two, and four.", 1.0)
    assert told == []
    own.symlink_to(default_voice())
    _wait_until(lambda: bool(told))
    assert len(piper.render("Two, and four.", 1.0).samples) > 1_000
    assert (len(told), piper._restarts.deaths) == (1, 0)
    piper.close()


def _wait_until(true: Callable[[], bool]) -> None:
    end = time.monotonic() + 60
    while not true():
        assert time.monotonic() < end
        time.sleep(0.01)


def test_ctrl_c_is_not_for_the_voice(lasting: PiperSynthesizer) -> None:
    lasting.render("Three.", 1.0)
    process = lasting._process
    assert process is not None
    process.send_signal(signal.SIGINT)
    lasting.render("Four.", 1.0)
    assert lasting._process is process


def test_a_voice_of_ones_own_speaks(own: Path, tmp_path: Path) -> None:
    piper = PiperSynthesizer(own)
    assert np.abs(piper.render("One.", 1.0).samples).max() > 0.1
    piper.close()
    with pytest.raises(ModelError, match="there is no such voice file"):
        PiperSynthesizer(tmp_path / "absent.onnx")


def test_a_voice_that_is_none_says_so(tmp_path: Path) -> None:
    path = tmp_path / "bad.onnx"
    path.write_bytes(b"nothing")
    piper = PiperSynthesizer(path)
    with pytest.raises(ModelError, match="cannot be started; try --voice print"):
        piper.render("One.", 1.0)
    piper.close()
    assert default_voice().suffix == ".onnx"
