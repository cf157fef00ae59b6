"""The terminal's own keys, through a real pseudo-terminal."""

from __future__ import annotations

import os
import sys
import time
from collections.abc import Iterator
from pathlib import Path

import pytest

from callout.edges.terminal_keys import TerminalKeys
from callout.errors import DeviceError
from callout.game import calls
from callout.game.terms import Team
from callout.table.journal import Journal
from tests.terminal import Terminal


def test_a_file_has_no_keys(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    (tmp_path / "in").touch()
    with (tmp_path / "in").open() as file:
        monkeypatch.setattr(sys, "stdin", file)
        with pytest.raises(DeviceError, match="standard input is no terminal"):
            TerminalKeys(print, print, print)


SETUP = """
profile: youth-6-minute
home: Harbour Kites | 4 5 12
guest: Quarry Foxes | 8 11 15
"""


class Live(Terminal):
    """`callout live` in a terminal."""

    def __init__(self, folder: Path, *options: str) -> None:
        self.game = folder / "game"
        setup = folder / "game.setup"
        setup.write_text(SETUP, encoding="utf-8")
        command = [sys.executable, "-m", "callout", "live", str(self.game), "--setup", str(setup)]
        super().__init__([*command, "--ear", "off", "--voice", "print", *options])

    def entries(self) -> list[calls.Call]:
        """The calls in the book, once it is closed."""
        self.stop()
        with Journal.open(self.game) as journal:
            assert {entry.source for entry in journal.entries()} <= {"key", "clock"}
            return [entry.call for entry in journal.entries()]

    def stop(self) -> None:
        """End it as a person would, with Ctrl-C, of which the terminal makes a signal."""
        if self.process.poll() is None:
            self.process.send_signal(2)
            self.process.wait(timeout=20)
            os.close(self.ours)


@pytest.fixture
def terminal(tmp_path: Path) -> Iterator[Live]:
    """A game in a terminal."""
    running = Live(tmp_path)
    yield running
    running.stop()


def test_a_game_is_kept_by_the_keys_of_a_terminal(terminal: Live) -> None:
    terminal.wait_for("0 entries")
    terminal.press("\t")
    terminal.wait_for("Running")
    terminal.press("f\x1b[D")
    terminal.wait_for("Home control")
    terminal.press("fs5\r")
    terminal.wait_for("Home two, number five")
    terminal.press("j15g")
    terminal.wait_for("Guest foul, number one five")
    time.sleep(0.2)  # sooner it would be a repetition
    terminal.press("g")
    terminal.wait_for(r"Home or guest\?")
    terminal.press("\x7f§")
    terminal.wait_for("Key not used")
    terminal.press(":score check\r")
    terminal.wait_for("Home two, guest nothing")
    terminal.press("\x1b[O\x1b[I")
    terminal.wait_for("another window has the focus")
    terminal.wait_for("heard again")
    terminal.press(" ")
    terminal.wait_for("Stopped")
    assert terminal.entries() == [
        calls.StartClock(),
        calls.Tip(Team.HOME),
        calls.Score(Team.HOME, 2),
        calls.Number("5"),
        calls.Foul(Team.GUEST, "15"),
        calls.StopClock(),
    ]


def test_what_is_pasted_is_no_key_and_a_held_one_is_few(terminal: Live) -> None:
    terminal.wait_for("0 entries")
    terminal.press("\x1b[200~\t fs \t\x1b[201~")
    for _ in range(30):
        terminal.press("u")
        time.sleep(0.03)
    terminal.wait_for("Nothing to undo")
    terminal.press("\t")
    terminal.wait_for("Running")
    assert terminal.entries() == [calls.StartClock()]
    assert terminal.shown.count("Nothing to undo") == 0


def test_choices_are_read_and_one_key_takes_them(terminal: Live) -> None:
    terminal.wait_for("0 entries")
    terminal.press("\x1b[6~")
    terminal.wait_for("> start clock")
    time.sleep(0.4)
    terminal.press("\x1b[6~")
    terminal.wait_for("Running")
    assert terminal.entries() == [calls.StartClock()]


def test_a_game_may_be_typed_in_words(tmp_path: Path) -> None:
    running = Live(tmp_path, "--keys", "typed")
    try:
        running.wait_for("0 entries")
        running.press("start clock\n")
        running.wait_for("Running")
        assert running.entries() == [calls.StartClock()]
    finally:
        running.stop()


def test_the_terminal_is_given_back_as_it_was(tmp_path: Path) -> None:
    running = Live(tmp_path)
    import termios

    before = termios.tcgetattr(running.ours)
    running.wait_for("0 entries")
    running.press("\t")
    running.wait_for("Running")
    assert termios.tcgetattr(running.ours)[3] != before[3]
    running.process.send_signal(2)
    running.process.wait(timeout=20)
    assert termios.tcgetattr(running.ours) == before
    os.close(running.ours)
