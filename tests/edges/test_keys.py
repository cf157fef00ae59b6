"""Real keys: pressed by xdotool on a display of the test's own, heard by pynput."""

from __future__ import annotations

import queue
import time
from collections.abc import Iterator
from pathlib import Path

import pytest

from callout.edges.keyboard import key_name
from callout.edges.keys import EverywhereKeys
from callout.errors import DeviceError
from callout.table.clock import steady_ns
from callout.table.hands import Act, Edge, Hands
from callout.table.keymap import Hand, KeyMap
from callout.table.presses import MS, Pressed, Presses, Stuck
from tests.display import Display, virtual_display


class Heard:
    """What was heard of the keyboard."""

    def __init__(self) -> None:
        self.edges: queue.Queue[Edge] = queue.Queue()
        self.ended: list[str] = []
        self.keys = EverywhereKeys(self.edges.put, self.ended.append)

    def take(self, count: int, seconds: float = 10.0) -> list[Edge]:
        """The next so many edges."""
        end, found = time.monotonic() + seconds, list[Edge]()
        while len(found) < count:
            found.append(self.edges.get(timeout=max(0.01, end - time.monotonic())))
        return found

    def rest(self) -> list[Edge]:
        """What else has come by now."""
        time.sleep(0.3)
        found = []
        while not self.edges.empty():
            found.append(self.edges.get())
        return found


@pytest.fixture
def heard(display: Display) -> Iterator[Heard]:
    """A listener to the keyboard of the display."""
    listener = Heard()
    yield listener
    listener.keys.close()


def test_keys_are_told_with_the_moment_they_go_down_and_up(display: Display, heard: Heard) -> None:
    before = steady_ns()
    display.do("keydown", "a", "sleep", "0.1", "keyup", "a", "key", "F5", "key", "space")
    edges = heard.take(6)
    assert [(edge.key, edge.down) for edge in edges] == [
        ("a", True), ("a", False), ("f5", True), ("f5", False), ("space", True), ("space", False),
    ]  # fmt: skip
    assert all(edge.source == "everywhere" for edge in edges)
    assert before < edges[0].at_ns < edges[1].at_ns < steady_ns()
    assert 80 * MS < edges[1].at_ns - edges[0].at_ns < 400 * MS
    assert heard.ended == []


def test_the_keys_of_pedals_and_pads_have_their_names(display: Display, heard: Heard) -> None:
    # Keyboard layouts make XF86Tools of the F13 that pedals send.
    names = {"XF86Tools": "f13", "KP_Enter": "enter", "KP_Add": "+", "Return": "enter",
             "Prior": "pageup", "Escape": "escape", "semicolon": ";"}  # fmt: skip
    for name, expected in names.items():
        display.do("key", name)
        down, up = heard.take(2)
        assert (down.key, down.down, up.key, up.down) == (expected, True, expected, False), name


def test_a_sign_that_is_let_go_after_its_shift_is_not_held_for_ever(
    display: Display, heard: Heard
) -> None:
    display.do("keydown", "shift", "keydown", "equal", "keyup", "shift", "keyup", "equal")
    edges = [*heard.take(5), *heard.rest()]
    held = {edge.key for edge in edges if edge.down}
    assert held == {"leftshift", "+"}
    for key in held:
        assert [edge.down for edge in edges if edge.key == key] == [True, False]


def test_a_key_that_is_held_repeats_itself_and_is_one_press(display: Display, heard: Heard) -> None:
    display.do("keydown", "b", "sleep", "1.5", "keyup", "b")
    edges = [*heard.take(2), *heard.rest()]
    assert sum(edge.down for edge in edges) > 5, "the display repeats it"
    presses = Presses(["b"])
    felt = [each for edge in edges for each in presses.feed(edge.key, edge.down, edge.at_ns)]
    assert [each for each in felt if isinstance(each, Pressed)] == [Pressed("b", edges[0].at_ns)]


def test_real_presses_none_lost_and_none_doubled(display: Display, heard: Heard) -> None:
    letters = "asdfghjk"
    words = [
        word
        for nth in range(150)
        for word in ("keydown", letters[nth % 8], "keyup", letters[nth % 8])
    ]
    display.do(*words)
    edges = [*heard.take(300, 60), *heard.rest()]
    hands = Hands(KeyMap({}, dict.fromkeys(letters, Hand.DONE)))
    moves = [move for edge in edges for move in hands.feed(edge)]
    assert len([move for move in moves if isinstance(move, Act)]) == 150
    assert not [move for move in moves if isinstance(move, Stuck)]


def test_without_a_display_it_says_what_to_do(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.delenv("DISPLAY", raising=False)
    with pytest.raises(DeviceError, match="use a pedal of its own, or the keys of this terminal"):
        EverywhereKeys(lambda edge: None)


def test_a_display_that_goes_is_told_once(monkeypatch: pytest.MonkeyPatch) -> None:
    with virtual_display() as display:
        monkeypatch.setenv("DISPLAY", display.environment["DISPLAY"])
        listener = Heard()
    end = time.monotonic() + 10
    while not listener.ended and time.monotonic() < end:
        time.sleep(0.05)
    listener.keys.close()
    assert listener.ended == ["the keys of other windows are heard no longer"]


def test_keys_without_a_name_are_left_out(tmp_path: Path) -> None:
    assert key_name(object()) is None
