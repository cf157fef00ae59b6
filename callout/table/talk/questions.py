"""Questions that the table asks before it books; pure.

A question waits some seconds for its answer. Without one it ends as with "no", and the table says
aloud what stays as it was.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace
from typing import Final, TypeAlias

from callout.game.calls import Call
from callout.game.sources import CLOCK as CLOCK
from callout.game.sources import KEY as KEY
from callout.game.sources import QUIET as QUIET
from callout.game.sources import SPOKEN as SPOKEN
from callout.game.state import At
from callout.table.talk.question_kinds import QuestionKind

# Source for these: the design of this table; no rule book speaks of them.
ANSWER_MS: Final = 8_000
"""How long a question waits for its answer."""


Made: TypeAlias = Callable[[Call], Call] | None
"""Makes another call of one, such as a signed one; None leaves it as it is."""

Readings: TypeAlias = tuple[tuple[Call, float], ...]
"""What a sound may have been, each with its share."""


@dataclass(frozen=True, slots=True)
class Doubt:
    """The calls that one sound may have been, the likeliest first."""

    calls: tuple[Call, ...]
    words: tuple[str, ...]
    """The words that each was heard as."""
    likely: tuple[float, ...] = ()
    """How likely each is; empty where that is not known."""
    maybe_none: bool = False
    """Whether it may have been no call at all."""

    @property
    def chances(self) -> tuple[float, ...]:
        """How likely each is; all alike where that is not known."""
        return self.likely or (1.0,) * len(self.calls)


@dataclass(frozen=True, slots=True)
class Heard:
    """A call as it came to the table."""

    call: Call
    source: str
    at: At
    doubt: Doubt | None = None
    others: Readings = ()
    """What else the sound may have been, each with its share, where none of it is asked about."""


@dataclass(frozen=True, slots=True)
class Question:
    """A question that is open."""

    kind: QuestionKind
    until_ms: int
    heard: Heard | None = None
    """The call that is made by a yes, or by the answer that completes it."""
    otherwise: Heard | None = None
    """The call that is made by a no."""
    slots: Mapping[str, object] = field(default_factory=dict, hash=False)
    wants: str = "yes"
    """What answers it: yes (or no), a number, a team, one of several calls, or whether it is this
    one of several entries."""
    slot: str = ""
    """The field of the call that a number is put into."""
    choices: tuple[Call, ...] = ()
    """The calls that may be picked, in the order in which the question names them."""
    likely: tuple[float, ...] = ()
    """How likely each choice was when the question was opened."""
    at: int = 0
    """Which of the choices is asked about, where they are asked about one by one."""
    about: tuple[Mapping[str, object], ...] = ()
    """The slots of the question about each of the choices, where they are not all alike."""
    after: tuple[Question | None, ...] = ()
    """The question that follows a yes to each of the choices; empty where none does."""
    besides: Heard | None = None
    """What else is made by a no, after `otherwise`."""
    settled: bool = False
    """Whether the game has answered it by itself; it is not asked any more, and only an answer that
    was on its way is still understood."""
    booked: Call | None = None
    """The call that was booked without the number that is asked for; said again with the number, it
    is the answer."""


def with_value(call: Call, slot: str, value: object) -> Call:
    """The call with another value in one field."""
    changed: Call = replace(call, **{slot: value})  # type: ignore[type-var]
    return changed


def until_ms(heard: Heard) -> int:
    """When a question about that call ends without an answer."""
    return heard.at.wall_ms + ANSWER_MS
