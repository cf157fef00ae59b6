"""The answers to the questions of `calls.Ask`."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Final

from callout.game.calls import Ask
from callout.game.decisions.refusals import NOT_ON_ROSTER
from callout.game.figures.fouls import player_fouls, team_fouls
from callout.game.figures.opening import lacks_first_control
from callout.game.figures.score import open_lines, period_slots, score_slots, shown, unlisted
from callout.game.figures.timeouts import timeouts_left
from callout.game.notices import kinds, move_kinds
from callout.game.notices.board import board
from callout.game.notices.kinds import Notice
from callout.game.notices.pregame import items_left, league_figures, to_tip
from callout.game.state import At, Charge, Game, Phase
from callout.game.terms import Team, Topic


def answers(game: Game, ask: Ask, at: At) -> tuple[Notice, ...]:
    """What the book knows of the topic.

    Raises:
        KeyError: the topic is not about the game, as to say the last reply again.
    """
    found = TOPICS[ask.topic](game, ask, at)
    return tuple(notice.by_rules(game.profile) for notice in found)


def _score(game: Game, ask: Ask, at: At) -> tuple[Notice, ...]:
    return (Notice(kinds.TELL_SCORE, slots=score_slots(game)),)


def _time(game: Game, ask: Ask, at: At) -> tuple[Notice, ...]:
    if game.phase is Phase.BEFORE and game.tip_ms is not None:
        return (to_tip(game, at.wall_ms),)
    left, period = shown(game, at.left_tenths), period_slots(game, max(1, game.period))
    if left is None:
        return (Notice(kinds.TELL_PERIOD, slots=period),)
    return (Notice(kinds.TELL_TIME, slots={"left_tenths": left, **period}),)


def _team_fouls(game: Game, ask: Ask, at: At) -> tuple[Notice, ...]:
    slots = {team.value: team_fouls(game, team) for team in Team}
    return (Notice(kinds.TELL_TEAM_FOULS, slots=slots),)


def _player_fouls(game: Game, ask: Ask, at: At) -> tuple[Notice, ...]:
    if ask.team is None or ask.number is None:
        return _team_fouls(game, ask, at)
    slots: dict[str, object] = {"team": ask.team, "number": ask.number}
    if not game.side(ask.team).has(ask.number):
        seen = unlisted(game, ask.team, ask.number)
        fouls = sum(isinstance(line, Charge) for line in seen)
        if not seen:
            return (Notice(NOT_ON_ROSTER, slots=slots),)
        return (Notice(kinds.TELL_UNLISTED, slots={**slots, "fouls": fouls}),)
    fouls = player_fouls(game, ask.team, ask.number)
    kind = kinds.TELL_PLAYER_FOUL if fouls == 1 else kinds.TELL_PLAYER_FOULS
    return (Notice(kind, slots={**slots, "fouls": fouls}),)


def _timeouts(game: Game, ask: Ask, at: At) -> tuple[Notice, ...]:
    slots = {team.value: max(0, timeouts_left(game, team, at.left_tenths)) for team in Team}
    return (Notice(kinds.TELL_TIMEOUTS, slots=slots),)


def _arrow(game: Game, ask: Ask, at: At) -> tuple[Notice, ...]:
    if not game.profile.arrow.used:
        return (Notice(kinds.TELL_ARROW_UNUSED),)
    if game.arrow is None:
        lacks = lacks_first_control(game, at.left_tenths) and game.phase is not Phase.OVER
        return (Notice(kinds.CONTROL_LACKING if lacks else kinds.TELL_NO_ARROW),)
    return (Notice(kinds.TELL_ARROW, slots={"team": game.arrow}),)


def _ball(game: Game, ask: Ask, at: At) -> tuple[Notice, ...]:
    """Whether it is that team's ball: only after a held ball does the book know."""
    if game.throw_in is None or ask.team is None:
        return (Notice(move_kinds.TELL_BALL_UNBOOKED, slots={"arrow": game.arrow}),)
    if game.throw_in is ask.team:
        return (Notice(move_kinds.TELL_BALL, slots={"team": ask.team}),)
    slots = {"team": ask.team, "arrow": game.throw_in}
    return (Notice(move_kinds.TELL_BALL_OTHER, slots=slots),)


def _whose(game: Game, ask: Ask, at: At) -> tuple[Notice, ...]:
    return (Notice(move_kinds.TELL_WHOSE),)


def _open(game: Game, ask: Ask, at: At) -> tuple[Notice, ...]:
    waiting = open_lines(game)
    if not waiting:
        return (Notice(kinds.TELL_NOTHING_OPEN),)
    slots = {"count": len(waiting), "team": waiting[-1].team}
    return (Notice(kinds.TELL_OPEN, slots=slots),)


def _board(game: Game, ask: Ask, at: At) -> tuple[Notice, ...]:
    return board(game, at)


def _checks(game: Game, ask: Ask, at: At) -> tuple[Notice, ...]:
    return (items_left(game),)


def _league(game: Game, ask: Ask, at: At) -> tuple[Notice, ...]:
    return tuple(league_figures(game.profile))


TOPICS: Final[Mapping[Topic, Callable[[Game, Ask, At], tuple[Notice, ...]]]] = {
    Topic.SCORE: _score,
    Topic.TIME: _time,
    Topic.TEAM_FOULS: _team_fouls,
    Topic.PLAYER_FOULS: _player_fouls,
    Topic.TIMEOUTS: _timeouts,
    Topic.ARROW: _arrow,
    Topic.BALL: _ball,
    Topic.WHOSE: _whose,
    Topic.OPEN: _open,
    Topic.BOARD: _board,
    Topic.CHECKS: _checks,
    Topic.LEAGUE: _league,
}
"""The function for each topic of the game. Saying something again, or aloud, is for the session."""
