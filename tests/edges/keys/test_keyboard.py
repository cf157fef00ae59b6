"""Keys of the whole keyboard: by children that do as they are told, and once by real keys.

A child of these tests is a program of a few lines, another one at each start. What a key means, and
what is a press, is tested by given times in `tests/table`.
"""

from __future__ import annotations

import json
import os
import queue
import sys
import threading
from collections.abc import Iterator
from contextlib import closing
from dataclasses import dataclass
from pathlib import Path

import pytest

from callout.edges.keys.keyboard import EverywhereKeys
from callout.edges.keys.keyboard_process import Teller, key_name
from callout.edges.restarts import PAUSES_S
from callout.errors import DeviceError
from callout.table.clock import steady_ns
from callout.table.hands.devices import Act, Edge, Hands
from callout.table.hands.keymap import Hand, KeyMap
from callout.table.hands.presses import Stuck
from tests.display import Display, virtual_display
from tests.patience import HANG_S

READY = {"problem": ""}
CHILD = """
import json, os, sys
folder = sys.argv[1]
nth = len(os.listdir(folder))
open(os.path.join(folder, str(nth)), "w").close()
lives = json.loads(sys.argv[2])
lines, stays = lives[min(nth, len(lives) - 1)]
for line in lines:
    print(line if isinstance(line, str) else json.dumps(line), flush=True)
if stays:
    sys.stdin.read()
"""
"""Writes the lines of its life, one life a start and the last one for ever; then ends, or stays."""

Life = tuple[list[object], bool]


def key(name: str, down: bool, at_ns: int) -> dict[str, object]:
    return {"key": name, "down": down, "at_ns": at_ns}


class Heard:
    """What was heard of a keyboard: keys, and what became of it, in order."""

    def __init__(self, folder: Path, *lives: Life, pauses: int = 100, start_s: float = 60) -> None:
        self.told: queue.Queue[Edge | str] = queue.Queue()
        self.paused: list[float] = []
        self.enough = threading.Event()
        self._pauses = pauses
        self.keys = EverywhereKeys(
            self.told.put, self.told.put, start_s=start_s, wait=self._wait, time_s=lambda: 0.0,
            program=[sys.executable, "-S", "-c", CHILD, str(folder), json.dumps(lives)],
        )  # fmt: skip

    def _wait(self, seconds: float) -> bool:
        self.paused.append(seconds)
        if len(self.paused) >= self._pauses:
            self.enough.set()
        return self.enough.is_set()

    def take(self, count: int) -> list[Edge | str]:
        """The next so many things that were told."""
        return [self.told.get(timeout=HANG_S) for _ in range(count)]


def test_keys_are_told_as_the_child_tells_them(tmp_path: Path) -> None:
    heard = Heard(tmp_path, ([READY, key("a", True, 5), "{half a li", key("a", False, 9)], True))
    with closing(heard.keys):
        assert heard.take(2) == [
            Edge("everywhere", "a", True, 5),
            Edge("everywhere", "a", False, 9),
        ]
    assert heard.told.empty()
    assert heard.paused == []


def test_a_child_that_died_is_started_again(tmp_path: Path) -> None:
    """It is told once that it is gone, and once that it is back; what was held is let go."""
    first: Life = ([READY, key("a", True, 5), key("b", True, 6), key("b", False, 7)], False)
    heard = Heard(tmp_path, first, ([READY, key("c", True, 8)], True))
    with closing(heard.keys):
        told = heard.take(7)
    ups = [each for each in told if isinstance(each, Edge) and each.key == "a" and not each.down]
    assert [str(each.at_ns) if each not in ups else "let go" for each in told
            if isinstance(each, Edge)] == ["5", "6", "7", "let go", "8"]  # fmt: skip
    assert [each for each in told if isinstance(each, str)] == ["keys_gone", "keys_back"]
    assert (
        told.index("keys_gone")
        < told.index("keys_back")
        < told.index(Edge("everywhere", "c", True, 8))
    )
    assert heard.paused == [PAUSES_S[0]]


def test_one_that_the_system_does_not_start_is_tried_again(tmp_path: Path) -> None:
    """Too little memory or too many processes may be just what ended the one before."""
    lives: list[Life] = [([READY], False), ([READY, key("c", True, 8)], True)]
    program, folder = tmp_path / "program", tmp_path / "lives"
    folder.mkdir()
    text = f"#!{sys.executable} -S\n{CHILD}"
    paused: list[float] = []

    def put() -> None:
        program.write_text(text)
        program.chmod(0o700)

    def wait(seconds: float) -> bool:
        paused.append(seconds)
        if len(paused) == 1:
            program.unlink()
        elif len(paused) == 3:
            put()
        return False

    put()
    told: queue.Queue[Edge | str] = queue.Queue()
    keys = EverywhereKeys(
        told.put, told.put, wait=wait, time_s=lambda: 0.0,
        program=[str(program), str(folder), json.dumps(lives)],
    )  # fmt: skip
    with closing(keys):
        heard = [told.get(timeout=HANG_S) for _ in range(3)]
    assert heard == ["keys_gone", "keys_back", Edge("everywhere", "c", True, 8)]
    assert paused == [*PAUSES_S[:3]]


def test_one_that_the_system_never_starts_is_no_keyboard(tmp_path: Path) -> None:
    with pytest.raises(DeviceError, match="cannot be started"):
        EverywhereKeys(print, program=[str(tmp_path / "absent")])


def test_one_that_keeps_dying_is_back_only_once_it_does_something(tmp_path: Path) -> None:
    dies: Life = ([READY], False)
    heard = Heard(tmp_path, dies, dies, dies, ([READY, key("c", True, 8)], True))
    with closing(heard.keys):
        told = heard.take(7)
    assert told == ["keys_gone", "keys_back", "keys_gone", "keys_back", "keys_gone", "keys_back",
                    Edge("everywhere", "c", True, 8)]  # fmt: skip
    assert heard.paused == list(PAUSES_S[:3])


def test_one_that_cannot_listen_any_more_is_tried_ever_later(tmp_path: Path) -> None:
    """The display has gone, and may come back: the same pauses as the ear's and the voice's."""
    lives: list[Life] = [([READY, key("a", True, 5), key("a", False, 6)], False),
                         ([{"problem": "no display"}], False)]  # fmt: skip
    heard = Heard(tmp_path, *lives, pauses=len(PAUSES_S) + 1)
    with closing(heard.keys):
        assert heard.enough.wait(HANG_S)
        assert heard.take(3)[2] == "keys_gone"
    assert heard.told.empty()
    # A death after a key was heard is the first in a row.
    assert heard.paused == [*PAUSES_S, PAUSES_S[-1]]


@pytest.mark.parametrize(
    ("life", "start_s", "why"),
    [
        (([{"problem": "use a pedal"}], False), 60, "use a pedal"),
        (([], False), 60, "the process that hears the keys has died"),
        (([], True), 0.2, "the keyboard does not answer"),
    ],
    ids=["cannot", "dies", "hangs"],
)
def test_a_child_that_never_listened_is_no_keyboard(
    life: Life, start_s: float, why: str, tmp_path: Path
) -> None:
    with pytest.raises(DeviceError, match=why):
        Heard(tmp_path, life, start_s=start_s)
    assert len(list(tmp_path.iterdir())) <= 1, "it is not started again"


# --- the child --------------------------------------------------------------------------------


@dataclass(frozen=True)
class Key:
    """A key as pynput gives it: one with a name, or one that types."""

    name: str | None = None
    char: str | None = None
    vk: int | None = None


@pytest.mark.parametrize(
    ("given", "name"),
    [
        (Key(name="esc"), "escape"),
        (Key(name="page_up"), "pageup"),
        (Key(name="f5"), "f5"),
        (Key(char=";"), ";"),
        (Key(char="A"), "A"),
        (Key(char="\x03"), None),
        (Key(), None),
    ],
)
def test_a_key_has_the_table_s_name(given: Key, name: str | None) -> None:
    assert key_name(given) == name


def test_a_sign_that_is_let_go_after_its_shift_is_not_held_for_ever(
    capsys: pytest.CaptureFixture[str],
) -> None:
    """What was pressed as `+` comes up as `=`, so it is let go while it is known."""
    teller = Teller()
    plus, equal, shift = Key(char="+"), Key(char="="), Key(name="shift")
    for each, down in [(shift, True), (plus, True), (shift, False), (equal, False)]:
        teller.tell(each, down)
    told = [json.loads(line) for line in capsys.readouterr().out.splitlines()]
    assert [(each["key"], each["down"]) for each in told] == [
        ("leftshift", True), ("+", True), ("+", False), ("leftshift", False), ("=", False),
    ]  # fmt: skip


def test_a_key_has_the_moment_that_the_display_gives_it(capsys: pytest.CaptureFixture[str]) -> None:
    """A busy machine tells of keys late; how far they are apart, the display knows."""
    teller = Teller()
    for at_ms, down in [(1_000, True), (1_090, False)]:
        teller.time_ms = at_ms
        teller.tell(Key(char="a"), down)
    down_ns, up_ns = (json.loads(line)["at_ns"] for line in capsys.readouterr().out.splitlines())
    assert up_ns - down_ns <= 90 * 10**6
    assert down_ns <= steady_ns()


# --- real keys: pressed by xdotool on a display of the tests' own, heard by pynput ------------


@pytest.fixture
def real(display: Display) -> Iterator[queue.Queue[Edge | str]]:
    """What is heard of the display's keyboard."""
    told: queue.Queue[Edge | str] = queue.Queue()
    with closing(EverywhereKeys(told.put, told.put)):
        yield told


@pytest.mark.thorough
def test_real_keys_are_told_in_order_none_lost_and_none_doubled(
    display: Display, real: queue.Queue[Edge | str]
) -> None:
    before = steady_ns()
    # Keyboard layouts make XF86Tools of the F13 that pedals send.
    named = {"XF86Tools": "f13", "KP_Enter": "enter", "KP_Add": "+", "Return": "enter",
             "Prior": "pageup", "Escape": "escape", "semicolon": ";", "F5": "f5"}  # fmt: skip
    letters = "asdfghjk" * 15
    display.do(*(word for name in [*named, *letters] for word in ("keydown", name, "keyup", name)))
    expected = [*named.values(), *letters]
    edges = [real.get(timeout=HANG_S) for _ in range(2 * len(expected))]
    assert all(isinstance(each, Edge) for each in edges)
    told = [each for each in edges if isinstance(each, Edge)]
    assert [each.key for each in told if each.down] == expected
    assert [each.key for each in told if not each.down] == expected
    moments = [each.at_ns for each in told]
    assert before < moments[0]
    assert moments == sorted(moments)
    assert moments[-1] < steady_ns()
    hands = Hands(KeyMap({}, dict.fromkeys("asdfghjk", Hand.DONE)))
    moves = [move for each in told for move in hands.feed(each)]
    assert len([move for move in moves if isinstance(move, Act)]) == len(letters)
    assert not [move for move in moves if isinstance(move, Stuck)]


@pytest.mark.thorough
def test_a_real_child_that_is_killed_is_started_again_and_hears(display: Display) -> None:
    told: queue.Queue[Edge | str] = queue.Queue()
    with closing(EverywhereKeys(told.put, told.put)) as keys:
        os.kill(keys.pid, 9)
        assert told.get(timeout=HANG_S) == "keys_gone"
        assert told.get(timeout=HANG_S) == "keys_back"
        display.do("key", "a")
        edge = told.get(timeout=HANG_S)
        assert isinstance(edge, Edge)
        assert (edge.key, edge.down) == ("a", True)


def test_without_a_display_it_says_what_to_do(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.delenv("DISPLAY", raising=False)
    with pytest.raises(DeviceError, match="use a pedal of its own, or the keys of this terminal"):
        EverywhereKeys(lambda edge: None)


@pytest.mark.thorough
def test_a_display_that_goes_is_told_once(monkeypatch: pytest.MonkeyPatch) -> None:
    told: queue.Queue[Edge | str] = queue.Queue()
    tried = threading.Event()

    def wait(seconds: float) -> bool:
        # The third time it was tried twice without a display.
        if seconds == PAUSES_S[2]:
            tried.set()
        return tried.is_set()

    with virtual_display() as display:
        monkeypatch.setenv("DISPLAY", display.environment["DISPLAY"])
        keys = EverywhereKeys(told.put, told.put, wait=wait)
    with closing(keys):
        assert tried.wait(HANG_S)
        assert told.get(timeout=HANG_S) == "keys_gone"
    assert told.empty()
