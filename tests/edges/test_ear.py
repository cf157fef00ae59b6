"""The ear's process, spoken to in its own lines: what it answers, and how it ends.

The lines are those that the module's own text lists.
"""

from __future__ import annotations

import json
import signal
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import pytest

from callout.language.compiler import compile_network
from callout.language.grammar import Scope
from callout.language.parser import Parser
from tests.speech import speech_file

IDLE = {"event": "idle"}


class Child:
    """The process, and its lines."""

    def __init__(self, folder: Path) -> None:
        self.process = subprocess.Popen(
            [sys.executable, "-m", "callout.edges.ear", str(folder)], stdin=subprocess.PIPE,
            stdout=subprocess.PIPE, stderr=subprocess.PIPE, encoding="ascii",
        )  # fmt: skip

    def do(self, do: str, **fields: Any) -> None:
        """Give a command."""
        assert self.process.stdin is not None
        self.process.stdin.write(json.dumps({"do": do, **fields}) + "\n")
        self.process.stdin.flush()

    def next(self) -> dict[str, Any]:
        """The next event, beside those that only tell that it lives."""
        while (event := self.line()) == IDLE:
            pass
        return event

    def line(self) -> dict[str, Any]:
        """The next event of all."""
        assert self.process.stdout is not None
        event: dict[str, Any] = json.loads(self.process.stdout.readline())
        return event

    def calls(self, path: Path) -> list[str]:
        """The calls in a sound file that it trusts."""
        self.do("file", path=str(path))
        found = []
        while (event := self.next())["event"] == "utterance":
            found += [
                " ".join(word for word, _, _ in call["words"])
                for call in event["calls"]
                if call["margin"] >= 0
            ]
        assert event == {"event": "done", "path": str(path), "problem": None}
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
    question = compile_network(parser.grammar, Scope(), "any")
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
    child.do("load", model=str(model), networks=str(networks), options={})
    assert child.next() == {"event": "ready"}


def test_it_ends_when_told_to_and_leaves_nothing(
    child: Child, model: Path, networks: Path, tmp_path: Path
) -> None:
    load(child, model, networks)
    child.do("quit")
    out, err = child.process.communicate(timeout=20)
    assert (child.process.returncode, out, err) == (0, "", "")
    assert list(tmp_path.iterdir()) == []


def test_it_tells_that_it_lives(child: Child) -> None:
    assert child.line() == IDLE


def test_it_ends_when_nobody_is_there_any_more(child: Child, tmp_path: Path) -> None:
    out, err = child.process.communicate(timeout=20)
    assert (child.process.returncode, out, err) == (0, "", "")
    assert list(tmp_path.iterdir()) == []


@pytest.mark.skipif(sys.platform == "win32", reason="it has no such signal")
def test_control_c_is_for_the_table_to_act_on(ready: Child, tmp_path: Path) -> None:
    ready.process.send_signal(signal.SIGINT)
    assert ready.calls(speech_file(tmp_path, "start clock.")) == ["start clock"]


def test_it_hears_by_the_network_that_is_chosen(ready: Child, tmp_path: Path) -> None:
    yes = speech_file(tmp_path, "yes.", name="yes.wav")
    stranger = speech_file(tmp_path, "guest foul twenty three.", name="stranger.wav")
    assert ready.calls(yes) == []
    ready.do("use", name="question")
    assert ready.calls(yes) == ["yes"]
    ready.do("use", name="always")
    assert "guest foul twenty three" not in ready.calls(stranger)


def test_one_that_was_started_while_a_question_is_open_hears_the_answer(
    child: Child, model: Path, networks: Path, tmp_path: Path
) -> None:
    child.do("use", name="question")
    child.do("load", model=str(model), networks=str(networks), options={})
    assert child.next() == {"event": "ready"}
    assert child.calls(speech_file(tmp_path, "yes.")) == ["yes"]


def test_a_word_that_the_model_lacks_is_told_though_it_is_of_another_network(
    child: Child, model: Path, networks: Path, tmp_path: Path
) -> None:
    strange, path = {"arcs": [[["zzyzx", 1, 0.0]], []], "finals": [1]}, tmp_path / "strange.json"
    told = {**json.loads(networks.read_text(encoding="utf-8")), "question": strange}
    path.write_text(json.dumps(told), encoding="utf-8")
    child.do("load", model=str(model), networks=str(path), options={})
    what = "words that the model does not know: zzyzx"
    assert child.next() == {"event": "problem", "what": what, "kind": "ModelError"}


def test_a_bad_file_is_told_with_its_end(ready: Child, tmp_path: Path) -> None:
    path = tmp_path / "absent.wav"
    ready.do("file", path=str(path))
    what = f"{path}: expected a sound file, got nothing there"
    assert ready.next() == {"event": "done", "path": str(path), "problem": what}


def test_what_it_cannot_do_is_a_problem_and_no_end(child: Child, tmp_path: Path) -> None:
    child.do("file", path="said.wav")
    early = child.next()
    assert (early["event"], early["kind"]) == ("problem", "CalloutError")
    assert "before it was given a model" in early["what"]
    child.do("load", model=str(tmp_path), networks="", options={})
    missing = child.next()
    assert (missing["event"], missing["kind"]) == ("problem", "ModelError")
    assert missing["what"].endswith("is missing; get it with: callout models")
    child.do("press")
    child.do("release")
    child.do("gate", closed=True)
    child.do("quit")
    assert child.process.wait(timeout=20) == 0
