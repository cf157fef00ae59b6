"""A child that is kept alive: its questions and answers, and one real process.

How it is ended where it hangs, started again and told of is tested by the ear, the keyboard and the
synthesizer, each with processes and seconds of the test's own.
"""

from __future__ import annotations

import errno
import os
import queue
import signal
import sys
import threading
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path

import pytest

from callout.edges.child import SupervisedChild
from callout.edges.child_process import KEPT_BYTES, PythonProcess
from callout.edges.restarts import MANY, Back, Change, Died, Gone
from callout.edges.wire import Wire
from tests.edges.scripted import Children, ScriptedChild, Seconds
from tests.patience import HANG_S


@dataclass(frozen=True, slots=True)
class Question:
    """What is asked."""


@dataclass(frozen=True, slots=True)
class Ready:
    """It may be asked."""


@dataclass(frozen=True, slots=True)
class Answer:
    """What is answered."""

    nth: int


Told = Ready | Answer
COMMANDS = Wire[Question]("do", {"ask": Question})
EVENTS = Wire[Told]("event", {"ready": Ready, "answer": Answer})
ASK = COMMANDS.write(Question())
LOADS_S, LIMIT_S = 20, 5


class Asked:
    """A child that answers questions."""

    def __init__(self, folder: Path, greet: Callable[[], None] = lambda: None) -> None:
        self.children = Children[Question, Told](COMMANDS, EVENTS)
        self.children.begin = lambda child: child.tell(Ready())
        self.seconds, self.changes = Seconds(), queue.Queue[Change]()
        self.took: Callable[[Told], None] = self._took
        self.child = SupervisedChild(
            "child",
            ("module", "argument"),
            EVENTS,
            took=lambda event: self.took(event),
            changed=self.changes.put,
            greet=greet,
            loads_s=LOADS_S,
            by=self.children.by(self.seconds, folder / "child.log"),
        )

    def _took(self, event: Told) -> None:
        (self.child.ready if isinstance(event, Ready) else self.child.worked)()

    def answer(self, nth: int) -> None:
        """The process answers the next question."""
        self.children.on[Question] = lambda: self.children.last.tell(Answer(nth))

    def die(self) -> None:
        """It dies of the next question."""
        self.children.on[Question] = lambda: self.children.last.end(-11)

    def hang(self) -> None:
        """It never answers the next question."""
        self.children.on[Question] = lambda: self.seconds.pass_by(LIMIT_S + 1)


@pytest.fixture
def asked(tmp_path: Path) -> Iterator[Asked]:
    """One that is started, and ready."""
    made = Asked(tmp_path)
    made.child.start()
    assert made.child.wait_until_ready()
    yield made
    made.child.close()


def test_a_question_has_its_answer(asked: Asked) -> None:
    for nth in range(3):
        asked.answer(nth)
        assert asked.child.ask(ASK, LIMIT_S) == Answer(nth)
    assert asked.children.last.module == ("module", "argument")
    assert asked.changes.empty()


def test_whoever_asks_one_that_dies_or_hangs_gets_no_answer_and_the_next_has_one(
    asked: Asked,
) -> None:
    for fails in (asked.die, asked.hang):
        fails()
        assert asked.child.ask(ASK, LIMIT_S) is None
        asked.answer(7)
        assert asked.child.wait_until_ready()
        assert asked.child.ask(ASK, LIMIT_S) == Answer(7)
    changes = [asked.changes.get(timeout=HANG_S) for _ in range(4)]
    hung = Died(-signal.SIGKILL, "hung, and was ended")
    assert changes == [Died(-11, "died (status -11)"), Back(), hung, Back()]


def test_one_asked_while_it_still_tells_that_it_is_ready_gives_the_answer(tmp_path: Path) -> None:
    """On a busy machine that event was taken for the answer, and every answer for the next's."""
    made, written = Asked(tmp_path), threading.Event()
    answers: queue.Queue[Told | None] = queue.Queue()

    def took(event: Told) -> None:
        made.child.ready()
        assert written.wait(HANG_S)

    def ask() -> None:
        assert made.child.wait_until_ready()
        answers.put(made.child.ask(ASK, LIMIT_S))

    made.took = took
    made.children.on[Question] = written.set
    made.child.start()
    asking = threading.Thread(target=ask)
    asking.start()
    for _ in range(2):  # it comes for what it reads next when all of "ready" is done
        assert made.children.last.reads.acquire(timeout=HANG_S)
    with pytest.raises(queue.Empty):
        answers.get(timeout=0.1)
    made.children.last.tell(Answer(7))
    assert answers.get(timeout=HANG_S) == Answer(7)
    asking.join()
    made.child.close()


def test_one_that_is_asked_nothing_may_be_silent(asked: Asked) -> None:
    asked.seconds.pass_by(10 * LOADS_S)
    asked.answer(1)
    assert asked.child.ask(ASK, LIMIT_S) == Answer(1)


def test_one_that_does_not_get_ready_is_ended(asked: Asked) -> None:
    made: queue.Queue[ScriptedChild[Question, Told]] = queue.Queue()
    asked.children.begin = made.put
    asked.children.last.end(1)
    made.get(timeout=HANG_S)
    assert asked.child.ask(ASK, LIMIT_S) is None, "it is not ready"
    asked.seconds.pass_by(LOADS_S + 1)
    made.get(timeout=HANG_S)
    assert asked.child.ask(ASK, LIMIT_S) is None, "nor is the next one"


def test_nobody_waits_for_one_that_is_closed(asked: Asked) -> None:
    asked.child.close()
    assert asked.child.ask(ASK, LIMIT_S) is None
    assert not asked.child.wait_until_ready()
    asked.child.write(ASK)
    assert asked.children.count == 1


def test_one_that_is_closed_before_its_reader_comes_is_read_to_its_end(tmp_path: Path) -> None:
    """Else nobody waits for its process, and its pipes stay open."""
    made = Asked(tmp_path, greet=lambda: made.child.close(patience_s=0.0))
    made.child.start()
    made.child.close()  # ends when the reader has
    assert made.children.last.begun.is_set()
    assert made.children.count == 1


def test_one_that_cannot_be_started_keeps_failing_until_it_can(asked: Asked) -> None:
    """Source: fork(2), EAGAIN."""
    asked.children.refusals = [OSError(errno.EAGAIN, os.strerror(errno.EAGAIN))] * MANY
    asked.children.last.end(1)
    assert isinstance(asked.changes.get(timeout=HANG_S), Died)
    assert isinstance(asked.changes.get(timeout=HANG_S), Gone)
    # The last of its deaths may still be told; each ends one wait.
    assert any(asked.child.wait_until_ready() for _ in range(MANY))
    assert not asked.child.failing
    asked.answer(1)
    assert asked.child.ask(ASK, LIMIT_S) == Answer(1)
    assert asked.changes.get(timeout=HANG_S) == Back()


# --- a real process -----------------------------------------------------------------------------

MODULE = """
import sys
sys.stderr.write("noise\\n" * 20_000 + "the last words\\n")
print("ready", flush=True)
for line in sys.stdin:
    print(line.strip()[::-1], flush=True)
"""


@pytest.fixture
def module(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> str:
    """A module that complains much, and gives each line back in reverse."""
    (tmp_path / "reverse.py").write_text(MODULE, encoding="utf-8")
    monkeypatch.setenv("PYTHONPATH", str(tmp_path))
    return "reverse"


def test_a_real_process_reads_and_writes_lines_and_ends_with_its_input(module: str) -> None:
    process = PythonProcess((module,))
    lines = process.lines()
    assert next(lines).split() == ["ready"]
    process.write("abc")
    assert next(lines).split() == ["cba"]
    assert process.wait(0.0) is None
    process.end_input()
    assert list(lines) == []
    assert process.wait() == 0
    with pytest.raises((OSError, ValueError)):
        process.write("abc")


def test_the_end_of_its_complaints_is_kept(module: str) -> None:
    process = PythonProcess((module,))
    process.end_input()
    assert len(list(process.lines())) == 1
    told = process.complaints()
    assert len(told) == KEPT_BYTES
    assert told.split(b"\n")[-2].strip() == b"the last words"


@pytest.mark.skipif(sys.platform == "win32", reason="it has no such signal")
def test_one_that_is_killed_says_by_what(module: str) -> None:
    process = PythonProcess((module,))
    process.kill()
    list(process.lines())
    assert process.wait() == -signal.SIGKILL
