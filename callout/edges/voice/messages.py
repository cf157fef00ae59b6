"""Everything that passes between the table and the voice's process, used at both ends."""

from __future__ import annotations

from base64 import b64decode, b64encode
from dataclasses import dataclass
from typing import Final

from callout.edges.wire import Wire


@dataclass(frozen=True, slots=True)
class Say:
    """Give the sound of a text; `Spoken` answers."""

    text: str
    speed: float
    """1.2 speaks a fifth faster."""


@dataclass(frozen=True, slots=True)
class Ready:
    """The voice's model is loaded."""


@dataclass(frozen=True, slots=True)
class Spoken:
    """The sound of a text."""

    rate_hz: int
    samples: str
    """16-bit mono samples in base64."""

    @classmethod
    def of(cls, pcm: bytes, rate_hz: int) -> Spoken:
        """The message that holds those samples."""
        return cls(rate_hz, b64encode(pcm).decode("ascii"))

    @property
    def pcm(self) -> bytes:
        """The samples, two bytes each."""
        return b64decode(self.samples)


Told = Ready | Spoken

COMMANDS: Final = Wire[Say]("do", {"say": Say})
EVENTS: Final = Wire[Told]("event", {"ready": Ready, "spoken": Spoken})
