"""Calls to the table itself: questions, answers, and how it should speak. None changes the book."""

from __future__ import annotations

from typing import Annotated, Final, Literal

from pydantic import Field

from callout.game.called import Call, called
from callout.game.terms import FoulKind, Manner, SayMuch, Team, Topic
from callout.game.values import Points, ShirtNumber, Tenths


@called("ask")
class Ask(Call):
    """The scorer asks for a figure of the game."""

    topic: Topic
    team: Team | None = None
    number: ShirtNumber | None = None


@called("yes")
class Yes(Call):
    """Answers an open question with yes."""


@called("no")
class No(Call):
    """Answers an open question with no."""


@called("answer")
class Answer(Call):
    """Answers an open question with a shirt number."""

    number: ShirtNumber


@called("pick")
class Pick(Call):
    """Answers an open question by the position of a choice: "the first one"."""

    nth: Annotated[int, Field(ge=1, le=4)]


@called("earlier")
class Earlier(Call):
    """Asks for the entry before the one that the open question names."""


@called("later")
class Later(Call):
    """Asks for the entry after the one that the open question names."""


@called("cancel")
class Cancel(Call):
    """Closes an open question; the same as `Undo` if none is open."""


@called("referee_told")
class RefereeTold(Call):
    """The referee has been told of the newest notice that somebody must act on."""


@called("sound_horn")
class SoundHorn(Call):
    """The table's horn is to be sounded."""


@called("say_level")
class SayLevel(Call):
    """Sets how much is said back."""

    level: SayMuch


@called("say_how")
class SayHow(Call):
    """Changes the speed or loudness of the voice by one step."""

    manner: Manner


@called("pause_listening")
class PauseListening(Call):
    """The ear takes no calls until `ListenAgain`."""


@called("listen_again")
class ListenAgain(Call):
    """The ear takes calls again."""


@called("put_right")
class PutRight(Call):
    """A line of the book is to be put right; it is described by what the book says of it.

    The table searches the book for it, asks where several lines fit, and books a `Correct`.
    """

    team: Team | None = None
    """None for a held ball or a tip, which nobody tells by its team."""
    entry: Literal["basket", "throw", "foul", "timeout", "sub", "held", "tip"] = "basket"
    number: ShirtNumber | None = None
    worth: Points | None = None
    """The points that a basket has in the book."""
    period: Annotated[int, Field(ge=1, le=4)] | None = None
    last: bool = False
    """The newest line that fits is meant, so that nothing is asked."""
    to: Team | None = None
    to_number: ShirtNumber | None = None
    points: Points | None = None
    made: bool | None = None
    foul: FoulKind | None = None
    off: bool = False
    """The line is taken off the book."""
    leaving: ShirtNumber | None = None
    """For a substitution: the player for whom `to_number` came in."""


@called("tip_at")
class TipAt(Call):
    """The game is to begin at that time of day, on a clock of 12 or 24 hours.

    The table makes a `SetTip` of it, by the time of day of the machine.
    """

    hour: Annotated[int, Field(ge=0, le=23)] | None = None
    shown: Tenths | None = None
    """Hours and minutes, as a game clock has minutes and seconds."""


TALK: Final = (
    Ask, Yes, No, Answer, Pick, Earlier, Later, Cancel, PutRight, RefereeTold, SoundHorn, SayLevel,
    SayHow, PauseListening, ListenAgain, TipAt,
)  # fmt: skip
"""Every call in this module, for `isinstance`."""
