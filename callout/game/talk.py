"""Calls to the table itself: questions, answers, and how it should speak. None changes the book."""

from __future__ import annotations

from typing import Annotated, Final

from pydantic import Field

from callout.game.called import Call, called
from callout.game.terms import Manner, SayMuch, Team, Topic
from callout.game.values import ShirtNumber


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


TALK: Final = (
    Ask, Yes, No, Answer, Pick, Cancel, RefereeTold, SoundHorn, SayLevel, SayHow, PauseListening,
    ListenAgain,
)  # fmt: skip
"""Every call in this module, for `isinstance`."""
