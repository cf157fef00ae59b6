"""The process of a voice: started again when it dies or hangs, whoever asks it meanwhile."""

from __future__ import annotations

import errno
import os
import queue
import re
import shutil
import signal
import sys
import threading
from collections.abc import Callable, Iterator
from pathlib import Path

import numpy as np
import pytest

from callout.edges.child import Supervision
from callout.edges.restarts import MANY, PAUSES_S
from callout.edges.voice.messages import COMMANDS, EVENTS, Ready, Say, Spoken, Told
from callout.edges.voice.piper import PiperSynthesizer, default_voice
from callout.edges.voice.synthesizer import LIMIT_S
from callout.errors import ModelError
from tests.edges.scripted import Children, Seconds
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


VoiceChildren = Children[Say, Told]


class Scripted:
    """A voice whose processes and seconds are the test's; each is ready as it begins."""

    def __init__(self, folder: Path) -> None:
        model = folder / "child.onnx"
        model.write_bytes(b"")
        self.children, self.seconds = VoiceChildren(COMMANDS, EVENTS), Seconds()
        self.children.begin = lambda child: child.tell(Ready())
        self.children.on[Say] = self._say
        self.over_a_text: list[Callable[[], None]] = []
        """What happens at the next texts; after that each is spoken."""
        self.back: queue.Queue[None] = queue.Queue()
        self.piper = PiperSynthesizer(model, by=self.children.by(self.seconds, folder / "log"))
        self.piper.back = lambda: self.back.put(None)

    def _say(self) -> None:
        if self.over_a_text:
            self.over_a_text.pop(0)()
        else:
            self.children.last.tell(Spoken.of(b"\x00\x10" * 2_000, 16_000))

    def hang(self) -> None:
        """A process never answers."""
        self.seconds.pass_by(int(LIMIT_S) + 1)

    def die(self) -> None:
        """A process dies."""
        self.children.last.end(-11)

    def speaks(self) -> bool:
        """Whether there is sound."""
        return len(self.piper.render("One.", 1.0).samples) > 1_000


@pytest.fixture
def scripted(tmp_path: Path) -> Iterator[Scripted]:
    """One that was asked nothing yet."""
    made = Scripted(tmp_path)
    yield made
    made.piper.close()


@pytest.mark.parametrize("fails", [Scripted.hang, Scripted.die])
def test_a_voice_that_fails_over_a_text_is_replaced_before_anybody_misses_it(
    scripted: Scripted, fails: Callable[[Scripted], None], capsys: pytest.CaptureFixture[str]
) -> None:
    scripted.over_a_text = [lambda: fails(scripted)]
    assert scripted.speaks()
    assert scripted.children.count == 2
    assert scripted.back.empty()
    assert capsys.readouterr().err == ""


@pytest.mark.parametrize("fails", [Scripted.hang, Scripted.die])
def test_a_text_on_which_every_voice_fails_is_given_up(
    scripted: Scripted, fails: Callable[[Scripted], None]
) -> None:
    scripted.over_a_text = [lambda: fails(scripted)] * 2
    with pytest.raises(ModelError, match=r"the voice failed on 'One\."):
        scripted.piper.render("One.", 1.0)
    assert scripted.speaks(), "another is spoken"


def test_a_voice_that_dies_by_itself_is_there_again_by_itself(
    scripted: Scripted, capsys: pytest.CaptureFixture[str]
) -> None:
    assert scripted.speaks()
    scripted.die()
    scripted.back.get(timeout=HANG_S)
    assert scripted.children.count == 2
    assert capsys.readouterr().err == "voice: it died (status -11); it is started again\n"
    assert scripted.speaks()


def test_a_voice_that_the_system_does_not_start_is_tried_again(scripted: Scripted) -> None:
    """Too little memory or too many processes may be just what ended the one before."""
    assert scripted.speaks()
    scripted.children.refusals = [OSError(errno.EAGAIN, os.strerror(errno.EAGAIN))] * MANY
    scripted.seconds.enough = MANY
    scripted.die()
    assert scripted.seconds.waits.wait(HANG_S)
    # Nobody waits for a voice that is not there: it is refused before it is tried again.
    with pytest.raises(ModelError, match="keeps failing"):
        scripted.piper.render("Two.", 1.0)
    assert scripted.back.empty()


def test_a_voice_that_kept_dying_is_told_of_once_it_lives(scripted: Scripted) -> None:
    assert scripted.speaks()
    scripted.children.refusals = [OSError(errno.EAGAIN, os.strerror(errno.EAGAIN))] * MANY
    scripted.die()
    assert scripted.children.next()
    again = scripted.children.next()
    assert scripted.seconds.waited == list(PAUSES_S[: MANY + 1])
    assert scripted.back.empty()
    assert scripted.piper._child is not None
    assert scripted.piper._child.wait_until_ready()
    assert scripted.speaks()
    scripted.back.get(timeout=HANG_S)
    assert scripted.children.last is again


def test_a_voice_that_does_not_load_is_ended_and_said_to_be_none(scripted: Scripted) -> None:
    """One process after another dies as it loads, until whoever asks has seen it."""
    told: queue.Queue[str] = queue.Queue()

    def ask() -> None:
        with pytest.raises(ModelError) as refused:
            scripted.speaks()
        told.put(str(refused.value))

    scripted.children.begin = lambda child: None
    asking = threading.Thread(target=ask)
    asking.start()
    while asking.is_alive():
        scripted.children.next().end(1)
    # Which of the two depends on how many have died before it asks.
    either = re.compile("cannot be started; try --voice print|keeps failing; it is tried again")
    assert either.search(told.get_nowait())


def test_a_voice_that_was_closed_is_started_when_it_is_asked_again(scripted: Scripted) -> None:
    assert scripted.speaks()
    scripted.piper.close()
    assert scripted.speaks()
    assert scripted.children.count == 2


# --- the real one ---------------------------------------------------------------------------------


@pytest.mark.thorough
def test_a_voice_that_is_killed_is_there_again_by_itself(piper: PiperSynthesizer) -> None:
    back = threading.Event()
    piper.back = back.set
    piper.render("One.", 1.0)
    killed = pid_of(piper)
    os.kill(killed, signal.SIGKILL)
    assert back.wait(HANG_S)
    assert pid_of(piper) != killed
    assert len(piper.render("Two, and three.", 1.0).samples) > 1_000


def pid_of(piper: PiperSynthesizer) -> int:
    """The number of its process."""
    assert piper._child is not None
    assert piper._child.pid is not None
    return piper._child.pid


@pytest.mark.thorough
@pytest.mark.skipif(sys.platform != "linux", reason="the processes are found in /proc")
def test_those_who_ask_a_voice_that_was_killed_share_the_one_that_comes_back(own: Path) -> None:
    piper, short, long = PiperSynthesizer(own), "Nine.", "Guest foul, number eleven."
    made: dict[str, list[int]] = {short: [], long: []}

    def ask(text: str) -> None:
        made[text] += [len(piper.render(text, 1.0).samples) for _ in range(3)]

    for _ in range(2):
        piper.render("One.", 1.0)
        os.kill(pid_of(piper), signal.SIGKILL)
        threads = [threading.Thread(target=ask, args=(text,)) for text in made]
        for thread in threads:
            thread.start()
        for thread in threads:
            thread.join()
        assert _processes_of(own) == [pid_of(piper)]
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


def test_ctrl_c_is_not_for_the_voice(lasting: PiperSynthesizer) -> None:
    lasting.render("Three.", 1.0)
    process = pid_of(lasting)
    os.kill(process, signal.SIGINT)
    lasting.render("Four.", 1.0)
    assert pid_of(lasting) == process


def test_a_voice_of_ones_own_speaks(own: Path, tmp_path: Path) -> None:
    piper = PiperSynthesizer(own)
    assert np.abs(piper.render("One.", 1.0).samples).max() > 0.1
    piper.close()
    with pytest.raises(ModelError, match="there is no such voice file"):
        PiperSynthesizer(tmp_path / "absent.onnx")


def test_a_voice_that_is_none_says_so(tmp_path: Path) -> None:
    path = tmp_path / "bad.onnx"
    path.write_bytes(b"nothing")
    log = tmp_path / "voice.log"
    piper = PiperSynthesizer(path, by=Supervision(log=log))
    with pytest.raises(ModelError, match="cannot be started; try --voice print"):
        piper.render("One.", 1.0)
    piper.close()
    assert b"Traceback" in log.read_bytes()
    assert default_voice().suffix == ".onnx"
