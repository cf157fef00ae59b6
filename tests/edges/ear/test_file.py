"""An ear for sound files: what is blamed when its process cannot go on."""

from __future__ import annotations

import errno
import os
from pathlib import Path

import pytest

from callout.edges.ear import client as hearing
from callout.edges.ear.file import HANGS_S, FileEar
from callout.edges.ear.messages import (
    COMMANDS,
    EVENTS,
    Command,
    FileDone,
    HearFile,
    Level,
    Load,
    Ready,
    Told,
    Utterance,
)
from callout.errors import CalloutError, InputError, ModelError
from callout.language.network import Arc, Network
from tests.edges.scripted import Children, Seconds

START = Utterance(0.0, 1.0, "start")
NETWORK = Network(((Arc("start", 1, 0.0),), ()), frozenset({1}))


class Scripted:
    """Its process and its seconds are the test's."""

    def __init__(self, folder: Path) -> None:
        self.children = Children[Command, Told](COMMANDS, EVENTS)
        self.seconds, self.log = Seconds(), folder / "ear.log"
        self.children.on[Load] = lambda: self.children.last.tell(Ready())

    def ear(self) -> FileEar:
        return FileEar(Path("model"), NETWORK, by=self.children.by(self.seconds, self.log))


@pytest.fixture
def scripted(tmp_path: Path) -> Scripted:
    return Scripted(tmp_path)


def test_what_is_heard_in_a_file_is_given_once_it_is_done(scripted: Scripted) -> None:
    def hear() -> None:
        child = scripted.children.last
        child.tell(Level(5))
        child.tell(START)
        child.tell(FileDone("a.wav"))

    ear = scripted.ear()
    scripted.children.on[HearFile] = hear
    assert ear.hear(Path("a.wav")) == [START]
    ear.close()


def test_one_that_hangs_on_a_file_is_ended_and_the_file_is_named(scripted: Scripted) -> None:
    ear = scripted.ear()
    scripted.children.on[HearFile] = lambda: scripted.seconds.pass_by(HANGS_S + 1)
    with pytest.raises(InputError, match=r"^a\.wav: the ear hung, .* while it heard this file$"):
        ear.hear(Path("a.wav"))


def test_one_that_is_slow_is_waited_for_longer_than_at_a_game(scripted: Scripted) -> None:
    def hear() -> None:
        scripted.seconds.pass_by(HANGS_S)
        scripted.children.last.tell(FileDone("a.wav"))

    assert HANGS_S > hearing.HANGS_S
    ear = scripted.ear()
    scripted.children.on[HearFile] = hear
    assert ear.hear(Path("a.wav")) == []
    ear.close()


def test_one_that_dies_on_a_file_does_not_blame_the_model(scripted: Scripted) -> None:
    scripted.children.complaint = b"Assertion failed"
    ear = scripted.ear()
    scripted.children.on[HearFile] = lambda: scripted.children.last.end(-6)
    with pytest.raises(InputError) as raised:
        ear.hear(Path("a.wav"))
    assert str(raised.value) == (
        f"a.wav: the ear died (status -6); what it wrote is in {scripted.log}, "
        "while it heard this file"
    )


def test_one_that_dies_while_it_reads_the_model_does(scripted: Scripted) -> None:
    scripted.children.on[Load] = lambda: scripted.children.last.end(-11)
    with pytest.raises(ModelError, match=r"^model: the ear died .*: callout models$"):
        scripted.ear()


def test_where_no_process_can_be_started_nothing_else_is_blamed(scripted: Scripted) -> None:
    """Source: fork(2), EAGAIN."""
    scripted.children.refusals = [OSError(errno.EAGAIN, os.strerror(errno.EAGAIN))] * 9
    with pytest.raises(CalloutError) as raised:
        scripted.ear()
    assert str(raised.value) == f"the ear cannot be started: {os.strerror(errno.EAGAIN).lower()}"
