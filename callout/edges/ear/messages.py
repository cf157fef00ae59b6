"""Everything that passes between the table and the ear, used at both ends of the pipe."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from typing import Final

from callout.edges.ear.hypotheses import Word
from callout.edges.ear.options import MEASURED, Options
from callout.edges.restarts import Change
from callout.edges.wire import Wire


class Mode(StrEnum):
    """When the ear hears."""

    OPEN = "open"
    """Always."""
    HOLD = "hold"
    """While a key is held."""
    TAP = "tap"
    """One call after each tap of a key."""


FATAL: Final = ("ModelError", "CalloutError")
"""The kinds of problem that leave an ear without a model."""

# --- what the ear tells -----------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class OtherWords:
    """Other words that a call's sound may be."""

    words: tuple[str, ...]
    gap: float
    """How much less likely they are than the call. Units: natural logarithm."""


@dataclass(frozen=True, slots=True)
class HeardCall:
    """A stretch of an utterance that the acceptor reads as one whole call."""

    words: tuple[Word, ...]
    score: float
    """Log-likelihood ratio of the call to open speech, less the call's surprise."""
    margin: float
    """Its score above the threshold; below zero it is ignored, unless the game makes it likely."""
    others: tuple[OtherWords, ...] = ()
    """The likeliest first."""

    @property
    def said(self) -> list[str]:
        """Its words without their times."""
        return [each.word for each in self.words]

    @property
    def is_trusted(self) -> bool:
        """Whether it reaches the threshold."""
        return self.margin >= 0.0


@dataclass(frozen=True, slots=True)
class Utterance:
    """What was said between two pauses. Times are in seconds of the whole sound."""

    start_s: float
    end_s: float
    text: str
    """All that was heard; empty where a window closed on silence."""
    calls: tuple[HeardCall, ...] = ()
    age_s: float = 0.0
    """How long ago it ended when it was told; 0 in a sound file."""

    @property
    def trusted(self) -> list[str]:
        """The words of each call that reaches the threshold."""
        return [" ".join(call.said) for call in self.calls if call.is_trusted]


@dataclass(frozen=True, slots=True)
class Ready:
    """The model is loaded."""


@dataclass(frozen=True, slots=True)
class Idle:
    """There has been nothing else to tell for a while: the process lives."""


@dataclass(frozen=True, slots=True)
class Listening:
    """The microphone is open."""

    device: str
    rate_hz: int


@dataclass(frozen=True, slots=True)
class Level:
    """How loud the microphone is."""

    peak: int
    """The largest sample, of 32 768."""


@dataclass(frozen=True, slots=True)
class Problem:
    """Something does not work; the process lives on."""

    what: str
    kind: str
    """The name of the error's class."""
    sort: str = "absent"
    """What is wrong with the microphone: `absent`, or a key of `microphone.TROUBLES`."""

    @property
    def is_fatal(self) -> bool:
        """Whether the ear has no model: it lives, and will never hear."""
        return self.kind in FATAL


@dataclass(frozen=True, slots=True)
class FileDone:
    """A sound file has been heard to its end, or cannot be."""

    path: str
    problem: str | None = None


Told = Utterance | Ready | Idle | Listening | Level | Problem | FileDone
"""What the process writes."""

Event = Told | Change
"""What the table is told: the same, and what becomes of the process."""

EVENTS: Final = Wire[Told](
    "event",
    {
        "utterance": Utterance,
        "ready": Ready,
        "idle": Idle,
        "listening": Listening,
        "level": Level,
        "problem": Problem,
        "done": FileDone,
    },
)

# --- what the ear is to do --------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Load:
    """Read the model and the network in use, answer `Ready`, then read the other networks."""

    model: str
    networks: str
    """A JSON file of networks by name."""
    options: Options = MEASURED


@dataclass(frozen=True, slots=True)
class Use:
    """Hear by the network of that name."""

    name: str


@dataclass(frozen=True, slots=True)
class HearFile:
    """Hear a sound file; `FileDone` comes last."""

    path: str


@dataclass(frozen=True, slots=True)
class Listen:
    """Hear the microphone."""

    device: str | None
    mode: Mode


@dataclass(frozen=True, slots=True)
class Press:
    """The key to talk is down."""


@dataclass(frozen=True, slots=True)
class Release:
    """The key to talk is up."""


@dataclass(frozen=True, slots=True)
class Gate:
    """Hear nothing while the table itself speaks, or hear again."""

    closed: bool


Command = Load | Use | HearFile | Listen | Press | Release | Gate

COMMANDS: Final = Wire[Command](
    "do",
    {
        "load": Load,
        "use": Use,
        "file": HearFile,
        "listen": Listen,
        "press": Press,
        "release": Release,
        "gate": Gate,
    },
)
