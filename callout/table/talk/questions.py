"""Questions that the table asks before it books; pure.

A question is opened by one call, and waits some seconds for yes, no or a number. Unanswered it is
a no, said aloud with what stays as it was.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from typing import Final

from callout.game.calls import Call
from callout.game.state import At
from callout.table.talk.question_kinds import QuestionKind

# Source for these: the design of this table; no rule book speaks of them.
ANSWER_MS: Final = 8_000
"""A question waits so long for its answer."""


CERTAIN: Final = 0.95
"""A call less likely than this, among all that its sound may be, is asked about.

Of 216 table calls in nine synthetic voices, 202 were likelier than 0.8 at 12 dB, and one of those
wrong; at 6 dB 138 were likelier than 0.95, none of them wrong. Of another 216 at 12 dB eight were
booked wrong at 0.85, all of them between 0.88 and 0.97.
"""

SPOKEN: Final = "voice"
"""The source of calls that came by ear."""
KEY: Final = "key"
"""The source of calls that came by key or pedal."""
QUIET: Final = frozenset({"clock", "script"})
"""Sources that no person stands behind: they are never asked back."""


@dataclass(frozen=True, slots=True)
class Doubt:
    """What one sound may have been: several calls, the likeliest first."""

    calls: tuple[Call, ...]
    words: tuple[str, ...]
    """The words that each was heard as."""
    likely: tuple[float, ...] = ()
    """How likely each is by its sound; empty where that is not known."""
    maybe_none: bool = False
    """Whether it may as well be something that is no call at all."""

    @property
    def chances(self) -> tuple[float, ...]:
        """How likely each is; all the same where nothing is known."""
        return self.likely or (1.0,) * len(self.calls)


@dataclass(frozen=True, slots=True)
class Heard:
    """A call as it came to the table."""

    call: Call
    source: str
    at: At
    doubt: Doubt | None = None


@dataclass(frozen=True, slots=True)
class Question:
    """A question that is open."""

    kind: QuestionKind
    until_ms: int
    heard: Heard | None = None
    """What is done on yes, or once the answer completes it."""
    otherwise: Heard | None = None
    """What is done on no."""
    slots: Mapping[str, object] = field(default_factory=dict, hash=False)
    wants: str = "yes"
    """What answers it: yes (or no), a number, a team, or one of several calls."""
    slot: str = ""
    """The field of the call that a number is put into."""
    choices: tuple[Call, ...] = ()
    """What may be picked, in the order in which it is asked about."""
    likely: tuple[float, ...] = ()
    """How likely each of them was when it was asked about."""


def with_value(call: Call, slot: str, value: object) -> Call:
    """The call with another value in one field."""
    changed: Call = replace(call, **{slot: value})  # type: ignore[type-var]
    return changed


def until_ms(heard: Heard) -> int:
    """When a question about what was heard has waited long enough."""
    return heard.at.wall_ms + ANSWER_MS
