"""When a deadline before the game has been met, as far as the book shows."""

from __future__ import annotations

from callout.game.figures.checklist import is_met, look_of
from callout.game.kind import Slots
from callout.game.pregame import BeforeDue
from callout.game.pregame_lines import moment_name
from callout.game.profile.before import Look
from callout.game.state import Game, Phase
from callout.game.terms import Moment


def lists_there(slots: Slots, entry: int, game: Game) -> bool:
    """Both lists are there, somebody said so, or the game has begun."""
    return _there(Look.LISTS, game)


def starters_there(slots: Slots, entry: int, game: Game) -> bool:
    """Both teams' starters are named, somebody said so, or the game has begun."""
    return _there(Look.STARTERS, game)


def lists_there_or_due(slots: Slots, entry: int, game: Game) -> bool:
    """The same, or they are due by now, which was announced anew."""
    return _there(Look.LISTS, game) or _due(Look.LISTS, game)


def starters_there_or_due(slots: Slots, entry: int, game: Game) -> bool:
    """The same of the starters."""
    return _there(Look.STARTERS, game) or _due(Look.STARTERS, game)


def _due(look: Look, game: Game) -> bool:
    deadlines = (BeforeDue(Moment.ITEM_DUE, item) for item in _items(look, game))
    return any(moment_name(each) in game.reminded for each in deadlines)


def _there(look: Look, game: Game) -> bool:
    met = all(is_met(game, item) for item in _items(look, game))
    return met or game.phase is not Phase.BEFORE


def _items(look: Look, game: Game) -> list[str]:
    profile = game.profile
    return [item for item in profile.before.order if look_of(profile, item) is look]
