"""The terminal's own keys, through a real pseudo-terminal.

What a key means, and when it repeats itself, is tested by given times in `tests/table`.
"""

from __future__ import annotations

import os
import re
import signal
import sys
import termios
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest

from callout.edges.keys.terminal import ASK, ASK_NO_MORE, TerminalKeys
from callout.edges.live.screen import COME_BACK, LEAVE
from callout.errors import DeviceError
from callout.game import calls
from callout.game.terms import Team
from callout.table.book.journal import Journal
from tests.patience import HANG_S
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

Attributes = list[int | list[bytes | int]]


class Live(Terminal):
    """`callout live` in a terminal."""

    def __init__(
        self, folder: Path, *options: str, shell: bool = False, under: tuple[str, ...] = ()
    ) -> None:
        self.game = folder / "game"
        setup = folder / "game.setup"
        setup.write_text(SETUP, encoding="utf-8")
        self.command = [*under, sys.executable, "-m", "callout", "live", str(self.game), "--setup",
                        str(setup), "--ear", "off", "--voice", "print", *options]  # fmt: skip
        bash = ["bash", "--norc", "--noprofile", "--noediting", "-i"]
        super().__init__(bash if shell else self.command, {**os.environ, "PS1": "ready> "})
        self.before: Attributes = termios.tcgetattr(self.ours)

    def entries(self) -> list[calls.Call]:
        """The calls in the book, once it is closed."""
        self.stop()
        with Journal.open(self.game) as journal:
            assert {entry.source for entry in journal.entries()} <= {"key", "clock"}
            return [entry.call for entry in journal.entries()]

    def stop(self) -> None:
        """End it as a person would, with Ctrl-C."""
        if self.process.poll() is None:
            self.press("\x03")
            self.wait_for("The game is kept")
            assert self.process.wait(timeout=HANG_S) == 0


Run = Callable[..., Live]


@pytest.fixture
def run(tmp_path: Path) -> Iterator[Run]:
    """Starts a game in a terminal, and waits until its keys are heard."""
    started: list[Live] = []

    def start(*options: str) -> Live:
        started.append(Live(tmp_path, *options))
        started[-1].wait_for("0 entries")
        return started[-1]

    yield start
    for each in started:
        each.kill()


def test_a_game_is_kept_by_the_keys_of_a_terminal(run: Run) -> None:
    terminal = run()
    terminal.press("\t")
    terminal.wait_for("Running")
    terminal.press("f\x1b[D")
    terminal.wait_for("Home control")
    terminal.press("fs12\r")
    terminal.wait_for("Home two, number twelve")
    terminal.press("j11G")
    terminal.wait_for("Guest foul, number eleven")
    terminal.press("s")
    terminal.wait_for(r"Home or guest\?")
    terminal.press("?")
    terminal.wait_for(r"Home or guest\?")
    terminal.press("\x7f?")
    terminal.wait_for("Press or say: Space stop clock; F home; J guest")
    terminal.press("§")
    terminal.wait_for("Key not used")
    terminal.press("Pm")
    terminal.wait_for("Which")
    terminal.wait_for("Marked")
    terminal.press(":home 3, number 4.\r")
    terminal.wait_for("Home three, number four")
    terminal.press("\x1b[O\x1b[I")
    terminal.wait_for("Another window has the focus")
    terminal.wait_for("Keys are heard again")
    terminal.press(" ")
    terminal.wait_for("Stopped")
    assert terminal.entries() == [
        calls.StartClock(),
        calls.Tip(Team.HOME),
        calls.Score(Team.HOME, 2),
        calls.Number("12"),
        calls.Foul(Team.GUEST, "11"),
        calls.Mark(),
        calls.Score(Team.HOME, 3, "4"),
        calls.StopClock(),
    ]


def test_what_is_pasted_is_no_key(run: Run) -> None:
    terminal = run()
    terminal.press("\x1b[200~\t fs \t\x1b[201~§")
    assert terminal.wait_for("Key not used").count("->") == 1
    terminal.press("\t")
    terminal.wait_for("Running")
    assert terminal.entries() == [calls.StartClock()]


def test_choices_are_read_and_one_key_takes_them(run: Run) -> None:
    terminal = run()
    terminal.press("\x1b[6~")
    terminal.wait_for("> start clock")
    # Its own time is given to the choice in tests/table/test_choosing.py; any other key between
    # the two shows that they are two presses.
    terminal.press("\x7f")
    terminal.wait_for("Key not used")
    terminal.press("\x1b[6~")
    terminal.wait_for("Running")
    assert terminal.entries() == [calls.StartClock()]


def test_a_game_may_be_typed_in_words(run: Run) -> None:
    terminal = run("--keys", "typed")
    terminal.press("start clock\n")
    terminal.wait_for("Running")
    terminal.press("Home 2, number 5.\n")
    terminal.wait_for("Home two, number five")
    assert terminal.entries() == [calls.StartClock(), calls.Score(Team.HOME, 2, "5")]


# --- the terminal is given back as it was ---------------------------------------------------------


@pytest.mark.parametrize("screen", [(), ("--screen",)], ids=["lines", "screen"])
@pytest.mark.parametrize("ended", [signal.SIGINT, signal.SIGTERM, signal.SIGHUP])
def test_whatever_ends_the_program_it_gives_the_terminal_back(
    ended: int, screen: tuple[str, ...], tmp_path: Path
) -> None:
    terminal = Live(tmp_path, *screen)
    try:
        terminal.wait_for(re.escape(ASK))
        terminal.press("\t")
        terminal.wait_for("Running" if not screen else "running")
        assert termios.tcgetattr(terminal.ours) != terminal.before
        terminal.process.send_signal(ended)
        shown = terminal.rest()
        assert terminal.process.wait(timeout=HANG_S) == 0
        assert ASK_NO_MORE in shown
        assert "The game is kept" in shown
        if screen:
            assert "\x1b[?1049l" in shown
            assert "\x1b[?25h" in shown
        assert termios.tcgetattr(terminal.ours) == terminal.before
        assert not terminal.game.with_name("game-wal").exists(), "the game was closed, too"
        assert terminal.entries() == [calls.StartClock()]
    finally:
        terminal.kill()


def test_a_game_whose_window_is_closed_is_closed_in_order(run: Run) -> None:
    terminal = run()
    terminal.press("\t")
    terminal.wait_for("Running")
    terminal.close_window()
    terminal.process.wait(timeout=HANG_S)
    assert not terminal.game.with_name("game-wal").exists()
    assert terminal.entries() == [calls.StartClock()]


def test_a_game_that_ignores_sighup_ends_with_its_terminal(tmp_path: Path) -> None:
    """As some shells leave it; without ear and other keys nobody could call any more."""
    terminal = Live(tmp_path, under=("sh", "-c", 'trap "" HUP; exec "$@"', "sh"))
    try:
        terminal.wait_for(re.escape(ASK))
        terminal.press("\t")
        terminal.wait_for("Running")
        terminal.close_window()
        terminal.process.wait(timeout=HANG_S)
        assert terminal.entries() == [calls.StartClock()]
    finally:
        terminal.kill()


def test_two_signals_in_a_row_end_it_once(run: Run) -> None:
    """A logout sends SIGHUP and, soon after, SIGTERM."""
    terminal = run()
    for each in (signal.SIGHUP, signal.SIGTERM, signal.SIGTERM):
        terminal.process.send_signal(each)
    shown = terminal.rest()
    assert terminal.process.wait(timeout=HANG_S) == 0
    assert "Traceback" not in shown
    assert termios.tcgetattr(terminal.ours) == terminal.before


@contextmanager
def in_a_shell(folder: Path, *options: str) -> Iterator[Live]:
    """A game in a real bash, as a person starts it."""
    terminal = Live(folder, *options, shell=True)
    try:
        terminal.wait_for("ready> ")
        terminal.press(" ".join(terminal.command) + "\n")
        terminal.wait_for(re.escape(ASK))
        yield terminal
    finally:
        terminal.kill()


@pytest.mark.parametrize("screen", [(), ("--screen",)], ids=["lines", "screen"])
def test_after_ctrl_z_and_fg_the_keys_are_heard_at_once(
    tmp_path: Path, screen: tuple[str, ...]
) -> None:
    """bash gives the terminal back in line mode; the game must ask for its keys again."""
    with in_a_shell(tmp_path, *screen) as terminal:
        terminal.press("\t")
        terminal.wait_for("running" if screen else "Running")
        terminal.press("\x1a")
        stopped = terminal.wait_for("ready> ")
        assert ASK_NO_MORE in stopped
        assert (LEAVE in stopped) == bool(screen)
        assert termios.tcgetattr(terminal.ours) == terminal.before
        terminal.press("fg\n")
        back = terminal.wait_for(re.escape(ASK))
        assert (COME_BACK in back) == bool(screen)
        terminal.press(" ")
        terminal.wait_for("stopped" if screen else "Stopped")
        terminal.press("\x03")
        terminal.wait_for("The game is kept")
        terminal.wait_for("ready> ")
        with Journal.open(terminal.game) as journal:
            made = [entry.call for entry in journal.entries()]
        assert made == [calls.StartClock(), calls.StopClock()]


def test_ctrl_z_where_no_shell_waits_changes_nothing(run: Run) -> None:
    """A program that is all its terminal has cannot be stopped so. Source: POSIX, orphaned
    process groups."""
    terminal = run()
    terminal.press("\x1a")
    terminal.wait_for(re.escape(ASK_NO_MORE))
    terminal.wait_for(re.escape(ASK))
    terminal.press("\t")
    terminal.wait_for("Running")
    assert terminal.entries() == [calls.StartClock()]
