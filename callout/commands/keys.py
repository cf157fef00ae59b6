"""`callout keys FILE`: learns keys and pedals as they are pressed, and writes them into a file."""

from __future__ import annotations

import json
import queue
import sys
import time
import tomllib
from collections.abc import Callable, Iterator, Sequence
from contextlib import ExitStack, closing, contextmanager, suppress
from dataclasses import dataclass
from pathlib import Path
from typing import Final

from callout.edges.keys.keyboard import EverywhereKeys
from callout.edges.keys.pedals import BY_ID, Pedal, evdev_library
from callout.edges.keys.terminal import TerminalKeys
from callout.errors import CalloutError, DeviceError, InputError
from callout.language.check import open_language
from callout.language.grammar import Grammar, Scope, language_folder
from callout.language.pattern import PatternError, Patterns
from callout.reading import exists, read_text
from callout.table.book.files import write_whole, writing
from callout.table.hands.devices import Edge
from callout.table.hands.key_file import meaning, read_keys
from callout.table.hands.keymap import Hand
from callout.table.hands.presses import MS

WAIT_S: Final = 20.0
"""After this long without a press, nothing is learned."""
HELD_NS: Final = 400 * MS
"""A release this long after the press is a real one: the person was asked to hold the key."""
SETTLE_S: Final = 0.4
"""The same press arrives from several devices within this time."""
LONGEST_S: Final = 4.0
"""The longest wait for a key to come up."""


@dataclass(frozen=True, slots=True)
class Learned:
    """A key that was pressed."""

    table: str
    """Its table in the file: `keys`, `everywhere` or `pedal`."""
    key: str
    holds: bool
    """Whether its device reports the release, so that it can be held."""
    device: str = ""


def keys(path: Path) -> int:
    """Ask what each key shall say, learn it, and write the file; returns the exit status.

    Raises:
        CalloutError: the file exists and is not a file of keys, or cannot be written.
    """
    grammar = open_language(language_folder())
    old = exists(path)
    if old:
        read_keys(path, grammar, Scope())
    rows = _Rows(read_text(path) if old else "")
    print(
        "What shall a key say? A call in words such as 'start clock' or 'home two'; 'talk' to open "
        "the ear; 'choose' for one switch. An empty line ends."
    )
    patterns = Patterns(grammar, Scope())
    while words := _asked("> "):
        # Nobody is to hold a key, and no device is opened, for words that no key can have.
        try:
            meaning(words, patterns)
        except PatternError as error:
            print(error)
            continue
        learned = _learned(words)
        if learned is None:
            print("Nothing was pressed.")
            continue
        what = _tapped(words) if not learned.holds and words == Hand.TALK.value else words
        _keep(path, rows, learned, what, grammar)
    return 0


def _asked(prompt: str) -> str:
    """The line that is typed; empty at the end of the input."""
    print(prompt, end="", flush=True)
    return " ".join(sys.stdin.readline().lower().split())


def _tapped(words: str) -> str:
    print(
        f"It does not tell of its release: press once to begin and once to end, {words!r} by taps."
    )
    return Hand.TAP.value


def _keep(path: Path, rows: _Rows, learned: Learned, words: str, grammar: Grammar) -> None:
    """Add the key to the file, unless the file would be refused with it."""
    before, device = rows.text, rows.device()
    if learned.device and device not in ("", learned.device):
        print(f"The file already has another pedal: {device}")
        return
    rows.add(learned, words)
    write_keys(path, rows.text)
    try:
        read_keys(path, grammar, Scope())
    except CalloutError as error:
        print(error)
        rows.text = before
        write_keys(path, before)
        return
    print(f"[{learned.table}] {learned.key}: {words}")


def write_keys(path: Path, text: str) -> None:
    """Replace the file in one step: a power cut leaves the old keys or the new ones.

    Raises:
        InputError: it cannot be written.
    """
    try:
        with writing(path):
            # Through a link, its target is replaced and the link stays.
            write_whole(path.resolve(), text.encode("utf-8"))
    except UnicodeEncodeError:
        raise InputError(path, "expected words in UTF-8, got others") from None


class _Rows:
    """The text of a file of keys, to which rows are added."""

    def __init__(self, text: str) -> None:
        self.text = text

    def device(self) -> str:
        """The pedal that the file names; empty for none."""
        return str(tomllib.loads(self.text).get("pedal", {}).get("device", ""))

    def add(self, learned: Learned, words: str) -> None:
        """Add a row under its table; the rest of the text stays as it is."""
        head = f"[{learned.table}]\n"
        if head not in self.text:
            self.text += ("\n" if self.text else "") + head
            if learned.device:
                self.text += f"device = {json.dumps(learned.device)}\n"
        row = f"{json.dumps(learned.key)} = {json.dumps(words, ensure_ascii=False)}\n"
        self.text = self.text.replace(head, head + row)


# --- what is pressed ------------------------------------------------------------------------------


def _learned(words: str) -> Learned | None:
    """The key that is pressed for these words; None if none is within `WAIT_S`."""
    edges: queue.SimpleQueue[tuple[Edge, str]] = queue.SimpleQueue()
    with _everything(edges):
        print(f"Hold the key for {words!r} down for a second, then release it.", flush=True)
        try:
            first = edges.get(timeout=WAIT_S)
        except queue.Empty:
            return None
        return best_way(_with_rest(first, edges), _is_own)


def _with_rest(
    first: tuple[Edge, str], edges: queue.SimpleQueue[tuple[Edge, str]]
) -> list[tuple[Edge, str]]:
    """All device events of one press, until the key is released."""
    found, held = [first], {(first[0].source, first[0].key)}
    end = time.monotonic() + LONGEST_S
    while time.monotonic() < end:
        waits = any(source != "keys" for source, _ in held)
        try:
            edge, device = edges.get(timeout=LONGEST_S if waits else SETTLE_S)
        except queue.Empty:
            break
        (held.add if edge.down else held.discard)((edge.source, edge.key))
        found.append((edge, device))
    return found


def best_way(found: Sequence[tuple[Edge, str]], is_own: Callable[[], bool]) -> Learned:
    """The best source of a press that several reported: the pedal, the terminal, any window.

    `is_own` asks whether a device is for the table alone, if others reported the press, too.
    """
    others = [each for each in found if each[0].source != "pedal"]
    if others and len(others) < len(found) and not is_own():
        found = others
    order = ("pedal", "keys", "everywhere")
    source = min((edge.source for edge, _ in found if edge.down), key=order.index)
    key, device = next((e.key, d) for e, d in found if e.source == source and e.down)
    # The terminal reports no release; another source of the same press may.
    times = [(edge.down, edge.at_ns) for edge, _ in found if edge.source != "keys"]
    downs, ups = ([at for down, at in times if down is way] for way in (True, False))
    holds = bool(downs and ups) and max(ups) - min(downs) >= HELD_NS
    return Learned(source, key, holds and source != "keys", device)


def _is_own() -> bool:
    """Ask whether the device is for the table alone: a keyboard must keep working elsewhere."""
    return _asked("Is it a pedal or a pad that nothing else shall hear? (yes, no) ")[:1] == "y"


@contextmanager
def _everything(edges: queue.SimpleQueue[tuple[Edge, str]]) -> Iterator[None]:
    """Open every device with keys; put each press on the queue with its device."""
    with ExitStack() as devices:
        for path in _inputs():
            with suppress(DeviceError):
                devices.enter_context(closing(Pedal(path, _put(edges, path), _unused, grab=False)))
        with suppress(DeviceError):
            devices.enter_context(closing(EverywhereKeys(_put(edges))))
        with suppress(DeviceError):
            devices.enter_context(closing(TerminalKeys(_put(edges), print, _unused)))
        yield


def _unused(_kind: str) -> None:
    """Ignores the loss of a device: then no key of it is learned, which is seen."""


def _put(edges: queue.SimpleQueue[tuple[Edge, str]], device: str = "") -> Callable[[Edge], None]:
    return lambda edge: edges.put((edge, device))


def _inputs() -> list[str]:
    """The paths of Linux's input devices, by stable names where there are any."""
    try:
        evdev = evdev_library()
    except DeviceError:
        return []
    by_id = {path.resolve(): path for path in BY_ID.glob("*-event-*")}
    return [str(by_id.get(Path(path).resolve(), path)) for path in evdev.list_devices()]
