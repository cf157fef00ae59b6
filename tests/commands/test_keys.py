"""The set-up of keys, through a real terminal and a real display."""

from __future__ import annotations

import os
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest

from callout.commands.keys import Learned, best_way, keys, write_keys
from callout.errors import CalloutError, InputError
from callout.language.grammar import Scope
from callout.table.hands.devices import Edge
from callout.table.hands.key_file import read_keys
from callout.table.hands.keymap import Hand, KeyMap
from callout.table.hands.presses import MS
from callout.table.language import patterns_of
from tests.display import Display
from tests.english import english_grammar
from tests.patience import HANG_S
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
        assert self.process.wait(timeout=HANG_S) == 0
        return read_keys(self.path, GRAMMAR, Scope())


@contextmanager
def setup(path: Path, environment: dict[str, str]) -> Iterator[Setup]:
    running = Setup(path, environment)
    try:
        yield running
    finally:
        running.kill()


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
        running.wait_for("does not tell of its release")
        running.wait_for("> ")
        running.press("start clock\n")
        running.wait_for("Hold the key")
        running.press("y")
        running.wait_for(r"own\.toml:\d+: expected one key for each call")
        found = running.read()
    assert found.keys["x"] == (READ("start clock"),)
    assert found.keys["z"] == (READ("mark that"),)
    assert found.keys["f12"] is Hand.TAP
    assert found.keys["y"] == (READ("yes"),)
    assert path.read_text(encoding="utf-8").startswith("# mine\n")


def test_words_that_no_key_can_have_are_refused_before_a_key_is_asked_for(tmp_path: Path) -> None:
    plain = {key: value for key, value in os.environ.items() if key != "DISPLAY"}
    path = tmp_path / "own.toml"
    with setup(path, plain) as running:
        running.wait_for("> ")
        running.press("start cock\n")
        told = running.wait_for(r"Hold the key|got 'start cock'\s+> ")
        assert "expected a call, got 'start cock'" in told
        assert not path.exists()
        running.press("{team} two\n")
        running.wait_for("Hold the key for '{team} two'")
        running.press("y")
        running.wait_for(r"\[keys\] y: {team} two")
        assert running.read().keys["y"] == (READ("{team} two"),)


def press_of(source: str, key: str, held_ms: int, device: str = "") -> list[tuple[Edge, str]]:
    """A press by one way; a terminal tells nothing of its end."""
    edges = [Edge(source, key, True, 10**9), Edge(source, key, False, 10**9 + held_ms * MS)]
    return [(edge, device) for edge in edges if edge.down or source != "keys"]


ASKED_TO_HOLD = 1_000
"""Units: milliseconds."""
PEDAL = "/dev/input/by-id/usb-Pedal-event-kbd"


@pytest.mark.parametrize(
    ("found", "own", "expected"),
    [
        (press_of("everywhere", "f8", ASKED_TO_HOLD), False, Learned("everywhere", "f8", True)),
        (press_of("everywhere", "f8", 2), False, Learned("everywhere", "f8", False)),
        (press_of("keys", "x", 0), False, Learned("keys", "x", False)),
        (press_of("everywhere", "x", 1_000) + press_of("keys", "x", 0), False,
         Learned("keys", "x", False)),
        (press_of("pedal", "a", 1_000, PEDAL), False, Learned("pedal", "a", True, PEDAL)),
        (press_of("pedal", "a", 1_000, PEDAL) + press_of("keys", "a", 0), True,
         Learned("pedal", "a", True, PEDAL)),
        (press_of("pedal", "a", 1_000, PEDAL) + press_of("keys", "a", 0), False,
         Learned("keys", "a", False)),
    ],
)  # fmt: skip
def test_a_press_that_comes_by_several_ways_is_learned_by_the_best(
    found: list[tuple[Edge, str]], own: bool, expected: Learned
) -> None:
    """A keyboard's letters must stay with the windows: whose it is, is asked."""
    assert best_way(found, lambda: own) == expected


@pytest.mark.thorough
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


def test_a_file_that_is_wrong_is_left_alone(tmp_path: Path) -> None:
    path = tmp_path / "own.toml"
    path.write_text("[keys]\nx = 3\n", encoding="utf-8")
    with pytest.raises(CalloutError, match=r"own\.toml:2: x: expected words, got 3"):
        keys(path)
    assert path.read_text(encoding="utf-8") == "[keys]\nx = 3\n"


def test_a_file_that_cannot_be_written_anew_keeps_the_old_keys(tmp_path: Path) -> None:
    """A terminal that is not UTF-8 gives bytes that Python holds as lone surrogates (PEP 383)."""
    path, link = tmp_path / "own.toml", tmp_path / "link.toml"
    link.symlink_to(path)
    old = '[keys]\nz = "mark that"\n'
    write_keys(link, old)
    with pytest.raises(InputError, match=r"link\.toml: expected words in UTF-8"):
        write_keys(link, old + 'y = "\udcff"\n')
    assert path.read_text(encoding="utf-8") == old
    assert sorted(tmp_path.iterdir()) == [link, path], "the link stays, and no half-written file"
    with pytest.raises(InputError, match="cannot be written"):
        write_keys(tmp_path / "absent" / "own.toml", old)
