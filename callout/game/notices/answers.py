"""The answers to what one may ask the table."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Final

from callout.game.calls import Ask
from callout.game.figures.fouls import player_fouls, team_fouls
from callout.game.figures.score import both_scores, open_lines, period_slots, shown, unlisted
from callout.game.figures.timeouts import timeouts_left
from callout.game.notices.board import board
from callout.game.notices.kinds import Notice
from callout.game.state import At, Charge, Game
from callout.game.terms import Team, Topic


def answers(game: Game, ask: Ask, at: At) -> tuple[Notice, ...]:
    """What the book knows of the topic, one thing after another.

    Raises:
        KeyError: the topic is none of the game's.
    """
    return TOPICS[ask.topic](game, ask, at)


def _score(game: Game, ask: Ask, at: At) -> tuple[Notice, ...]:
    home, guest = both_scores(game)
    return (Notice("tell_score", slots={"home": home, "guest": guest}),)


def _time(game: Game, ask: Ask, at: At) -> tuple[Notice, ...]:
    left, period = shown(game, at.left_tenths), period_slots(game, max(1, game.period))
    if left is None:
        return (Notice("tell_period", slots=period),)
    return (Notice("tell_time", slots={"left_tenths": left, **period}),)


def _team_fouls(game: Game, ask: Ask, at: At) -> tuple[Notice, ...]:
    slots = {team.value: team_fouls(game, team) for team in Team}
    return (Notice("tell_team_fouls", slots=slots),)


def _player_fouls(game: Game, ask: Ask, at: At) -> tuple[Notice, ...]:
    if ask.team is None or ask.number is None:
        return _team_fouls(game, ask, at)
    slots: dict[str, object] = {"team": ask.team, "number": ask.number}
    if not game.side(ask.team).has(ask.number):
        seen = unlisted(game, ask.team, ask.number)
        fouls = sum(isinstance(line, Charge) for line in seen)
        if not seen:
            return (Notice("not_on_roster", slots=slots),)
        return (Notice("tell_unlisted", slots={**slots, "fouls": fouls}),)
    fouls = player_fouls(game, ask.team, ask.number)
    kind = "tell_player_foul" if fouls == 1 else "tell_player_fouls"
    return (Notice(kind, slots={**slots, "fouls": fouls}),)


def _timeouts(game: Game, ask: Ask, at: At) -> tuple[Notice, ...]:
    slots = {team.value: max(0, timeouts_left(game, team, at.left_tenths)) for team in Team}
    return (Notice("tell_timeouts", slots=slots),)


def _arrow(game: Game, ask: Ask, at: At) -> tuple[Notice, ...]:
    if game.arrow is None:
        return (Notice("tell_no_arrow"),)
    return (Notice("tell_arrow", slots={"team": game.arrow}),)


def _open(game: Game, ask: Ask, at: At) -> tuple[Notice, ...]:
    waiting = open_lines(game)
    if not waiting:
        return (Notice("tell_nothing_open"),)
    slots = {"count": len(waiting), "team": waiting[-1].team}
    return (Notice("tell_open", slots=slots),)


def _board(game: Game, ask: Ask, at: At) -> tuple[Notice, ...]:
    return board(game, at)


TOPICS: Final[Mapping[Topic, Callable[[Game, Ask, At], tuple[Notice, ...]]]] = {
    Topic.SCORE: _score,
    Topic.TIME: _time,
    Topic.TEAM_FOULS: _team_fouls,
    Topic.PLAYER_FOULS: _player_fouls,
    Topic.TIMEOUTS: _timeouts,
    Topic.ARROW: _arrow,
    Topic.OPEN: _open,
    Topic.BOARD: _board,
}
"""One small function a topic of the game; what is said again, or aloud, the session knows."""
