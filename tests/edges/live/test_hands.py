"""The hands of a live game: given moments in this process, and once real keys on a real display."""

from __future__ import annotations

import os
import subprocess
import sys
import time
from collections.abc import Iterator
from pathlib import Path

import pytest

from callout import __main__
from callout.edges.live.devices import open_devices
from callout.edges.live.hands import LiveHands
from callout.edges.live.inbox import DeviceLacking, Item
from callout.game import calls
from callout.game.terms import Team
from callout.language.grammar import Scope
from callout.table.book.journal import Journal
from callout.table.clock import MachineTime, steady_ns
from callout.table.hands.devices import Edge
from callout.table.hands.key_file import read_keys
from callout.table.hands.presses import MS
from callout.table.language import replies_of
from callout.table.session import Session
from callout.table.setup.setup import read_setup
from callout.table.speech.kinds import TALK_KINDS
from tests.display import Display
from tests.english import english_grammar
from tests.patience import HANG_S

SETUP = "profile: nfhs-2026\nhome: Harbour Kites | 4 5 12\nguest: Quarry Foxes | 8 11 15\n"
KEYS = """
long_ms = 2000
chord_ms = 500
[everywhere]
f5 = ["stop clock", "start clock"]
"f6" = "{team} two"
f7 = "home"
"f7 long" = "undo that"
"f8+f9" = "sub waiting"
[pedal]
device = "/dev/input/by-id/nobody's"
a = "talk"
"""
"""Times that a busy display keeps, too."""

MADE = [
    calls.StartClock(), calls.Score(Team.HOME, 2), calls.Undo(), calls.SubWaiting(),
    calls.StopClock(),
]  # fmt: skip


class Ear:
    """An ear that notes what the key to talk does."""

    def __init__(self) -> None:
        self.did: list[str] = []

    def press(self) -> None:
        """The key is down."""
        self.did.append("press")

    def release(self) -> None:
        """It is up."""
        self.did.append("release")


class Table:
    """A game kept by keys that are given with their moments, in milliseconds from its start."""

    def __init__(self, folder: Path) -> None:
        (folder / "game.setup").write_text(SETUP, encoding="utf-8")
        (folder / "keys.toml").write_text(KEYS, encoding="utf-8")
        grammar = english_grammar()
        self.journal = Journal.create(folder / "game", read_setup(folder / "game.setup"))
        clock = MachineTime(self.journal.last_ms())
        self.session = Session(self.journal, replies_of(grammar), clock)
        keymap = read_keys(folder / "keys.toml", grammar, Scope())
        self.hands = LiveHands(self.session, clock, grammar, keymap)
        # A minute ago, so that all that must wait for its time has had it.
        self._start_ns = steady_ns() - 60 * 10**9

    def feed(self, key: str, *moments_ms: int, source: str = "everywhere") -> list[str]:
        """Press a key and let it go, once or more; what was said of it."""
        said: list[str] = []
        for nth, at_ms in enumerate(moments_ms):
            edge = Edge(source, key, nth % 2 == 0, self._start_ns + at_ms * MS)
            said += [reply.text for _, reply in self.hands.feed(edge)]
        return said

    def tick(self) -> list[str]:
        """Let time pass until now."""
        return [reply.text for _, reply in self.hands.tick()]

    def made(self) -> list[calls.Call]:
        """The calls in the book."""
        return [entry.call for entry in self.session.entries]


@pytest.fixture
def table(tmp_path: Path) -> Iterator[Table]:
    """A game before its first call."""
    found = Table(tmp_path)
    yield found
    found.journal.close()


def test_a_game_is_kept_by_keys_held_and_pressed_together(table: Table) -> None:
    table.feed("f5", 0, 90)
    table.feed("f7", 1_000, 1_080)
    table.feed("f6", 1_200, 1_290)
    table.feed("f7", 2_000, 4_100)
    table.feed("f8", 6_000)
    table.feed("f9", 6_040)
    table.feed("f5", 8_000, 8_100)
    assert table.made() == MADE
    assert {entry.source for entry in table.session.entries} == {"key"}


def test_a_call_has_the_moment_of_its_key(table: Table) -> None:
    table.feed("f5", 0, 90)
    table.feed("f5", 5_000, 5_090)
    started, stopped = (entry.at.wall_ms for entry in table.session.entries)
    assert stopped - started == 5_000


def test_a_stuck_key_and_an_unknown_one_are_told(table: Table) -> None:
    table.feed("f5", 0)
    assert table.tick() == ["A key is held down."]
    assert table.feed("f12", 50_000, source="keys") == ["Key not used."]


def test_the_first_of_two_keys_asks_for_the_other(table: Table) -> None:
    assert table.feed("p", 0, source="keys") == ["Which?"]
    assert table.feed("G", 500, source="keys") == ["Home or guest?"]
    assert table.feed("?", 900, source="keys") == ["Home or guest?"]
    assert table.feed("backspace", 1_200, source="keys") == []
    (told,) = table.feed("?", 1_700, source="keys")
    assert told.startswith("Press or say: Tab start clock; F home; J guest")
    assert told.endswith(" more: press it again.")
    assert table.made() == []


def test_pressed_again_it_goes_on_until_all_is_said(table: Table) -> None:
    first = table.feed("?", 0, source="keys")
    said = [first]
    while (page := table.feed("?", 3_000 * len(said), source="keys")) != first:
        assert page not in said
        said.append(page)
    assert "more" in said[0][0]
    assert "press it again" not in said[-1][0]
    assert "F2 score" in " ".join(text for (text,) in said)


def test_the_key_to_talk_opens_the_ear_while_it_is_held(table: Table) -> None:
    table.hands.talk = ear = Ear()
    table.feed("a", 0, source="pedal")
    assert ear.did == ["press"]
    table.feed("/", 20_000, source="keys")
    assert ear.did == ["press", "release"]
    table.hands.once = True
    table.feed("/", 30_000, source="keys")
    assert ear.did == ["press", "release", "press"]


def test_one_switch_takes_the_choice_that_was_read(table: Table) -> None:
    table.feed("pagedown", 0, source="keys")
    assert next(table.hands.offered()) == "start clock"
    table.feed("pagedown", 1_000, source="keys")
    # It may be the first repetition of a key that is held, until 100 ms have passed.
    assert table.made() == []
    table.tick()
    assert table.made() == [calls.StartClock()]


def test_a_device_that_cannot_be_had_is_told_once_with_why(tmp_path: Path) -> None:
    (tmp_path / "keys.toml").write_text(KEYS.replace("[everywhere]", "[keys]").replace(
        '"f7 long" = "undo that"\n"f8+f9" = "sub waiting"\n', ""), encoding="utf-8")  # fmt: skip
    told: list[Item] = []
    keymap = read_keys(tmp_path / "keys.toml", english_grammar(), Scope())
    assert open_devices(keymap, told.append, terminal=False) == []
    why = "/dev/input/by-id/nobody's: no such device: is it plugged in?"
    assert told == [DeviceLacking(why)]


def test_what_becomes_of_keys_is_said_in_words(table: Table) -> None:
    replies = replies_of(english_grammar()).file.kinds
    troubles = [kind for kind in TALK_KINDS if kind.startswith(("keys_", "pedal_", "focus_"))]
    assert len(troubles) == 7
    assert all(replies[kind].urgent for kind in troubles), "also to whoever hears little"


# --- real keys --------------------------------------------------------------------------------


def command(folder: Path) -> list[str]:
    return [sys.executable, "-m", "callout", "live", str(folder / "game"), "--setup",
            str(folder / "game.setup"), "--keys", str(folder / "keys.toml"), "--ear", "off",
            "--voice", "print"]  # fmt: skip


def children_of(pid: int) -> list[int]:
    """The processes that a process has started. Source: proc(5)."""
    threads = Path(f"/proc/{pid}/task").glob("*/children")
    return [int(each) for thread in threads for each in thread.read_text("ascii").split()]


@pytest.mark.thorough
def test_a_game_is_kept_from_any_window_until_it_is_told_to_end(
    tmp_path: Path, screen: Display
) -> None:
    """The keyboard's process dies meanwhile; in the end SIGTERM leaves no process behind."""
    (tmp_path / "game.setup").write_text(SETUP, encoding="utf-8")
    (tmp_path / "keys.toml").write_text(KEYS, encoding="utf-8")
    log = tmp_path / "log"

    def wait_for(text: str) -> None:
        end = time.monotonic() + HANG_S
        while text not in log.read_text():
            assert time.monotonic() < end, log.read_text()
            time.sleep(0.05)

    with log.open("w") as out:
        process = subprocess.Popen(
            command(tmp_path), env=screen.environment, stdin=subprocess.PIPE, stdout=out, stderr=out
        )
        try:
            wait_for("keys: /dev/input/by-id/nobody's: no such device: is it plugged in?")
            wait_for("Some keys cannot be had.")
            screen.do("key", "F5")
            wait_for("Running")
            screen.do("key", "F7", "key", "F6")
            wait_for("Home two.")
            (child,) = children_of(process.pid)
            os.kill(child, 9)
            wait_for("The keys of other windows are gone.")
            wait_for("The keys of other windows are back.")
            screen.do("keydown", "F7", "sleep", "3", "keyup", "F7")
            wait_for("Undone")
            screen.do("keydown", "F8", "keydown", "F9", "keyup", "F8", "keyup", "F9")
            wait_for("Sub waiting.")
            screen.do("key", "F5")
            wait_for("Stopped")
            (child,) = children_of(process.pid)
        finally:
            process.terminate()
            process.wait(timeout=HANG_S)
            assert process.stdin is not None
            process.stdin.close()
    assert not Path(f"/proc/{child}").exists()
    assert log.read_text().count("no such device") == 1
    with Journal.open(tmp_path / "game") as journal:
        assert [entry.call for entry in journal.entries()] == MADE


def test_a_wrong_file_of_keys_is_one_line(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    (tmp_path / "game.setup").write_text(SETUP, encoding="utf-8")
    (tmp_path / "keys.toml").write_text('[keys]\nx = "start cock"\n', encoding="utf-8")
    _, _, program, *arguments = command(tmp_path)
    monkeypatch.setattr(sys, "argv", [program, *arguments])
    with pytest.raises(SystemExit) as ended:
        __main__.main()
    told = f"callout: {tmp_path / 'keys.toml'}:2: x: expected a call, got 'start cock'\n"
    assert (ended.value.code, capsys.readouterr().err) == (2, told)
