"""Calls before the first period: the time of the start, the checklist, the starting fives."""

from __future__ import annotations

from typing import Annotated

from pydantic import Field

from callout.game.called import Call, called
from callout.game.terms import Moment, Team
from callout.game.values import ItemName, LeftS, ShirtNumber, WallMs


@called("set_tip")
class SetTip(Call):
    """The game is to begin at that moment. The table makes it from a time of day."""

    wall_ms: WallMs


@called("tip_in")
class TipIn(Call):
    """The game is to begin in that many minutes."""

    minutes: Annotated[int, Field(ge=1, le=180)]


@called("check_done")
class CheckDone(Call):
    """The item of the checklist that is being asked has been done."""


@called("check_skip")
class CheckSkip(Call):
    """The item that is being asked stays open; the next one is asked."""


@called("check_seen")
class CheckSeen(Call):
    """The program sees by itself that an item is done. Made by the table, never by a person."""

    item: ItemName


@called("before_due")
class BeforeDue(Call):
    """A moment before the game has come: a warning, the start, or the deadline of an item. Made by
    the clock, never by a person.
    """

    of: Moment
    item: ItemName | None = None
    left_s: LeftS = 0
    """For a warning: how long before the start it is given, in seconds."""


@called("drop_starter")
class DropStarter(Call):
    """A number is none of those who start."""

    team: Team
    number: ShirtNumber


@called("confirm_starters")
class ConfirmStarters(Call):
    """A team's starters, as they were read back, are right."""

    team: Team
