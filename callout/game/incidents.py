"""Calls for what happens seldom: a shirt changed, an injury, a delay, a game that is not played."""

from __future__ import annotations

from typing import Annotated

from pydantic import Field

from callout.game.called import Call, called
from callout.game.terms import Figure, Team
from callout.game.values import ShirtNumber


@called("change_shirt")
class ChangeShirt(Call):
    """A player goes on in another shirt."""

    team: Team
    number: ShirtNumber
    new: ShirtNumber


@called("send_off")
class SendOff(Call):
    """The officials send off a player, or the coach; no foul is booked with it."""

    team: Team
    number: ShirtNumber | None = None
    """None for the coach."""


@called("hurt")
class Hurt(Call):
    """A player is injured or bleeds, and must be replaced."""

    team: Team
    number: ShirtNumber
    bleeds: bool = False


@called("lane_violation")
class LaneViolation(Call):
    """A player of `team` violates during the free throw just booked."""

    team: Team


@called("forfeit")
class Forfeit(Call):
    """A team loses the game because it does not play, or by default because too few are left."""

    team: Team
    default: bool = False


@called("suspend")
class Suspend(Call):
    """The officials break the game off; it may be taken up another day."""


@called("delay_warning")
class DelayWarning(Call):
    """The officials warn a team for delaying the game."""

    team: Team


@called("too_many_on")
class TooManyOn(Call):
    """A team has a player too many on court."""

    team: Team


@called("check_score")
class CheckScore(Call):
    """The score that the board shows for a team, to compare with the book's."""

    team: Team
    points: Annotated[int, Field(ge=0, le=299)]


@called("compare_book")
class CompareBook(Call):
    """A figure of the official book, or of the other scorer's, to compare with ours."""

    team: Team
    count: Annotated[int, Field(ge=0, le=299)]
    figure: Figure = Figure.SCORE
    number: ShirtNumber | None = None
    """The player, for a figure of one."""
    period: Annotated[int, Field(ge=1, le=4)] | None = None
    """The period that a team's points are of; None for the whole game."""


@called("hand_over")
class HandOver(Call):
    """The table is handed over to the next crew, with the game open."""
