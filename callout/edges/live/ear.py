"""Whether the ear hears at a game, by what it tells of its process and its microphone."""

from __future__ import annotations

import sys
from collections.abc import Callable, Mapping
from dataclasses import replace
from pathlib import Path
from typing import Final

from callout.edges.ear.client import Hearing
from callout.edges.ear.messages import Event, Listening, Problem
from callout.edges.ear.options import Options
from callout.edges.ear.own_threshold import own_ear_file, own_options
from callout.edges.restarts import Back, Died, Gone
from callout.errors import CalloutError
from callout.game.kind import Kind
from callout.language.network import Network
from callout.table.speech import kinds

NO_SOUND: Final[Mapping[str, bool]] = {"absent": True, "frozen": True, "back": False}
"""Whether the microphone gives no sound after a problem of that sort; after any other sort it gives
sound or not as before. A muted microphone gives sound: zeros."""


def own_threshold() -> Options:
    """The ear's options with the threshold that this user has kept."""
    return own_options(own_ear_file())


def with_learned(voice: Path, ear: Callable[..., Hearing] = Hearing) -> Callable[..., Hearing]:
    """Starts an ear as `ear` does, but one that knows a learned voice."""

    def start(
        model: Path, networks: Mapping[str, Network], tell: Callable[[Event], None], own: Options
    ) -> Hearing:
        return ear(model, networks, tell, replace(own, voice=str(voice)))

    return start


MICROPHONE: Final[Mapping[str, Kind]] = {
    "absent": kinds.EAR_ABSENT,
    "back": kinds.EAR_BACK,
    "clipped": kinds.EAR_CLIPPED,
    "frozen": kinds.EAR_FROZEN,
    "lost": kinds.EAR_LOST,
    "rate": kinds.EAR_RATE,
    "telephone": kinds.EAR_TELEPHONE,
    "zeros": kinds.EAR_ZEROS,
}
"""The kind of notice for each sort of problem of the microphone."""


class LiveEar:
    """Follows whether there is a process that listens, and a microphone that gives sound."""

    def __init__(self) -> None:
        self._has_process = True
        self._has_sound = True
        self._has_listened = False

    @property
    def never_heard(self) -> bool:
        """Whether no microphone was found when the game began, and none since."""
        return not (self._has_sound or self._has_listened)

    @property
    def is_deaf(self) -> bool:
        """Whether nothing can be heard now."""
        return not (self._has_process and self._has_sound)

    def state(self, mode: str, talking: bool, gated: bool) -> str:
        """What it does now, in words; `talking`: the key to talk is down, `gated`: it is closed."""
        if self.is_deaf:
            return "gone"
        if mode == "tap":
            return "hears one call after a tap"
        if mode == "hold":
            return "held" if talking else "waits for the key"
        return "waits for the voice" if gated else "open"

    def follow(self, event: Event) -> Kind | None:
        """The kind of notice that the event calls for, if it calls for one.

        Raises:
            CalloutError: the ear has no model, and will never hear.
        """
        match event:
            case Problem(what):
                print(f"ear: {what}", file=sys.stderr)
                if event.is_fatal:
                    raise CalloutError(what)
                self._has_sound = not NO_SOUND.get(event.sort, not self._has_sound)
                return MICROPHONE[event.sort]
            case Listening(device):
                print(f"ear: listening {device}", file=sys.stderr)
                self._has_sound = self._has_listened = True
            case Gone(_, what):
                return self._process(False, f"gone: it {what}", kinds.EAR_GONE)
            case Died(_, what):
                return self._process(False, f"died: it {what}", kinds.RECOGNIZER_GONE)
            case Back():
                return self._process(True, "back", kinds.RECOGNIZER_BACK)
        return None

    def _process(self, there: bool, what: str, notice: Kind) -> Kind:
        print(f"ear: {what}", file=sys.stderr)
        self._has_process = there
        return notice
