"""What the table answers: notices, questions and refusals, in words."""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum

from callout.game.kind import Rank
from callout.table.speech.announcer import Command, Speak


class Sort(Enum):
    """The three sorts of what is said."""

    NOTICE = "notice"
    QUESTION = "question"
    REFUSAL = "refusal"


@dataclass(frozen=True, slots=True)
class Said:
    """One notice, question or refusal in words, as the journal keeps it."""

    sort: Sort
    kind: str
    rank: Rank
    rule: str
    text: str
    """Its words; empty where nothing is said at the present level."""
    period: int
    left_tenths: int
    wall_ms: int
    entry: int | None = None
    """The journal entry that it belongs to; None where nothing was booked."""


@dataclass(frozen=True, slots=True)
class Reply:
    """All that follows from one call, one utterance or one tick of the clock."""

    said: tuple[Said, ...] = ()
    entries: tuple[int, ...] = ()
    """The journal entries that were made; all are on the disk."""
    speech: tuple[Command, ...] = ()
    """What the voice does now. Some of `said` may be spoken later, or never."""
    repeated: tuple[str, ...] = ()
    """Pending notices that are repeated now."""

    def __add__(self, other: Reply) -> Reply:
        return Reply(
            self.said + other.said,
            self.entries + other.entries,
            self.speech + other.speech,
            self.repeated + other.repeated,
        )

    @property
    def text(self) -> str:
        """Everything said, in its order, as one line."""
        return " ".join(said.text for said in self.said if said.text)

    @property
    def spoken(self) -> tuple[Speak, ...]:
        """What the voice says of it, interruptions and changes of the voice left out."""
        return tuple(command for command in self.speech if isinstance(command, Speak))

    def of(self, sort: Sort) -> tuple[Said, ...]:
        """What was said of one sort."""
        return tuple(said for said in self.said if said.sort is sort)

    @property
    def refused(self) -> bool:
        """Whether any call was refused."""
        return bool(self.of(Sort.REFUSAL))
