"""What may be called to the table itself: questions, answers, and how it is to speak.

Nothing here changes the book.
"""

from __future__ import annotations

from typing import Annotated, Final

from pydantic import Field

from callout.game.called import Call, called
from callout.game.terms import Manner, SayMuch, Team, Topic
from callout.game.values import ShirtNumber


@called("ask")
class Ask(Call):
    """Something the scorer wants to hear."""

    topic: Topic
    team: Team | None = None
    number: ShirtNumber | None = None


@called("yes")
class Yes(Call):
    """Yes, to an open question."""


@called("no")
class No(Call):
    """No, to an open question."""


@called("answer")
class Answer(Call):
    """A number, to an open question."""

    number: ShirtNumber


@called("pick")
class Pick(Call):
    """One of the things that an open question names, by its place."""

    nth: Annotated[int, Field(ge=1, le=4)]


@called("cancel")
class Cancel(Call):
    """Ends an open question; without one, the same as `Undo`."""


@called("referee_told")
class RefereeTold(Call):
    """The newest notice has been passed on."""


@called("sound_horn")
class SoundHorn(Call):
    """The table's horn."""


@called("say_level")
class SayLevel(Call):
    """How much is said back from now on."""

    level: SayMuch


@called("say_how")
class SayHow(Call):
    """How the voice speaks from now on."""

    manner: Manner


@called("pause_listening")
class PauseListening(Call):
    """The ear takes no calls until told to listen again."""


@called("listen_again")
class ListenAgain(Call):
    """The ear takes calls again."""


TALK: Final = (
    Ask, Yes, No, Answer, Pick, Cancel, RefereeTold, SoundHorn, SayLevel, SayHow, PauseListening,
    ListenAgain,
)  # fmt: skip
"""Calls that are for the table's dialogue and leave the book as it is."""
