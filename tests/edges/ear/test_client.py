"""The ear's process: what it hears in real speech, and what becomes of it when it dies."""

from __future__ import annotations

import errno
import json
import os
import queue
import signal
import stat
import tempfile
import time
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import TypeVar

import numpy as np
import pytest
import soundfile

from callout.edges.ear.client import HANGS_S, LOADS_S, Hearing
from callout.edges.ear.file import FileEar
from callout.edges.ear.hall_noise import hall_noise, in_noise
from callout.edges.ear.messages import (
    COMMANDS,
    EVENTS,
    Command,
    Event,
    Gate,
    Idle,
    Level,
    Listen,
    Listening,
    Load,
    Mode,
    Press,
    Problem,
    Ready,
    Told,
    Use,
    Utterance,
)
from callout.edges.ear.sound import RATE_HZ
from callout.edges.ear.spoken_calls import Understood, understand
from callout.edges.restarts import MANY, PAUSES_S, WELL_S, Back, Died, Gone
from callout.errors import CalloutError, InputError, ModelError
from callout.game import calls
from callout.game.calls import Call
from callout.game.terms import Award, FoulKind, Team, Topic
from callout.language.network import Arc, Network
from callout.language.parser import Parser
from tests.edges.scripted import Children, ScriptedChild, Seconds
from tests.patience import HANG_S
from tests.pulse import pulse_server
from tests.speech import speech_file, spoken

HOME, GUEST = Team.HOME, Team.GUEST


def heard(ear: FileEar, parser: Parser, path: Path) -> list[Understood]:
    return [each for utterance in ear.hear(path) for each in understand(parser, utterance)]


def texts(found: list[Understood]) -> list[str]:
    return [each.text for each in found if each.sentence is not None]


def test_spoken_calls_are_heard_with_their_times(
    ear: FileEar, parser: Parser, tmp_path: Path
) -> None:
    path = speech_file(tmp_path, "home two number five.", "guest foul eleven.", "start clock.")
    found = heard(ear, parser, path)
    assert texts(found) == ["home two number five", "guest foul eleven", "start clock"]
    assert 0.3 < found[0].start_s < 0.8
    assert found[0].end_s < found[1].start_s < found[1].end_s < found[2].start_s


def test_two_calls_in_one_breath_are_two(ear: FileEar, parser: Parser, tmp_path: Path) -> None:
    found = heard(ear, parser, speech_file(tmp_path, "home two number five, guest foul eleven."))
    assert texts(found) == ["home two number five", "guest foul eleven"]


@pytest.mark.parametrize(
    ("said", "call"),
    [
        ("Guest foul eight two shots.", calls.Foul(GUEST, "8", award=Award.TWO)),
        ("Guest foul eight one shot.", calls.Foul(GUEST, "8", award=Award.ONE)),
        ("Home number five foul two shots.", calls.Foul(HOME, "5", award=Award.TWO)),
        ("Two shots.", calls.SetAward(Award.TWO)),
        ("Foul on guest fifteen.", calls.Foul(GUEST, "15")),
        ("Foul home five.", calls.Foul(HOME, "5")),
        ("Intentional foul guest eight.", calls.Foul(GUEST, "8", FoulKind.INTENTIONAL)),
        ("Count on home twelve.", calls.Ask(Topic.PLAYER_FOULS, HOME, "12")),
        ("Number five home two.", calls.Score(HOME, 2, "5")),
        ("Timeout guest.", calls.Timeout(GUEST)),
        ("Home ball.", None),
        ("Jump ball.", calls.HeldBall()),
        ("Double foul.", None),
        ("Fouls on home twelve.", None),
        ("Number twelve in for five.", None),
    ],
)
def test_words_of_the_table_are_never_heard_as_something_else(
    ear: FileEar, parser: Parser, tmp_path: Path, said: str, call: Call | None
) -> None:
    """Heard, or asked about, or not heard: a wrong call unasked is the one thing it must not be."""
    found = [each for each in heard(ear, parser, speech_file(tmp_path, said)) if each.sentence]
    booked = [each.sentence.call for each in found if each.sentence and not each.choices]
    assert booked in ([], [call])
    offered = [choice.sentence.call for each in found for choice in each.choices]
    assert call is None or not offered or call in offered


def test_other_talk_is_ignored(ear: FileEar, parser: Parser, tmp_path: Path) -> None:
    said = ("The weather is lovely today.", "Did you see that?", "I would like a cup of coffee.")
    found = heard(ear, parser, speech_file(tmp_path, *said))
    assert texts(found) == []
    assert {each.status for each in found} <= {"ignored"}


@pytest.mark.parametrize("kind", ["silence", "noise", "hum"])
def test_no_speech_is_no_call(ear: FileEar, parser: Parser, tmp_path: Path, kind: str) -> None:
    count = 6 * RATE_HZ
    sounds = {
        "silence": np.zeros(count),
        "noise": 0.3 * hall_noise(6.0, seed=5),
        "hum": 0.3 * np.sin(2 * np.pi * 50 * np.arange(count) / RATE_HZ),
    }
    path = tmp_path / "quiet.wav"
    soundfile.write(path, sounds[kind], RATE_HZ)
    assert texts(heard(ear, parser, path)) == []


@pytest.mark.parametrize("rate_hz", [8_000, 48_000, 96_000])
def test_a_call_is_heard_at_any_rate_and_in_noise(
    ear: FileEar, parser: Parser, tmp_path: Path, rate_hz: int
) -> None:
    sound = in_noise(spoken(["guest foul eleven."]), hall_noise(10.0, seed=3), 15.0)
    full = np.interp(
        np.arange(0, len(sound), RATE_HZ / rate_hz), np.arange(len(sound)), sound
    ).astype(np.float32)  # fmt: skip
    path = tmp_path / "call.flac"
    soundfile.write(path, np.stack([0 * full, full], axis=1), rate_hz)
    assert texts(heard(ear, parser, path)) == ["guest foul eleven"]


def test_a_bad_file_leaves_the_ear_ready(ear: FileEar, parser: Parser, tmp_path: Path) -> None:
    bad = tmp_path / "text.wav"
    bad.write_text("home two")
    with pytest.raises(InputError, match=r"text\.wav: expected a sound file"):
        ear.hear(bad)
    assert texts(heard(ear, parser, speech_file(tmp_path, "undo that."))) == ["undo that"]


def test_a_missing_or_damaged_model_says_what_to_do(
    model: Path, parser: Parser, tmp_path: Path
) -> None:
    with pytest.raises(ModelError, match=r"am/final\.mdl is missing; get it with: callout models"):
        FileEar(tmp_path, parser.network)
    damaged = tmp_path / "damaged"
    for path in model.rglob("*"):
        if path.is_file():
            target = damaged / path.relative_to(model)
            target.parent.mkdir(parents=True, exist_ok=True)
            target.write_bytes(path.read_bytes()[: 1000 if path.name == "final.mdl" else None])
    with pytest.raises(ModelError, match="callout models"):
        FileEar(damaged, parser.network)


Events = queue.Queue[Event]
E = TypeVar("E", bound=Event)
EarChildren = Children[Command, Told]


def wait_for(events: Events, kind: type[E]) -> E:
    while True:
        event = events.get(timeout=HANG_S)
        if isinstance(event, kind):
            return event


def wait_until_heard_again(events: Events) -> None:
    """The microphone is back; or its process died with the sound server, and a new one listens."""
    while True:
        match events.get(timeout=HANG_S):
            case Listening():
                return
            case Problem(what) if "is back" in what:
                return


def test_an_ear_that_is_killed_is_started_again_and_hears(
    model: Path, parser: Parser, tmp_path: Path
) -> None:
    events = Events()
    hearing = Hearing(model, {"always": parser.network}, events.put)
    hearing.start()
    wait_for(events, Ready)
    assert hearing.pid is not None
    os.kill(hearing.pid, signal.SIGKILL)
    killed = time.monotonic()
    assert wait_for(events, Died).status == -signal.SIGKILL
    wait_for(events, Back)
    print(f"back after {time.monotonic() - killed:.2f} s")
    hearing.hear_file(speech_file(tmp_path, "start clock."))
    assert wait_for(events, Utterance).text == "start clock"
    hearing.close()


@pytest.mark.thorough
def test_an_ear_that_is_stopped_is_killed_and_hears_again(
    model: Path, parser: Parser, tmp_path: Path
) -> None:
    events = Events()
    hearing = Hearing(model, {"always": parser.network}, events.put)
    hearing.start()
    wait_for(events, Ready)
    assert hearing.pid is not None
    os.kill(hearing.pid, signal.SIGSTOP)
    died = wait_for(events, Died)
    assert (died.status, died.what) == (-signal.SIGKILL, "hung, and was ended")
    hearing.hear_file(speech_file(tmp_path, "start clock."))
    wait_for(events, Back)
    hearing.hear_file(speech_file(tmp_path, "start clock."))
    assert wait_for(events, Utterance).text == "start clock"
    hearing.close()


@pytest.mark.thorough
def test_a_sound_server_that_ends_is_waited_for(
    model: Path, parser: Parser, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    folder = tmp_path / "pulse"
    folder.mkdir(mode=0o700)
    events = Events()
    hearing = Hearing(model, {"always": parser.network}, events.put)
    try:
        with pulse_server(folder) as first:
            for name, value in first.environment.items():
                monkeypatch.setenv(name, value)
            hearing.start()
            hearing.listen(None, Mode.OPEN)
            wait_for(events, Listening)
        while "gives no sound" not in wait_for(events, Problem).what:
            pass
        with pulse_server(folder) as second:
            wait_until_heard_again(events)
            second.play(speech_file(tmp_path, "start clock."))
            assert wait_for(events, Utterance).text == "start clock"
    finally:
        hearing.close()


# --- by a child that does what the test says, in seconds that the test counts -------------------


@dataclass
class Scripted:
    """An ear whose process and whose seconds are the test's."""

    hearing: Hearing
    children: EarChildren
    seconds: Seconds
    events: Events
    log: Path

    def next(self) -> Event:
        """The next event."""
        return self.events.get(timeout=HANG_S)

    def told(self, count: int) -> list[type[Event]]:
        """The kinds of the next events."""
        return [type(self.next()) for _ in range(count)]

    def ready(self) -> ScriptedChild[Command, Told]:
        """The next child, which has loaded its model."""
        child = self.children.next()
        child.tell(Ready())
        assert self.next() == Ready()
        return child


LEVEL = Level(5)
NETWORK = Network(((Arc("start", 1, 0.0),), ()), frozenset({1}))


@pytest.fixture
def scripted(tmp_path: Path) -> Iterator[Scripted]:
    """One that is started, with two networks."""
    children, seconds, events = EarChildren(COMMANDS, EVENTS), Seconds(), Events()
    networks = {"always": NETWORK, "question": NETWORK}
    log = tmp_path / "state" / "ear.log"
    hearing = Hearing(Path("model"), networks, events.put, by=children.by(seconds, log))
    hearing.start()
    yield Scripted(hearing, children, seconds, events, log)
    hearing.close()


def busy() -> OSError:
    """What Linux says where there are as many processes as there may be. Source: fork(2)."""
    return OSError(errno.EAGAIN, os.strerror(errno.EAGAIN))


def test_an_ear_that_cannot_be_started_again_is_tried_until_it_can(scripted: Scripted) -> None:
    first = scripted.ready()
    scripted.children.refusals = [busy() for _ in range(4)]
    first.end(-signal.SIGKILL)
    died, gone = scripted.next(), scripted.next()
    assert died == Died(-signal.SIGKILL, f"died (status {-signal.SIGKILL})")
    assert gone == Gone(None, f"cannot be started: {os.strerror(errno.EAGAIN).lower()}")
    assert first is not scripted.ready()
    assert scripted.seconds.waited == list(PAUSES_S[:5])
    assert scripted.children.refusals == []


def test_the_first_that_cannot_be_started_is_tried_again(tmp_path: Path) -> None:
    children, events = EarChildren(COMMANDS, EVENTS), Events()
    children.refusals = [busy()]
    by = children.by(Seconds(), tmp_path)
    hearing = Hearing(tmp_path, {"always": NETWORK}, events.put, by=by)
    hearing.start()
    children.next().tell(Ready())
    assert [type(events.get(timeout=HANG_S)) for _ in range(3)] == [Died, Ready, Back]
    hearing.close()


def test_one_that_keeps_dying_is_told_of_once_and_is_back_once_it_lives(
    scripted: Scripted,
) -> None:
    scripted.ready().end(1)
    for _ in range(MANY + 2):
        scripted.children.next().end(1)
    last = scripted.children.next()
    last.tell(Ready())
    assert scripted.told(3) == [Died, Gone, Ready]
    scripted.seconds.pass_by(int(WELL_S) - 1)
    last.tell(LEVEL)
    assert scripted.next() == LEVEL, "it is not back yet"
    scripted.seconds.pass_by(1)
    assert scripted.next() == Back()
    scripted.seconds.pass_by(HANGS_S - 1)
    last.tell(LEVEL)
    assert scripted.next() == LEVEL, "it is back once"


def test_one_that_has_done_its_work_is_back_at_once(scripted: Scripted) -> None:
    scripted.ready().end(1)
    for _ in range(MANY):
        scripted.children.next().end(1)
    last = scripted.children.next()
    last.tell(Ready())
    last.tell(Utterance(0.0, 1.0, "start"))
    assert scripted.told(5) == [Died, Gone, Ready, Utterance, Back]


def test_one_that_tells_nothing_for_too_long_is_killed(scripted: Scripted) -> None:
    child = scripted.ready()
    scripted.seconds.pass_by(HANGS_S)
    child.tell(Idle())
    child.tell(LEVEL)
    assert scripted.next() == LEVEL, "nobody is told that it is idle"
    scripted.seconds.pass_by(HANGS_S)
    child.tell(LEVEL)
    assert scripted.next() == LEVEL
    scripted.seconds.pass_by(HANGS_S + 1)
    assert scripted.next() == Died(-signal.SIGKILL, "hung, and was ended")


def test_while_it_reads_its_model_it_is_waited_for_longer(scripted: Scripted) -> None:
    child = scripted.children.next()
    scripted.seconds.pass_by(LOADS_S + HANGS_S)
    child.tell(Ready())
    assert scripted.next() == Ready()
    scripted.seconds.pass_by(HANGS_S + 1)
    assert scripted.next() == Died(-signal.SIGKILL, "hung, and was ended")
    scripted.children.next()
    scripted.seconds.pass_by(LOADS_S + HANGS_S + 1)
    scripted.children.next()


def test_what_the_next_one_must_know_is_told_to_it(scripted: Scripted) -> None:
    """A table that speaks has closed the ear; a question that is open has another network."""
    first = scripted.ready()
    scripted.hearing.listen("headset", Mode.OPEN)
    scripted.hearing.gate(True)
    scripted.hearing.use("question")
    assert [type(each) for each in first.done] == [Use, Load, Listen, Gate, Use]
    first.end(-signal.SIGSEGV)
    assert isinstance(scripted.next(), Died)
    second = scripted.ready()
    assert second.done == [
        Use("question"),
        first.done[1],
        Listen("headset", Mode.OPEN),
        Gate(True),
    ]


def test_no_pipe_is_so_small_that_the_table_waits_for_the_ear(
    parser: Parser, tmp_path: Path
) -> None:
    """Windows gives a pipe 4,096 bytes, macOS 16,384; a game's networks take more."""
    children = EarChildren(COMMANDS, EVENTS)
    by = children.by(Seconds(), tmp_path / "ear.log")
    hearing = Hearing(Path("model"), {"always": parser.network}, Events().put, by=by)
    hearing.start()
    hearing.listen(None, Mode.OPEN)
    hearing.gate(True)
    child = children.next()
    assert child.written < 1_500
    load = child.done[1]
    assert isinstance(load, Load)
    told = Path(load.networks)
    assert told.stat().st_size > 4_096
    assert stat.S_IMODE(told.stat().st_mode) == 0o600
    assert json.loads(told.read_text(encoding="utf-8")) == {"always": parser.network.to_dict()}
    hearing.close()
    assert not told.parent.exists()


@pytest.mark.parametrize("line", ['{"event": "utter', "1", "[]", '{"kind": "x"}', "[" * 9_000])
def test_a_line_that_is_no_event_is_no_end_of_hearing(scripted: Scripted, line: str) -> None:
    child = scripted.ready()
    child.print(line)
    child.tell(LEVEL)
    assert scripted.next() == LEVEL


def test_a_model_that_was_there_is_waited_for(
    scripted: Scripted, capsys: pytest.CaptureFixture[str]
) -> None:
    child = scripted.ready()
    child.tell(Problem("the stick was pulled out", "ModelError"))
    assert isinstance(scripted.next(), Died)
    assert "ear: the stick was pulled out" in capsys.readouterr().err
    scripted.ready()


def test_what_a_dead_ear_wrote_is_kept_and_its_place_is_told(scripted: Scripted) -> None:
    scripted.children.complaint = b"Traceback: no such thing\n"
    scripted.ready().end(1)
    assert scripted.next() == Died(1, "died (status 1)"), "it wrote nothing"
    assert not scripted.log.exists()
    scripted.ready().end(-signal.SIGABRT)
    back, died = scripted.next(), scripted.next()
    assert back == Back()
    assert isinstance(died, Died)
    assert died.what.endswith(f"; what it wrote is in {scripted.log}")
    assert b"Traceback: no such thing" in scripted.log.read_bytes()


def test_one_that_is_closed_is_not_started_again_and_leaves_nothing(scripted: Scripted) -> None:
    child = scripted.ready()
    folder = Path(child.module[-1]).parent
    assert folder.is_dir()
    scripted.hearing.close()
    assert child.wait() == 0
    scripted.hearing.start()
    assert scripted.children.last is child
    assert not folder.exists()
    scripted.hearing.press()
    assert Press() not in child.done


def test_without_a_place_for_temporary_files_there_is_one_line(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(tempfile, "tempdir", str(tmp_path / "absent"))
    with pytest.raises(CalloutError, match="the ear has no place for its files"):
        Hearing(tmp_path, {"always": NETWORK}, Events().put)
