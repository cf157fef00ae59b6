"""The events of what happens seldom; `events` re-exports them."""

from __future__ import annotations

from callout.game.happened import Event, happens
from callout.game.terms import Figure, Team
from callout.game.values import ShirtNumber, Tenths


@happens("shirt_changed")
class ShirtChanged(Event):
    """A player wears another number from now on; all that was booked goes with him."""

    team: Team
    number: ShirtNumber
    new: ShirtNumber


@happens("sent_off")
class SentOff(Event):
    """A player, or with no number the coach, may not take part any more."""

    team: Team
    number: ShirtNumber | None


@happens("player_hurt")
class PlayerHurt(Event):
    """A player is injured or bleeds."""

    team: Team
    number: ShirtNumber
    bleeds: bool = False


@happens("throw_voided")
class ThrowVoided(Event):
    """The free throw of line `item` does not count; with `again` it is thrown once more."""

    item: int
    again: bool = False


@happens("game_forfeited")
class GameForfeited(Event):
    """The game is over, and lost by `team` whatever was played."""

    team: Team
    default: bool = False


@happens("game_suspended")
class GameSuspended(Event):
    """The officials broke the game off at this moment."""

    period: int
    left_tenths: Tenths
    wall_ms: int


@happens("delay_warned")
class DelayWarned(Event):
    """A team was warned for delaying the game."""

    team: Team


@happens("too_many_seen")
class TooManySeen(Event):
    """A team had a player too many on court."""

    team: Team


@happens("score_checked")
class ScoreChecked(Event):
    """The board's score of a team was compared with the book's."""

    team: Team
    shown: int
    booked: int


@happens("book_compared")
class BookCompared(Event):
    """A figure of another book was compared with ours."""

    team: Team
    figure: Figure
    count: int
    booked: int
    number: ShirtNumber | None = None
    period: int | None = None


@happens("handed_over")
class HandedOver(Event):
    """The next crew has taken over at this moment."""

    wall_ms: int
