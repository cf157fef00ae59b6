"""The ear at a game: its process, and whether it hears, by what the process tells."""

from __future__ import annotations

import sys
from collections.abc import Callable, Mapping
from dataclasses import replace
from pathlib import Path
from typing import Final

from callout.edges.ear.client import Hearing
from callout.edges.ear.messages import Event, Listening, Mode, Problem
from callout.edges.ear.options import Options
from callout.edges.ear.own_threshold import own_ear_file, own_options
from callout.edges.restarts import Back, Died, Gone
from callout.errors import CalloutError
from callout.game.kind import Kind
from callout.language.network import Network
from callout.table.speech import kinds

CALLS_ALONE: Final = "always"
WITH_ANSWERS: Final = "question"
"""The ear's names for its networks: the one heard by at any time, and the one while a question is
open."""

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
    """Off, or a process that listens to a microphone; follows whether it hears.

    All commands to an ear that is off do nothing.
    """

    def __init__(self, tell: Callable[[Event], None], new: Callable[..., Hearing]) -> None:
        """`new` makes a `Hearing`, whose events go to `tell`."""
        self.mode: Mode | None = None
        """When it hears; None while it is off."""
        self._tell, self._new = tell, new
        self._hearing: Hearing | None = None
        self._answers = False
        self._has_process = True
        self._has_sound = True
        self._has_listened = False

    # --- commands -------------------------------------------------------------------------------

    def listen(
        self, model: Path, networks: Mapping[str, Network], microphone: str | None, mode: Mode
    ) -> None:
        """Start the process; the first of the `networks` has calls alone, the second answers too.

        Raises:
            CalloutError: there is no place for temporary files.
        """
        self.mode = mode
        self._hearing = self._new(model, networks, self._tell, own_threshold())
        self._hearing.start()
        self._hearing.listen(microphone, mode)

    def press(self) -> None:
        """The key to talk is down."""
        if self._hearing is not None:
            self._hearing.press()

    def release(self) -> None:
        """The key to talk is up again."""
        if self._hearing is not None:
            self._hearing.release()

    def gate(self, closed: bool) -> None:
        """Close an open ear while it would hear the table; a key to talk cuts the voice instead."""
        if self._hearing is not None and self.mode is Mode.OPEN:
            self._hearing.gate(closed)

    def hear_answers(self, asked: bool) -> None:
        """Hear answers, too, while a question is open."""
        if self._hearing is not None and asked != self._answers:
            self._hearing.use(WITH_ANSWERS if asked else CALLS_ALONE)
        self._answers = asked

    def close(self) -> None:
        """End the process."""
        if self._hearing is not None:
            self._hearing.close()

    # --- whether it hears -----------------------------------------------------------------------

    @property
    def may_hear(self) -> bool:
        """Whether anything may come of it: it is on, and a microphone was found at some time."""
        return self.mode is not None and (self._has_sound or self._has_listened)

    @property
    def waits_for_key(self) -> bool:
        """Whether it hears only what is said for a key."""
        return self.mode in (Mode.HOLD, Mode.TAP)

    @property
    def is_deaf(self) -> bool:
        """Whether nothing can be heard now."""
        return self.mode is None or not (self._has_process and self._has_sound)

    def state(self, talking: bool, gated: bool) -> str:
        """What it does now, in words; `talking`: the key to talk is down, `gated`: it is closed."""
        if self.mode is None:
            return "off"
        if self.is_deaf:
            return "gone"
        if self.mode is Mode.TAP:
            return "hears one call after a tap"
        if self.mode is Mode.HOLD:
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
