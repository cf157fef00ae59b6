"""`callout before`: the checklist before a game, with the clock of the interval before it."""

from __future__ import annotations

import re
import time
from collections.abc import Callable, Mapping
from functools import partial
from pathlib import Path
from typing import Any, Final

from callout.commands.check import Finding, own_keys, pedals, sound_out, terminal_keys
from callout.commands.live import OFF, TYPED, live
from callout.commands.practice import AUTO, why_deaf
from callout.edges.ear.messages import Mode
from callout.edges.live.before import BeforeTable
from callout.edges.live.voice import Outlets
from callout.errors import CalloutError
from callout.game import calls
from callout.game.profile.before import Look
from callout.language.shipped import ENGLISH
from callout.language.words import words_of
from callout.table.before import Tried
from callout.table.clock import day_time_ms

_TIME: Final = re.compile(r"([01]?\d|2[0-3]):([0-5]\d)")


def before(
    game: Path, outlets: Outlets, tip: str = "", ear: str = AUTO, keys: str = "", **given: Any
) -> int:
    """Go through the checklist until it is stopped; the exit status. What else is given goes to
    `callout live`.

    Raises:
        CalloutError: the game has begun, the tip is past, or as for `callout live`.
    """
    if ear == AUTO:
        ear = OFF if why_deaf(words_of(ENGLISH)) else Mode.OPEN
    at_table = partial(BeforeTable, tip=_tip(tip), tries=tries(outlets, ear, keys))
    return live(game, outlets=outlets, ear=ear, keys=keys, at_table=at_table, **given)


def _tip(text: str) -> calls.SetTip | None:
    """The time of the tip that was given on a clock of 24 hours, as a call.

    Raises:
        CalloutError: it is no time of day.
    """
    if not text:
        return None
    match = _TIME.fullmatch(text)
    if match is None:
        raise CalloutError(f"--tip: expected a time of day such as 19:30, got {text!r}")
    now_ms, shown = time.time_ns() // 1_000_000, 600 * int(match[1]) + 10 * int(match[2])
    return calls.SetTip(day_time_ms(None, shown, now_ms, halves=False))


def tries(
    outlets: Outlets, ear: str, keys: str, sound: Callable[[], Finding] = sound_out
) -> Mapping[Look, Callable[[], Tried]]:
    """How each device is tried: as `callout check` does; `sound` looks for an output."""
    own = Path(keys) if keys not in ("", TYPED) else None
    return {
        Look.MICROPHONE: lambda: _microphone(ear),
        Look.VOICE: lambda: _voice(outlets, sound),
        Look.KEYS: lambda: _keys(own),
    }


def _microphone(ear: str) -> Tried:
    if ear == OFF:
        return Tried(False, why_deaf(words_of(ENGLISH)) or "the ear is off: call by keys")
    return Tried(True, f"the ear is {ear}; callout check --ear listens to you and to the hall")


def _voice(outlets: Outlets, sound: Callable[[], Finding]) -> Tried:
    if outlets.voice == "print":
        return Tried(False, "--voice print: replies are printed")
    return _tried([sound()])


def _keys(own: Path | None) -> Tried:
    found = own_keys(own) if own else [terminal_keys(), pedals()]
    return _tried(found)


def _tried(found: list[Finding]) -> Tried:
    """What several checks found; one that works is enough, unless a game needs another."""
    works = any(each.works for each in found) and all(
        each.works or not each.needed for each in found
    )
    return Tried(works, "; ".join(f"{each.what}: {each.told}" for each in found))
