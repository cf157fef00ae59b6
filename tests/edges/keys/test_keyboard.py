"""Keys of the whole keyboard: by children that do as they are told, and once by real keys.

What a key means, and what is a press, is tested by given times in `tests/table`.
"""

from __future__ import annotations

import errno
import os
import queue
import threading
from collections.abc import Iterator, Sequence
from contextlib import closing
from dataclasses import dataclass
from pathlib import Path
from typing import NoReturn

import pytest

from callout.edges.child import Supervision
from callout.edges.keys.keyboard import START_S, EverywhereKeys
from callout.edges.keys.keyboard_process import Teller, key_name
from callout.edges.keys.messages import EVENTS, Key, Problem, Ready, Told
from callout.edges.restarts import PAUSES_S, WELL_S
from callout.edges.wire import Wire
from callout.errors import DeviceError
from callout.table.clock import steady_ns
from callout.table.hands.devices import Act, Edge, Hands
from callout.table.hands.keymap import Hand, KeyMap
from callout.table.hands.presses import Stuck
from tests.display import Display, virtual_display
from tests.edges.scripted import Children, ScriptedChild, Seconds
from tests.patience import HANG_S

KeyChildren = Children[NoReturn, Told]

Life = Sequence[Told | None]
"""What one process tells before it ends; None at its end lets it live on."""


def key(name: str, down: bool, at_ns: int) -> Edge:
    return Edge("everywhere", name, down, at_ns)


class Heard:
    """What was heard of a keyboard: keys, and what became of it, in order."""

    def __init__(self, folder: Path, *lives: Life, waits: int | None = None):
        self.told: queue.Queue[Edge | str] = queue.Queue()
        self.seconds = Seconds()
        self.seconds.enough = waits
        self.children = KeyChildren(Wire("do", {}), EVENTS)
        self.children.begin = self._begin
        self._lives, self._folder = list(lives), folder

    def _begin(self, child: ScriptedChild[NoReturn, Told]) -> None:
        # The last life is for all that come after it.
        life = self._lives.pop(0) if len(self._lives) > 1 else self._lives[0]
        for event in life:
            if event is None:
                return
            child.tell(event)
        child.end(1)

    def keys(self) -> EverywhereKeys:
        """Start listening."""
        by = self.children.by(self.seconds, self._folder / "keys.log")
        return EverywhereKeys(self.told.put, self.told.put, by=by)

    def take(self, count: int) -> list[Edge | str]:
        """The next so many things that were told."""
        return [self.told.get(timeout=HANG_S) for _ in range(count)]


def test_keys_are_told_as_the_child_tells_them(tmp_path: Path) -> None:
    heard = Heard(tmp_path, [Ready(), Key("a", True, 5), Key("a", False, 9), None])
    with closing(heard.keys()):
        assert heard.take(2) == [key("a", True, 5), key("a", False, 9)]
        heard.children.last.print('{"half a li')
        heard.children.last.tell(Key("b", True, 11))
        assert heard.take(1) == [key("b", True, 11)]
    assert heard.told.empty()
    assert heard.seconds.waited == []


def test_a_child_that_died_is_started_again(tmp_path: Path) -> None:
    """It is told once that it is gone, and once that it is back; what was held is let go."""
    first: Life = [Ready(), Key("a", True, 5), Key("b", True, 6), Key("b", False, 7)]
    heard = Heard(tmp_path, first, [Ready(), Key("c", True, 8), None])
    with closing(heard.keys()):
        told = heard.take(7)
    *keys, let_go, gone, back, last = told
    assert keys == [key("a", True, 5), key("b", True, 6), key("b", False, 7)]
    assert isinstance(let_go, Edge)
    assert (let_go.key, let_go.down) == ("a", False)
    assert (gone, back, last) == ("keys_gone", "keys_back", key("c", True, 8))
    assert heard.seconds.waited == [PAUSES_S[0]]


def test_one_that_the_system_does_not_start_is_tried_again(tmp_path: Path) -> None:
    """Too little memory or too many processes may be just what ended the one before."""
    heard = Heard(tmp_path, [Ready(), None], [Ready(), Key("c", True, 8), None])
    with closing(heard.keys()):
        heard.children.refusals = [busy(), busy()]
        heard.children.last.end(1)
        assert heard.take(3) == ["keys_gone", "keys_back", key("c", True, 8)]
    assert heard.seconds.waited == list(PAUSES_S[:3])


def test_one_that_the_system_does_not_start_at_first_is_no_keyboard(tmp_path: Path) -> None:
    heard = Heard(tmp_path, [None])
    heard.children.refusals = [busy()]
    with pytest.raises(DeviceError, match=r"^the keyboard's process cannot be started: "):
        heard.keys()
    assert heard.children.count == 0


def test_one_that_keeps_dying_is_back_only_once_it_does_something(tmp_path: Path) -> None:
    heard = Heard(tmp_path, [Ready()], [Ready()], [Ready()], [Ready(), Key("c", True, 8), None])
    with closing(heard.keys()):
        told = heard.take(7)
    assert told == ["keys_gone", "keys_back", "keys_gone", "keys_back", "keys_gone", "keys_back",
                    key("c", True, 8)]  # fmt: skip
    assert heard.seconds.waited == list(PAUSES_S[:3])


def test_one_that_keeps_dying_is_back_once_it_lives(tmp_path: Path) -> None:
    heard = Heard(tmp_path, [Ready()], [Ready()], [Ready()], [Ready(), None])
    with closing(heard.keys()) as keys:
        assert heard.take(5)[-1] == "keys_gone"
        for _ in range(4):
            heard.children.next()
        assert keys._child.wait_until_ready()
        heard.seconds.pass_by(int(WELL_S) - 1)
        assert heard.told.empty()
        heard.seconds.pass_by(1)
        assert heard.take(1) == ["keys_back"]


def test_one_that_cannot_listen_any_more_is_tried_ever_later(tmp_path: Path) -> None:
    """The display has gone, and may come back: the same pauses as the ear's and the voice's."""
    first: Life = [Ready(), Key("a", True, 5), Key("a", False, 6)]
    heard = Heard(tmp_path, first, [Problem("no display")], waits=len(PAUSES_S) + 1)
    with closing(heard.keys()):
        assert heard.seconds.waits.wait(HANG_S)
        assert heard.take(3)[2] == "keys_gone"
    assert heard.told.empty()
    # A death after a key was heard is the first in a row.
    assert heard.seconds.waited == [*PAUSES_S, PAUSES_S[-1]]


@pytest.mark.parametrize(
    ("life", "why"),
    [([Problem("use a pedal")], "use a pedal"), ([], r"the keyboard's process died \(status 1\)")],
    ids=["cannot", "dies"],
)
def test_a_child_that_never_listened_is_no_keyboard(
    life: list[Told], why: str, tmp_path: Path
) -> None:
    heard = Heard(tmp_path, life)
    with pytest.raises(DeviceError, match=f"^{why}$"):
        heard.keys()
    assert heard.children.count == 1, "it is not started again"


def test_a_child_that_never_answers_is_no_keyboard(tmp_path: Path) -> None:
    heard = Heard(tmp_path, [None])

    def wait() -> None:
        heard.children.next()
        heard.seconds.pass_by(START_S + 1)

    thread = threading.Thread(target=wait)
    thread.start()
    with pytest.raises(DeviceError, match="hung, and was ended"):
        heard.keys()
    thread.join()
    assert heard.children.count == 1, "it is not started again"


def busy() -> OSError:
    """What Linux says where there are as many processes as there may be. Source: fork(2)."""
    return OSError(errno.EAGAIN, os.strerror(errno.EAGAIN))


# --- the child --------------------------------------------------------------------------------


@dataclass(frozen=True)
class Given:
    """A key as pynput gives it: one with a name, or one that types."""

    name: str | None = None
    char: str | None = None
    vk: int | None = None


@pytest.mark.parametrize(
    ("given", "name"),
    [
        (Given(name="esc"), "escape"),
        (Given(name="page_up"), "pageup"),
        (Given(name="f5"), "f5"),
        (Given(char=";"), ";"),
        (Given(char="A"), "A"),
        (Given(char="\x03"), None),
        (Given(), None),
    ],
)
def test_a_key_has_the_table_s_name(given: Given, name: str | None) -> None:
    assert key_name(given) == name


def test_a_sign_that_is_let_go_after_its_shift_is_not_held_for_ever(
    capsys: pytest.CaptureFixture[str],
) -> None:
    """What was pressed as `+` comes up as `=`, so it is let go while it is known."""
    teller = Teller()
    plus, equal, shift = Given(char="+"), Given(char="="), Given(name="shift")
    for each, down in [(shift, True), (plus, True), (shift, False), (equal, False)]:
        teller.tell(each, down)
    told = [EVENTS.read(line) for line in capsys.readouterr().out.splitlines()]
    assert [(each.key, each.down) for each in told if isinstance(each, Key)] == [
        ("leftshift", True), ("+", True), ("+", False), ("leftshift", False), ("=", False),
    ]  # fmt: skip


def test_a_key_has_the_moment_that_the_display_gives_it(capsys: pytest.CaptureFixture[str]) -> None:
    """A busy machine tells of keys late; how far they are apart, the display knows."""
    teller = Teller()
    for at_ms, down in [(1_000, True), (1_090, False)]:
        teller.time_ms = at_ms
        teller.tell(Given(char="a"), down)
    pressed, released = (EVENTS.read(line) for line in capsys.readouterr().out.splitlines())
    assert isinstance(pressed, Key)
    assert isinstance(released, Key)
    down_ns, up_ns = pressed.at_ns, released.at_ns
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
        assert keys.pid is not None
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
def test_a_display_that_goes_is_told_once(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    told: queue.Queue[Edge | str] = queue.Queue()
    seconds = Seconds()
    # The third time it was tried twice without a display.
    seconds.enough = 3
    with virtual_display() as display:
        monkeypatch.setenv("DISPLAY", display.environment["DISPLAY"])
        by = Supervision(pace=seconds, log=tmp_path / "keys.log")
        keys = EverywhereKeys(told.put, told.put, by=by)
    with closing(keys):
        assert seconds.waits.wait(HANG_S)
        assert told.get(timeout=HANG_S) == "keys_gone"
    assert told.empty()
