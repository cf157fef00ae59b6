"""`callout check`: what of this machine works at a table, what does not, and what to do."""

from __future__ import annotations

import os
import sys
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Final

from callout.edges.keys.keyboard import EverywhereKeys
from callout.edges.keys.pedals import evdev_library, find_devices
from callout.edges.voice.output import has_output
from callout.errors import CalloutError, DeviceError
from callout.language.check import load_language
from callout.language.grammar import Scope, language_folder
from callout.table.hands.key_file import read_keys


@dataclass(frozen=True, slots=True)
class Finding:
    """What was found of one thing."""

    what: str
    works: bool
    told: str
    """How it works, or what keeps it from working and what to do."""
    needed: bool = True
    """Whether a game cannot do without it."""


def sound_out(found: Callable[[], bool] = has_output) -> Finding:
    """Whether anything can be said aloud; `found` looks for a device that plays."""
    try:
        if found():
            return Finding("sound out", True, "a device that plays was found")
        told = "no sound device was found: plug a headset in; until then replies are written down"
    except DeviceError as error:
        told = str(error)
    return Finding("sound out", False, told)


def terminal_keys() -> Finding:
    """Whether the keys of this terminal can be used."""
    what = "keys of this terminal"
    if sys.platform == "win32":
        return Finding(what, False, "not on Windows: name keys under [everywhere]", needed=False)
    if sys.stdin.isatty():
        return Finding(what, True, "heard while this window has the focus")
    return Finding(what, False, "standard input is no terminal: start it in one", needed=False)


def everywhere_keys() -> Finding:
    """Whether keys can be heard whichever window has the focus."""
    what = "keys of other windows"
    if os.environ.get("XDG_SESSION_TYPE") == "wayland":
        told = (
            "Wayland lets no program hear them: use a pedal of its own, the keys of this terminal, "
            "or a session on Xorg"
        )
        return Finding(what, False, told, needed=False)
    try:
        EverywhereKeys(lambda edge: None).close()
    except DeviceError as error:
        return Finding(what, False, str(error), needed=False)
    return Finding(what, True, "heard, as far as a file names them under [everywhere]")


def pedals() -> Finding:
    """Whether a pedal could be had by itself."""
    try:
        paths = evdev_library().list_devices()
        if not paths:
            find_devices("\0")
    except DeviceError as error:
        told = str(error)
        if "\\x00" in told:
            told = "no input device was found: plug the pedal in"
        return Finding("pedals", False, told, needed=False)
    return Finding("pedals", True, f"{len(paths)} devices may be opened; name one under [pedal]")


CHECKS: Final[tuple[Callable[[], Finding], ...]] = (
    sound_out,
    terminal_keys,
    everywhere_keys,
    pedals,
)
"""Everything that is looked at, in this order."""


def own_keys(path: Path) -> list[Finding]:
    """Whether a person's own keys can be used: the file, and the devices that it names."""
    what = str(path)
    try:
        keymap = read_keys(path, load_language(language_folder()), Scope())
    except CalloutError as error:
        return [Finding(what, False, str(error))]
    found = [Finding(what, True, "every key says something")]
    if keymap.pedal:
        try:
            found.append(Finding("its pedal", True, ", ".join(find_devices(keymap.device))))
        except DeviceError as error:
            found.append(Finding("its pedal", False, str(error)))
    return found


def check(keys: Path | None = None) -> int:
    """Print a line for each thing; 1 if something that is needed does not work."""
    findings = [each() for each in CHECKS]
    if keys is not None:
        findings += own_keys(keys)
    for each in findings:
        mark = "works" if each.works else ("FAILS" if each.needed else "not here")
        print(f"{mark:<9} {each.what}: {each.told}")
    return int(any(each.needed and not each.works for each in findings))
