"""A game kept live: real sound into a sound server, the real ear, the real voice out again."""

from __future__ import annotations

import os
import re
import shlex
import signal
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import soundfile

from callout.commands.live import live
from callout.edges.ear.hall_noise import hall_noise
from callout.edges.ear.options import Options
from callout.edges.ear.own_voice.kept import voice_file
from callout.edges.ear.sound import RATE_HZ
from callout.edges.live.ear import with_learned
from callout.edges.live.voice import Outlets
from callout.errors import CalloutError, ModelError
from callout.game import calls
from callout.game.terms import Team
from callout.table.book.journal import Journal
from callout.table.setup.setup import read_setup
from tests.patience import HANG_S
from tests.pulse import Pulse
from tests.speech import speech_file
from tests.terminal import Terminal

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

    def wait_for(self, pattern: str, seconds: float = HANG_S) -> str:
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
        self.process.wait(timeout=HANG_S)
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
            if b"callout.edges.ear.process" in Path(f"/proc/{child}/cmdline").read_bytes():
                return int(child)
    raise AssertionError("expected an ear, got none")


def test_each_reply_stands_on_the_screen_once(tmp_path: Path, setup: Path) -> None:
    command = [sys.executable, "-m", "callout", "live", str(tmp_path / "game"), "--ear", "off",
               "--voice", "print", "--keys", "typed", "--setup", str(setup)]  # fmt: skip
    terminal = Terminal(command)
    terminal.wait_for("0 entries")
    terminal.press("start clock\n")
    terminal.wait_for("Running")
    terminal.press("home two number five\n")
    terminal.wait_for("Two, nothing")
    terminal.press("\x04")
    shown = terminal.rest()
    assert terminal.process.wait() == 0
    assert "Home two, number five" not in shown


@pytest.mark.thorough
def test_a_game_is_typed_and_taken_up_again(tmp_path: Path, setup: Path) -> None:
    command = [sys.executable, "-m", "callout", "live", str(tmp_path / "game"), "--ear", "off",
               "--voice", "print"]  # fmt: skip
    typed = "start clock\nhome two number five\nend period\nno\n"
    first = subprocess.run(
        [*command, "--setup", str(setup)],
        input=typed,
        capture_output=True,
        text=True,
        timeout=HANG_S,
    )
    assert first.returncode == 0, first.stderr
    assert "Home two, number five. Two, nothing." in first.stdout
    assert "The period goes on." in first.stdout
    again = subprocess.run(
        command,
        input="score check\nwho knows\n?\nhelp\n",
        capture_output=True,
        text=True,
        timeout=HANG_S,
    )
    assert "2 entries" in again.stdout
    assert "Last booked: Home two, number five. Two, nothing." in again.stdout
    assert "Carry on from" in again.stdout
    assert "Score: home two, guest nothing." in again.stdout
    assert "No such call." in again.stdout
    assert "?  ->  Say or type: yes; no;" in again.stdout
    assert "help  ->  Say or type: " in again.stdout


def test_without_a_recognizer_the_way_by_keys_is_named(tmp_path: Path, setup: Path) -> None:
    with pytest.raises(ModelError, match=r"is missing; or call by keys: --ear off$"):
        live(tmp_path / "x.game", outlets=PRINT, setup=setup, model=tmp_path)
    assert not (tmp_path / "x.game").exists()


@pytest.mark.parametrize(("kept", "named"), [("es", []), ("en", ["--language", "es"])])
def test_the_command_to_go_on_can_be_copied_into_a_shell_and_keeps_the_language(
    tmp_path: Path, setup: Path, kept: str, named: list[str]
) -> None:
    """Source: POSIX, Shell Command Language, 2.2: a space ends a word that is not quoted."""
    game = tmp_path / "saturday (2).game"
    Journal.create(game, replace(read_setup(setup), language=kept)).close()
    command = [sys.executable, "-m", "callout", "live", str(game), "--ear", "off", "--voice",
               "print", "--keys", "typed", "--language", "es"]  # fmt: skip
    terminal = Terminal(command)
    terminal.wait_for("0 entries")
    terminal.press("\x03")
    told = terminal.rest()
    assert terminal.process.wait() == 0
    again = re.search("To go on: (.*?);", told)
    assert again is not None, told
    assert shlex.split(again[1]) == ["callout", "live", str(game), *named]


@pytest.mark.thorough
def test_from_the_end_of_the_game_each_step_names_the_next(tmp_path: Path, setup: Path) -> None:
    command = [sys.executable, "-m", "callout", "live", str(tmp_path / "game"), "--ear", "off",
               "--voice", "print", "--keys", "typed", "--setup", str(setup)]  # fmt: skip

    def ended(*lines: tuple[str, str]) -> str:
        terminal = Terminal(command)
        terminal.wait_for("'\\?' tells what may come next(.|\n)*entr(y|ies)")
        for typed, answered in lines:
            terminal.press(f"{typed}\n")
            terminal.wait_for(answered)
        terminal.press("\x03")
        told = terminal.rest()
        assert terminal.process.wait() == 0
        return told

    told = ended()
    assert "To go on: callout live" in told
    assert "the checklist before it: callout before" in told
    told = ended(("start clock", "Running"))
    assert "To go on: callout live" in told
    assert "checklist" not in told
    told = ended(("yes", "Running"), ("end game", "End the game"), ("yes", "say officials approve"))
    assert "Close its book: callout close" in told
    told = ended(("officials approve", "approved it"), ("yes", "book is closed"))
    assert "The sheet to be signed: callout sheet" in told


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
        running.wait_for("foxez two  ->  No period is being played. It counts in the first")
    finally:
        running.stop()
    with Journal.open(game) as journal:
        assert len(list(journal.entries())) == 1


def test_a_nickname_that_the_ear_lacks_is_refused_before_the_game_is_made(
    tmp_path: Path, setup: Path
) -> None:
    setup.write_text(SETUP + "nickname guest: foxez\n", encoding="utf-8")
    with pytest.raises(CalloutError, match="not known to the ear; try: 'quarry, foxes"):
        live(tmp_path / "game", setup=setup, ear="open", outlets=PRINT)
    assert not (tmp_path / "game").exists()


def test_a_wrong_start_is_one_line(tmp_path: Path) -> None:
    with pytest.raises(CalloutError, match="a new game needs its teams: --setup FILE"):
        live(tmp_path / "game", ear="off", outlets=PRINT)
    with pytest.raises(CalloutError, match="expected hold, open, tap or off, got 'loud'"):
        live(tmp_path / "game", ear="loud", outlets=PRINT)
    with pytest.raises(CalloutError, match="expected left, right, both, got 'none'"):
        live(tmp_path / "game", ear="off", outlets=Outlets(voice="print", ears="none"))


@pytest.mark.parametrize(
    ("wrong", "told"),
    [
        ({"outlets": Outlets(voice="none.onnx", ears="left")}, "none.onnx"),
        ({"outlets": PRINT, "keys": "none.toml"}, "none.toml"),
        ({"outlets": PRINT, "language": "none"}, "none"),
    ],
)
def test_a_mistake_in_the_command_leaves_no_new_game(
    tmp_path: Path, setup: Path, wrong: dict[str, Any], told: str
) -> None:
    with pytest.raises(CalloutError, match=told):
        live(tmp_path / "game", setup=setup, ear="off", **wrong)
    assert [path.name for path in tmp_path.iterdir()] == [setup.name]


def test_the_setup_of_another_game_is_refused(
    tmp_path: Path, setup: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """The second game of a day, begun with the first one's command."""
    game, other = tmp_path / "game", tmp_path / "other.setup"
    Journal.create(game, read_setup(setup)).close()
    for changed in (SETUP.replace("Quarry Foxes", "Tidal Herons"),
                    SETUP.replace("youth-6-minute", "nfhs-2026")):  # fmt: skip
        other.write_text(changed, encoding="utf-8")
        with pytest.raises(CalloutError, match="give a new game a new name, or leave --setup out"):
            live(game, setup=other, ear="off", outlets=PRINT)
    Journal.open(game).close()


@pytest.mark.thorough
@pytest.mark.parametrize(
    ("changed", "told"),
    [
        (SETUP, ""),
        (SETUP.replace("| 4 5 12", "| 4 5 13"), "its lists differ from those of "),
        ("home: nonsense\n", "the game goes on with its own lists"),
        (None, "the game goes on with its own lists"),
    ],
)
def test_a_game_is_taken_up_whatever_became_of_its_setup(
    tmp_path: Path, setup: Path, changed: str | None, told: str
) -> None:
    game = tmp_path / "game"
    Journal.create(game, read_setup(setup)).close()
    setup.unlink()
    if changed is not None:
        setup.write_text(changed, encoding="utf-8")
    command = [sys.executable, "-m", "callout", "live", str(game), "--setup", str(setup), "--ear",
               "off", "--voice", "print"]  # fmt: skip
    done = subprocess.run(command, input="start clock\n", capture_output=True, text=True,
                          check=False)  # fmt: skip
    assert done.returncode == 0
    assert told in done.stderr
    assert bool(told) == ("lists" in done.stderr)
    with Journal.open(game) as journal:
        assert len(journal.entries()) == 1


def test_a_game_of_which_only_the_log_is_left_is_not_made_anew(tmp_path: Path, setup: Path) -> None:
    game = tmp_path / "game"
    Journal.create(game, read_setup(setup)).close()
    game.rename(tmp_path / "game-wal")
    with pytest.raises(CalloutError, match="is gone, but its log is there; save its calls"):
        live(game, setup=setup, ear="off", outlets=PRINT)
    assert not game.exists()


def test_a_new_game_knows_where_its_names_stand(tmp_path: Path, setup: Path) -> None:
    listed = tmp_path / "guest.csv"
    listed.write_text("number,name\n8,Ada Moss\n", encoding="utf-8")
    lines = (
        SETUP.replace("Quarry Foxes | 8 11 15", "Quarry Foxes |") + f"roster guest: {listed.name}\n"
    )
    setup.write_text(lines, encoding="utf-8")
    command = [sys.executable, "-m", "callout", "live", str(tmp_path / "game"), "--setup",
               str(setup), "--ear", "off", "--voice", "print"]  # fmt: skip
    subprocess.run(command, input="", capture_output=True, text=True, check=True)
    with Journal.open(tmp_path / "game") as journal:
        assert set(journal.copies()) == {setup, listed}


@pytest.mark.thorough
def test_a_period_ends_in_a_folder_whose_name_is_not_text(tmp_path: Path, setup: Path) -> None:
    place = tmp_path / os.fsdecode(b"p-\xfc")
    place.mkdir()
    command = [sys.executable, "-m", "callout", "live", str(place / "x.game"), "--setup",
               str(setup), "--ear", "off", "--voice", "print"]  # fmt: skip
    typed = "start clock\nhome two number five\nend period\nyes\nscore check\n"
    done = subprocess.run(command, input=typed, capture_output=True, text=True, check=False)
    assert done.returncode == 0
    assert "no copy could be written" not in done.stderr
    assert "Score: home two, guest nothing." in done.stdout
    assert (place / "x.game-copy").exists()


def test_a_game_in_spanish_is_called_and_answered_in_spanish(tmp_path: Path, setup: Path) -> None:
    command = [sys.executable, "-m", "callout", "live", str(tmp_path / "game"), "--setup",
               str(setup), "--voice", "print", "--keys", "typed", "--language", "es"]  # fmt: skip
    said = "arranca reloj\nlocal dos número cinco\n"
    done = subprocess.run([*command, "--ear", "off"], input=said, capture_output=True, text=True,
                          timeout=HANG_S)  # fmt: skip
    assert "Local dos, número cinco. Dos, cero." in done.stdout
    deaf = subprocess.run(command, input="", capture_output=True, text=True, timeout=HANG_S)
    assert deaf.returncode == 2
    assert "--model FOLDER, or --ear off" in deaf.stderr


def test_a_game_goes_on_in_the_language_that_it_keeps_unless_another_is_named(
    tmp_path: Path, setup: Path
) -> None:
    setup.write_text(f"{SETUP}language: es\n", encoding="utf-8")
    game = tmp_path / "game"

    def called(said: str, *more: str) -> subprocess.CompletedProcess[str]:
        command = [sys.executable, "-m", "callout", "live", str(game), "--voice", "print",
                   "--keys", "typed", *more]  # fmt: skip
        return subprocess.run(command, input=said, capture_output=True, text=True, timeout=HANG_S)

    first = called("arranca reloj\nlocal dos número cinco\n", "--ear", "off", "--setup", str(setup))
    assert "Local dos, número cinco. Dos, cero." in first.stdout
    assert "Lo último: Local dos" in called("sí\n", "--ear", "off").stdout
    assert "Last booked:" in called("yes\n", "--ear", "off", "--language", "en").stdout
    deaf = called("")
    assert deaf.returncode == 2
    assert "the game's language is 'es': the ear needs a recognizer" in deaf.stderr
    with Journal.open(game) as journal:
        assert journal.setup.language == "es"


def test_a_new_game_that_cannot_be_heard_is_not_made(tmp_path: Path, setup: Path) -> None:
    setup.write_text(f"{SETUP}language: es\nwake: mesa\n", encoding="utf-8")
    with pytest.raises(CalloutError, match="the ear needs a recognizer of that language"):
        live(tmp_path / "game", setup=setup, ear="open", outlets=PRINT)
    assert [path.name for path in tmp_path.iterdir()] == [setup.name]


def test_a_setup_in_another_language_than_the_game_is_told(
    tmp_path: Path, setup: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    game = tmp_path / "game"
    Journal.create(game, read_setup(setup)).close()
    setup.write_text(f"{SETUP}language: es\n", encoding="utf-8")
    with pytest.raises(CalloutError, match=r"none\.toml"):
        live(game, setup=setup, ear="off", keys="none.toml", outlets=PRINT)
    assert f"captains or language differ from those of {game}, which" in capsys.readouterr().err


def test_a_voice_that_was_never_learned_is_refused(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path))
    what = "no voice of ann was learned: callout check --ear --voice-of ann"
    with pytest.raises(CalloutError, match=what):
        live(tmp_path / "game", ear="off", outlets=PRINT, voice_of="ann")
    voice_file("ann").parent.mkdir(parents=True)
    voice_file("ann").touch()
    with pytest.raises(CalloutError, match="a new game needs its teams"):
        live(tmp_path / "game", ear="off", outlets=PRINT, voice_of="ann")


def test_an_ear_is_started_with_the_learned_voice(tmp_path: Path) -> None:
    given: list[Options] = []
    start = with_learned(tmp_path / "ann.npz", lambda *rest: given.append(rest[-1]))  # type: ignore[arg-type]
    start(tmp_path, {}, print, Options(least_score=1.0))
    assert given == [Options(least_score=1.0, voice=str(tmp_path / "ann.npz"))]
