"""Whether the ear hears at a game, by what it tells of its process and its microphone."""

from __future__ import annotations

import sys
from collections.abc import Mapping
from typing import Final

from callout.edges.ear.client import FATAL, Event
from callout.errors import CalloutError

EAR_NOTICES: Final[Mapping[str, str]] = {
    "died": "recognizer_gone",
    "gone": "ear_gone",
    "back": "recognizer_back",
}
"""The notice of what became of the ear's process."""

LACKS: Final[Mapping[str, tuple[str, bool]]] = {
    "died": ("process", True),
    "gone": ("process", True),
    "back": ("process", False),
    "listening": ("microphone", False),
    "ear_absent": ("microphone", True),
    "ear_frozen": ("microphone", True),
    "ear_back": ("microphone", False),
}
"""What the ear is without from then on, or has again; a microphone that is muted gives sound."""


class LiveEar:
    """What the ear is without."""

    def __init__(self) -> None:
        self._lacks: set[str] = set()

    @property
    def is_deaf(self) -> bool:
        """Whether nothing can be heard now."""
        return bool(self._lacks)

    def state(self, mode: str, talking: bool, gated: bool) -> str:
        """What it does now, in words; `talking`: the key to talk is down, `gated`: it is closed."""
        if self.is_deaf:
            return "gone"
        if mode == "tap":
            return "hears one call after a tap"
        if mode == "hold":
            return "held" if talking else "waits for the key"
        return "waits for the voice" if gated else "open"

    def follow(self, event: Event) -> str | None:
        """The kind of notice that tells what became of the ear, where it is to be told.

        Raises:
            CalloutError: it will never hear.
        """
        name = str(event["event"])
        if name == "problem":
            print(f"ear: {event['what']}", file=sys.stderr)
            if event.get("kind") in FATAL:
                raise CalloutError(str(event["what"]))
            name = f"ear_{event.get('sort', 'absent')}"
        elif name == "listening":
            print(f"ear: listening {event['device']}", file=sys.stderr)
        elif name in EAR_NOTICES:
            what = f": it {event['what']}" if event.get("what") else ""
            print(f"ear: {name}{what}", file=sys.stderr)
        what, lacks = LACKS.get(name, ("", False))
        (self._lacks.add if lacks else self._lacks.discard)(what)
        return name if event["event"] == "problem" else EAR_NOTICES.get(name)
