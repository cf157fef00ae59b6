"""The set-up of keys, through a real terminal and a real display."""

from __future__ import annotations

import os
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest

from callout.edges.keys_command import keys
from callout.errors import CalloutError
from callout.language.grammar import Scope
from callout.table.key_file import read_keys
from callout.table.keymap import Hand, KeyMap
from callout.table.words import patterns_of
from tests.display import Display
from tests.english import english_grammar
from tests.terminal import Terminal

GRAMMAR = english_grammar()
READ = patterns_of(GRAMMAR).read


class Setup(Terminal):
    """`callout keys` in a terminal."""

    def __init__(self, path: Path, environment: dict[str, str]) -> None:
        self.path = path
        super().__init__([sys.executable, "-m", "callout", "keys", str(path)], environment)

    def read(self) -> KeyMap:
        """The file that it has written, once it has ended."""
        self.wait_for("> $")
        self.press("\n")
        assert self.process.wait(timeout=20) == 0
        return read_keys(self.path, GRAMMAR, Scope())


@contextmanager
def setup(path: Path, environment: dict[str, str]) -> Iterator[Setup]:
    running = Setup(path, environment)
    try:
        yield running
    finally:
        running.process.kill()
        running.process.wait()
        os.close(running.ours)


def test_a_key_of_the_terminal_is_learned(tmp_path: Path) -> None:
    plain = {key: value for key, value in os.environ.items() if key != "DISPLAY"}
    path = tmp_path / "own.toml"
    path.write_text('# mine\n[keys]\nz = "mark that"\n', encoding="utf-8")
    with setup(path, plain) as running:
        running.wait_for("> ")
        running.press("start clock\n")
        running.wait_for("Hold the key for 'start clock'")
        running.press("x")
        running.wait_for(r"\[keys\] x: start clock")
        running.wait_for("> ")
        running.press("Talk\n")
        running.wait_for("Hold the key")
        running.press("\x1b[24~")
        running.wait_for("does not tell of being held")
        running.wait_for("> ")
        running.press("start cock\n")
        running.wait_for("Hold the key")
        running.press("y")
        running.wait_for(r"own\.toml:\d+: y: expected a call, got 'start cock'")
        found = running.read()
    assert found.keys["x"] == (READ("start clock"),)
    assert found.keys["z"] == (READ("mark that"),)
    assert found.keys["f12"] is Hand.TAP
    assert found.keys["y"] == (READ("yes"),)
    assert path.read_text(encoding="utf-8").startswith("# mine\n")


def test_a_key_of_the_whole_keyboard_is_learned_with_how_long_it_is_held(
    tmp_path: Path, display: Display
) -> None:
    with setup(tmp_path / "own.toml", display.environment) as running:
        running.wait_for("> ")
        running.press("talk\n")
        running.wait_for("Hold the key")
        display.do("keydown", "F8", "sleep", "1", "keyup", "F8")
        running.wait_for(r"\[everywhere\] f8: talk")
        running.wait_for("> ")
        running.press("home two\n")
        running.wait_for("Hold the key")
        display.do("key", "F9")
        running.wait_for(r"\[everywhere\] f9: home two")
        found = running.read()
    assert found.everywhere == {"f8": Hand.TALK, "f9": (READ("home two"),)}


def test_a_pedal_that_comes_up_at_once_talks_by_taps(tmp_path: Path, display: Display) -> None:
    with setup(tmp_path / "own.toml", display.environment) as running:
        running.wait_for("> ")
        running.press("talk\n")
        running.wait_for("Hold the key")
        display.do("key", "--delay", "0", "F8")
        running.wait_for("does not tell of being held")
        assert running.read().everywhere == {"f8": Hand.TAP}


def test_a_file_that_is_wrong_is_left_alone(tmp_path: Path) -> None:
    path = tmp_path / "own.toml"
    path.write_text("[keys]\nx = 3\n", encoding="utf-8")
    with pytest.raises(CalloutError, match=r"own\.toml:2: x: expected words, got 3"):
        keys(path)
    assert path.read_text(encoding="utf-8") == "[keys]\nx = 3\n"
