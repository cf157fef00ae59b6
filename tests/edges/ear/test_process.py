"""The ear's process, spoken to by its pipe: what it answers, and how it ends."""

from __future__ import annotations

import json
import signal
import subprocess
import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from callout.edges.ear.messages import (
    COMMANDS,
    EVENTS,
    Command,
    FileDone,
    Gate,
    HearFile,
    Idle,
    Level,
    Listen,
    Load,
    Mode,
    Press,
    Problem,
    Ready,
    Release,
    Told,
    Use,
    Utterance,
)
from callout.edges.ear.messages import Listening as ListensTo
from callout.edges.ear.process import GATE_TAIL_S, Process
from callout.edges.ear.sound import RATE_HZ, Samples
from callout.errors import CalloutError
from callout.language.compiler import compile_network
from callout.language.grammar import Scope
from callout.language.parser import Parser
from callout.language.scope import Sentences
from tests.patience import HANG_S
from tests.speech import speech_file, spoken

IDLE = Idle()


class Child:
    """The process, and its lines."""

    def __init__(self, folder: Path) -> None:
        self.process = subprocess.Popen(
            [sys.executable, "-m", "callout.edges.ear.process", str(folder)], stdin=subprocess.PIPE,
            stdout=subprocess.PIPE, stderr=subprocess.PIPE, encoding="ascii",
        )  # fmt: skip

    def do(self, command: Command) -> None:
        """Give a command."""
        assert self.process.stdin is not None
        self.process.stdin.write(COMMANDS.write(command) + "\n")
        self.process.stdin.flush()

    def next(self) -> Told:
        """The next event, beside those that only tell that it lives."""
        while (event := self.line()) == IDLE:
            pass
        return event

    def line(self) -> Told:
        """The next event of all."""
        assert self.process.stdout is not None
        return EVENTS.read(self.process.stdout.readline())

    def calls(self, path: Path) -> list[str]:
        """The calls in a sound file that it trusts."""
        self.do(HearFile(str(path)))
        found = []
        while isinstance(event := self.next(), Utterance):
            found += event.trusted
        assert event == FileDone(str(path))
        return found


@contextmanager
def started(folder: Path) -> Iterator[Child]:
    """A process that was told nothing yet; its private files are in that folder."""
    running = Child(folder)
    try:
        yield running
    finally:
        running.process.kill()
        running.process.communicate()


@pytest.fixture
def child(tmp_path: Path) -> Iterator[Child]:
    """A process that was told nothing yet; its private files are under `private`."""
    with started(tmp_path / "private") as running:
        yield running


@pytest.fixture(scope="module")
def networks(parser: Parser, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A file of both networks of a game."""
    question = compile_network(parser.grammar, Scope(), Sentences.BOTH)
    path = tmp_path_factory.mktemp("networks") / "networks.json"
    told = {"always": parser.network.to_dict(), "question": question.to_dict()}
    path.write_text(json.dumps(told), encoding="utf-8")
    return path


@pytest.fixture(scope="module")
def ready(model: Path, networks: Path, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Child]:
    """A process that has loaded its model, for all that do not end it."""
    with started(tmp_path_factory.mktemp("ear") / "private") as running:
        load(running, model, networks)
        yield running


def load(child: Child, model: Path, networks: Path) -> None:
    """Let a process load its model."""
    child.do(Load(str(model), str(networks)))
    assert child.next() == Ready()


def test_it_ends_with_its_input_and_leaves_nothing(
    child: Child, model: Path, networks: Path, tmp_path: Path
) -> None:
    load(child, model, networks)
    out, err = child.process.communicate(timeout=HANG_S)
    assert (child.process.returncode, out, err) == (0, "", "")
    assert list(tmp_path.iterdir()) == []


def test_it_ends_with_its_input_before_it_was_told_anything(child: Child, tmp_path: Path) -> None:
    out, err = child.process.communicate(timeout=HANG_S)
    assert (child.process.returncode, out, err) == (0, "", "")
    assert list(tmp_path.iterdir()) == []


@pytest.mark.skipif(sys.platform == "win32", reason="it has no such signal")
def test_control_c_is_for_the_table_to_act_on(ready: Child, tmp_path: Path) -> None:
    ready.process.send_signal(signal.SIGINT)
    assert ready.calls(speech_file(tmp_path, "start clock.")) == ["start clock"]


def test_a_thread_that_fails_ends_it_so_that_another_is_started(child: Child) -> None:
    assert child.process.stdin is not None
    child.process.stdin.write("{}\n")
    child.process.stdin.flush()
    _, err = child.process.communicate(timeout=HANG_S)
    assert child.process.returncode == 1
    assert err.splitlines()[-1].startswith("ValueError: expected a message with its 'do'")


def test_a_line_that_breaks_off_is_the_table_s_end(child: Child, tmp_path: Path) -> None:
    out, err = child.process.communicate('{"do": "pre', timeout=HANG_S)
    assert (child.process.returncode, out, err) == (0, "", "")
    assert list(tmp_path.iterdir()) == []


def test_it_tells_that_it_lives_and_begins_with_an_empty_folder(tmp_path: Path) -> None:
    """One that was killed while it read its model has left copies of it."""
    left = tmp_path / "private" / "always" / "am"
    left.mkdir(parents=True)
    (left / "final.mdl").write_bytes(b"half a copy")
    with started(tmp_path / "private") as running:
        assert running.line() == IDLE
        assert list((tmp_path / "private").iterdir()) == []


def test_it_hears_by_the_network_that_is_chosen(ready: Child, tmp_path: Path) -> None:
    yes = speech_file(tmp_path, "yes.", name="yes.wav")
    stranger = speech_file(tmp_path, "guest foul twenty three.", name="stranger.wav")
    assert ready.calls(yes) == []
    ready.do(Use("question"))
    assert ready.calls(yes) == ["yes"]
    ready.do(Use("always"))
    assert "guest foul twenty three" not in ready.calls(stranger)


@pytest.mark.thorough
def test_one_that_was_started_while_a_question_is_open_hears_the_answer(
    child: Child, model: Path, networks: Path, tmp_path: Path
) -> None:
    child.do(Use("question"))
    child.do(Load(str(model), str(networks)))
    assert child.next() == Ready()
    assert child.calls(speech_file(tmp_path, "yes.")) == ["yes"]


def test_a_word_that_the_model_lacks_is_told_though_it_is_of_another_network(
    child: Child, model: Path, networks: Path, tmp_path: Path
) -> None:
    path = tmp_path / "strange.json"
    strange = {"arcs": [[["zzyzx", 1, 0.0]], []], "ends": [[1, 0.0]]}
    told = {**json.loads(networks.read_text(encoding="utf-8")), "question": strange}
    path.write_text(json.dumps(told), encoding="utf-8")
    child.do(Load(str(model), str(path)))
    assert child.next() == Problem("words that the model does not know: zzyzx", "ModelError")


def test_a_bad_file_is_told_with_its_end(ready: Child, tmp_path: Path) -> None:
    path = tmp_path / "absent.wav"
    ready.do(HearFile(str(path)))
    what = f"{path}: expected a sound file, got nothing there"
    assert ready.next() == FileDone(str(path), what)


def test_what_it_cannot_do_is_a_problem_and_no_end(child: Child, tmp_path: Path) -> None:
    child.do(HearFile("said.wav"))
    early = child.next()
    assert isinstance(early, Problem)
    assert early.kind == "CalloutError"
    assert "before it was given a model" in early.what
    child.do(Load(str(tmp_path), ""))
    missing = child.next()
    assert isinstance(missing, Problem)
    assert missing.kind == "ModelError"
    assert missing.what.endswith("is missing; get it with: callout models")
    for command in (Press(), Release(), Gate(True)):
        child.do(command)
    child.process.communicate(timeout=HANG_S)
    assert child.process.returncode == 0


# --- in the test's own process, with a microphone that gives what the test says ------------------


class Given:
    """A microphone that gives nothing by itself."""

    name, rate_hz, late_s, is_open = "given", 48_000, 0.1, True

    def __init__(self) -> None:
        self.opened: list[str | None] = []
        self.closed = 0
        self.trouble: Callable[[str, str], None] = lambda sort, what: None

    def __call__(
        self,
        device: str | None,
        take: Callable[[Samples], None],
        trouble: Callable[[str, str], None],
        patient: bool,
    ) -> Any:
        """Open it."""
        assert patient
        self.opened.append(device)
        self.trouble = trouble
        return self

    def close(self) -> None:
        """Close it."""
        self.closed += 1


class Listening:
    """The work of the ear's process, done at once, and what it told."""

    def __init__(self, model: Path, networks: Path, folder: Path) -> None:
        self.microphone, self.told = Given(), list[Told]()
        self.process = Process(folder, self.told.append, self.microphone)
        self.do(Load(str(model), str(networks)))
        assert self.told == [Ready()]

    def do(self, command: Command) -> None:
        """Do a command."""
        self.process.command(command)

    def listen(self, mode: Mode = Mode.OPEN, device: str | None = None) -> None:
        """Hear the microphone."""
        self.do(Listen(device, mode))

    def utterances(self) -> list[Utterance]:
        """Those that it told since they were last forgotten."""
        return [each for each in self.told if isinstance(each, Utterance)]

    def hear(self, *texts: str) -> list[Utterance]:
        """Hear texts, with quiet before and after, in blocks of 50 ms; the utterances."""
        self.told.clear()
        sound = (spoken(texts, gap_s=1.5) * 32767).astype(np.int16)
        for at in range(0, len(sound), RATE_HZ // 20):
            self.process.sound(sound[at : at + RATE_HZ // 20])
        return self.utterances()


@pytest.fixture(scope="module")
def listening(
    model: Path, networks: Path, tmp_path_factory: pytest.TempPathFactory
) -> Iterator[Listening]:
    """One with its model, for all tests that begin with `listen`."""
    listening = Listening(model, networks, tmp_path_factory.mktemp("work"))
    yield listening
    listening.do(Use("always"))  # waits for the other network


def calls_of(utterances: list[Utterance]) -> list[str]:
    return [call for each in utterances for call in each.trusted]


def test_what_is_heard_is_told_with_its_age(listening: Listening) -> None:
    listening.listen(device="headset")
    assert listening.told[-1] == ListensTo("given", 48_000)
    (heard,) = listening.hear("guest foul eleven.")
    assert calls_of([heard]) == ["guest foul eleven"]
    # By the sound alone: the pause after it, and 0.1 s that it takes from the microphone.
    assert 0.1 < heard.age_s < 0.1 + 1.5
    assert Level(0) in listening.told, "the quiet before"


def test_while_the_table_speaks_and_for_a_moment_more_nothing_is_heard(
    listening: Listening,
) -> None:
    listening.listen()
    listening.do(Gate(True))
    assert calls_of(listening.hear("guest foul eleven.")) == []
    listening.do(Gate(False))
    # The sound begins with 0.5 s of quiet, and the room rings for less.
    assert GATE_TAIL_S + Given.late_s < 0.5
    assert calls_of(listening.hear("start clock.")) == ["start clock"]


def test_an_ear_that_takes_the_place_of_another_is_open_or_closed_as_it_was(
    listening: Listening,
) -> None:
    listening.listen()
    listening.hear("guest foul eleven.")
    listening.do(Gate(True))
    listening.listen()
    assert calls_of(listening.hear("start clock.")) == []
    listening.do(Gate(False))
    listening.listen()
    assert calls_of(listening.hear("start clock.")) == ["start clock"]


def test_an_answer_is_heard_while_a_question_is_open(listening: Listening) -> None:
    for network, calls in (("always", []), ("question", ["yes"]), ("always", [])):
        listening.do(Use(network))
        listening.listen()
        assert calls_of(listening.hear("yes.")) == calls


def test_an_answer_that_began_before_its_question_is_heard_by_its_network(
    listening: Listening,
) -> None:
    listening.listen()
    sound = (spoken(["yes."], gap_s=1.5) * 32767).astype(np.int16)
    for at in range(0, len(sound), RATE_HZ // 20):
        if at == RATE_HZ:
            listening.told.clear()
            listening.do(Use("question"))
        listening.process.sound(sound[at : at + RATE_HZ // 20])
    listening.do(Use("always"))
    assert calls_of(listening.utterances()) == ["yes"]


def test_a_held_ear_hears_while_the_pedal_is_down(listening: Listening) -> None:
    listening.listen(Mode.HOLD)
    assert listening.hear("home two number five.") == []
    listening.do(Press())
    assert listening.hear("home two number five.") == [], "it goes on until the pedal is up"
    listening.do(Release())
    assert calls_of(listening.hear()) == ["home two number five"]
    assert listening.hear("home two number five.") == []


def test_a_tapped_ear_hears_one_call(listening: Listening) -> None:
    listening.listen(Mode.TAP)
    assert listening.hear("start clock.") == []
    listening.do(Press())
    listening.do(Release())
    assert calls_of(listening.hear("start clock.", "home two.")) == ["start clock"]


def test_another_microphone_takes_the_place_of_the_one_before(listening: Listening) -> None:
    listening.listen(device="one")
    before = listening.microphone.closed
    listening.listen(device="other")
    assert listening.microphone.opened[-2:] == ["one", "other"]
    assert listening.microphone.closed == before + 1
    listening.told.clear()
    listening.microphone.trouble("zeros", "gives only zeros")
    assert listening.told == [Problem("gives only zeros", "DeviceError", "zeros")]


def test_it_cannot_listen_before_it_has_a_model(tmp_path: Path) -> None:
    process = Process(tmp_path, lambda event: None, Given())
    with pytest.raises(CalloutError, match="before it was given a model"):
        process.command(Listen(None, Mode.OPEN))
    process.sound(np.zeros(800, dtype=np.int16))
