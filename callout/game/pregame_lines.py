"""The part of `apply` before the first period. Each function is a row of the table in `apply`."""

from __future__ import annotations

from dataclasses import replace

from callout.game import events
from callout.game.pregame import BeforeDue
from callout.game.state import Checked, Game
from callout.game.terms import Team


def tip_set(game: Game, event: events.TipSet) -> Game:
    """The start is known; all that is announced before it is announced anew."""
    return replace(game, tip_ms=event.wall_ms, reminded=() if game.phase.between else game.reminded)


def item_checked(game: Game, event: events.ItemChecked) -> Game:
    """An item of the checklist was done, or left open."""
    return replace(game, checks=(*game.checks, Checked(event.item, event.how, event.wall_ms)))


def before_told(game: Game, event: events.BeforeTold) -> Game:
    """A moment before the game was announced."""
    return replace(game, reminded=(*game.reminded, moment_name(event)))


def moment_name(each: events.BeforeTold | BeforeDue) -> str:
    """The name of a moment before the game, by which it is known that it was announced."""
    return f"{each.of.value}:{each.item or each.left_s}"


def starter_named(game: Game, event: events.StarterNamed) -> Game:
    """A number starts."""
    return _starters(game, event.team, (*game.side(event.team).starters, event.number))


def starter_dropped(game: Game, event: events.StarterDropped) -> Game:
    """A number does not start."""
    rest = tuple(each for each in game.side(event.team).starters if each != event.number)
    return _starters(game, event.team, rest)


def _starters(game: Game, team: Team, numbers: tuple[str, ...]) -> Game:
    """A team's starters, which have not been read back yet."""
    read = tuple(each for each in game.starters_read if each is not team)
    side = replace(game.side(team), starters=numbers)
    return replace(game.with_side(team, side), starters_read=read)


def starters_confirmed(game: Game, event: events.StartersConfirmed) -> Game:
    """A team's starters were read back, and are right."""
    read = (each for each in game.starters_read if each is not event.team)
    return replace(game, starters_read=(*read, event.team))
