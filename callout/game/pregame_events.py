"""The events before the first period; `events` re-exports them."""

from __future__ import annotations

from callout.game.happened import Event, happens
from callout.game.terms import CheckedAs, Moment, Team
from callout.game.values import ItemName, LeftS, ShirtNumber, WallMs


@happens("tip_set")
class TipSet(Event):
    """The game is to begin at that moment."""

    wall_ms: WallMs


@happens("item_checked")
class ItemChecked(Event):
    """An item of the checklist was done, left open, or seen to be done by the program."""

    item: ItemName
    how: CheckedAs
    wall_ms: WallMs


@happens("before_told")
class BeforeTold(Event):
    """A moment before the game was announced."""

    of: Moment
    item: ItemName | None
    left_s: LeftS


@happens("starter_dropped")
class StarterDropped(Event):
    """A number is no longer one of those who start."""

    team: Team
    number: ShirtNumber


@happens("starters_confirmed")
class StartersConfirmed(Event):
    """A team's starters were read back, and are right."""

    team: Team
    numbers: tuple[ShirtNumber, ...]
