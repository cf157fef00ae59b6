"""`callout check`: what works on this machine, what does not, and what to do about it."""

from __future__ import annotations

import os
import sys
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import partial
from pathlib import Path
from typing import Final, TypeAlias

from callout.commands.cautions import AT_THE_TABLE
from callout.commands.spoken import ENGLISH, language_at
from callout.counted import counted
from callout.edges.keys.keyboard import EverywhereKeys
from callout.edges.keys.pedals import find_devices, input_paths
from callout.edges.models.catalogue import RECOGNIZER, find_model
from callout.edges.sound_devices import has_output, microphones
from callout.edges.voice.synthesizer import Synthesizer
from callout.edges.voice.voice import synthesizer_of
from callout.errors import CalloutError, DeviceError, ModelError
from callout.language.check import open_language
from callout.language.grammar import Scope, language_folder
from callout.table.hands.key_file import read_keys
from callout.table.language import replies_of
from callout.table.speech.kinds import LISTENING

NAMED: Final = 3
"""The most microphones that are named; the rest are counted."""


@dataclass(frozen=True, slots=True)
class Finding:
    """One thing that was checked, and the result."""

    what: str
    works: bool
    told: str
    """How it works; or why it does not, and what to do."""
    needed: bool = True
    """Whether a game needs it."""


def sound_out(found: Callable[[], bool] = has_output) -> Finding:
    """Whether replies can be spoken; `found` looks for an output device."""
    try:
        if found():
            return Finding("sound out", True, "an output device was found")
        told = "no sound device was found: plug a headset in; without one, replies go into a file"
    except DeviceError as error:
        told = str(error)
    return Finding("sound out", False, told)


def voice(
    language: str = ENGLISH, opened: Callable[[str, str], Synthesizer] = synthesizer_of
) -> Finding:
    """Which voice would speak a language, and whether it makes sound of a sentence; none is played.

    `opened` gives the voice of a choice and a language's code, as `synthesizer_of` does.

    Raises:
        CalloutError: there is no such language, or its replies are wrong.
    """
    folder = language_at(language)
    text = replies_of(open_language(folder)).say(LISTENING.name, {})
    code = folder.resolve().name
    try:
        found = opened("auto", code)
        try:
            sound = found.render(text, 1.0)
        finally:
            found.close()
    except CalloutError as error:
        return Finding("voice", False, str(error))
    if not sound.samples.any():
        told = f"{found.name} gives no sound: choose another with --voice, or --voice print"
        return Finding("voice", False, told)
    told = f"in {code!r}, by {found.name}; it loads and makes speech, unheard here"
    return Finding("voice", True, told)


def microphone(found: Callable[[], Sequence[str]] = microphones) -> Finding:
    """Which microphones there are; none is opened. `found` lists their names."""
    names = found()
    if not names:
        told = "none was found: plug a headset in; without one, call by keys, --ear off"
        return Finding("microphone", False, told)
    more = f" and {len(names) - NAMED} more" if len(names) > NAMED else ""
    told = f"{', '.join(names[:NAMED])}{more}; callout check --ear listens to it"
    return Finding("microphone", True, told)


def recognizer(found: Callable[[str], object] = find_model) -> Finding:
    """Whether the recognizer is here, whole; `found` raises ModelError where it is not."""
    try:
        found(RECOGNIZER)
    except ModelError as error:
        return Finding("recognizer", False, str(error))
    return Finding("recognizer", True, "every file is as published; it hears English")


def terminal_keys() -> Finding:
    """Whether the keys of this terminal can be used."""
    what = "keys of this terminal"
    if sys.platform == "win32":
        return Finding(what, False, "not on Windows: use keys under [everywhere]", needed=False)
    if sys.stdin.isatty():
        return Finding(what, True, "heard while this window has the focus")
    return Finding(what, False, "standard input is no terminal: run it in one", needed=False)


def everywhere_keys() -> Finding:
    """Whether keys work whichever window has the focus."""
    what = "keys of other windows"
    if os.environ.get("XDG_SESSION_TYPE") == "wayland":
        told = (
            "Wayland lets no program read them: use a pedal, the keys of this terminal, "
            "or a session on Xorg"
        )
        return Finding(what, False, told, needed=False)
    try:
        EverywhereKeys(lambda edge: None).close()
    except DeviceError as error:
        return Finding(what, False, str(error), needed=False)
    return Finding(what, True, "heard, if your file of keys has them under [everywhere]")


def pedals() -> Finding:
    """Whether an input device can be opened for the table alone."""
    try:
        paths = input_paths()
    except DeviceError as error:
        return Finding("pedals", False, str(error), needed=False)
    if not paths:
        told = "no input device was found: plug the pedal in"
        return Finding("pedals", False, told, needed=False)
    devices = counted(len(paths), "device")
    return Finding("pedals", True, f"{devices} can be opened; name one under [pedal]")


Checks: TypeAlias = Sequence[Callable[[], Finding]]


def checks_in(language: str) -> Checks:
    """All checks for a game in a language, in the order in which they are printed."""
    return (
        sound_out,
        partial(voice, language),
        microphone,
        recognizer,
        terminal_keys,
        everywhere_keys,
        pedals,
    )


def own_keys(path: Path) -> list[Finding]:
    """Whether a person's file of keys can be read, and the pedal that it names is there."""
    what = str(path)
    try:
        keymap = read_keys(path, open_language(language_folder()), Scope())
    except CalloutError as error:
        return [Finding("own keys", False, str(error))]  # The error names the file.
    found = [Finding(what, True, "every key says something")]
    if keymap.pedal:
        try:
            found.append(Finding("its pedal", True, ", ".join(find_devices(keymap.device))))
        except DeviceError as error:
            found.append(Finding("its pedal", False, str(error)))
    return found


def check(keys: Path | None = None, language: str = ENGLISH, checks: Checks | None = None) -> int:
    """Print a line for each check; 1 if something that a game needs does not work.

    Raises:
        CalloutError: there is no such language.
    """
    findings = [each() for each in (checks_in(language) if checks is None else checks)]
    if keys is not None:
        findings += own_keys(keys)
    for each in findings:
        mark = "works" if each.works else ("FAILS" if each.needed else "not here")
        print(f"{mark:<9} {each.what}: {each.told}")
    for what, told in AT_THE_TABLE:
        print(f"{'see to':<9} {what}: {told}")
    return int(any(each.needed and not each.works for each in findings))
