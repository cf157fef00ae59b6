"""The devices with keys of a live game: the terminal, the whole keyboard, a pedal."""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterable
from pathlib import Path
from typing import Protocol

from callout.edges.keys.keyboard import EverywhereKeys
from callout.edges.keys.pedals import Pedal
from callout.edges.keys.terminal import TerminalKeys
from callout.edges.live.inbox import DeviceLacking, InputEnded, Put, TypedLine
from callout.errors import DeviceError
from callout.game.kind import Kind
from callout.game.notices.kinds import Notice
from callout.language.check import open_language
from callout.language.grammar import BEFORE_PART, Grammar
from callout.table.hands.key_file import kept_before, read_keys
from callout.table.hands.keymap import Hand, KeyMap
from callout.table.language import keys_of, patterns_of, scope_of
from callout.table.setup.setup import Setup


class Device(Protocol):
    """Something with keys."""

    def close(self) -> None:
        """Give it back."""


def load_keys(path: Path | None, grammar: Grammar, setup: Setup) -> KeyMap:
    """The keys of a file, or those of the language.

    Raises:
        InputError: the file holds what it may not; `path:line: …`.
    """
    if path is None:
        return keys_of(grammar)
    if grammar.part != BEFORE_PART:
        return read_keys(path, grammar, scope_of(setup))
    # The file is written for a game: what it says is read as it is there.
    own = read_keys(path, open_language(grammar.folder), scope_of(setup))
    return kept_before(own, keys_of(grammar), patterns_of(grammar))


def open_devices(keymap: KeyMap, put: Put, terminal: bool = True) -> list[Device]:
    """Every device whose keys the key map names; `put` is told once of each that cannot be had."""

    def changed(kind: Kind) -> None:
        put(Notice(kind))

    wanted: list[tuple[bool, Callable[[], Device]]] = [
        (
            terminal and sys.stdin.isatty(),
            lambda: TerminalKeys(
                put,
                lambda line: put(TypedLine(line)),
                changed,
                keymap.find(Hand.TYPE),
                lambda: put(InputEnded()),
            ),
        ),
        (bool(keymap.everywhere), lambda: EverywhereKeys(put, changed)),
        (bool(keymap.pedal), lambda: Pedal(keymap.device, put, changed)),
    ]
    devices: list[Device] = []
    for is_wanted, take in wanted:
        if is_wanted:
            try:
                devices.append(take())
            except DeviceError as error:
                put(DeviceLacking(str(error)))
    return devices


def beside_terminal(devices: Iterable[Device]) -> list[Device]:
    """Those that are not the terminal."""
    return [each for each in devices if not isinstance(each, TerminalKeys)]
