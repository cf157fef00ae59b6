"""The scoreboard read aloud: what it should show, in the order in which one reads it."""

from __future__ import annotations

from callout.game.choices import Light
from callout.game.figures.fouls import team_fouls
from callout.game.figures.opening import lacks_first_control
from callout.game.figures.score import period_slots, score_slots, shown
from callout.game.figures.timeouts import timeouts_left
from callout.game.notices import kinds
from callout.game.notices.bonus_light import lit
from callout.game.notices.kinds import Notice
from callout.game.state import At, Game, Phase
from callout.game.terms import Award, Team


def board(game: Game, at: At) -> tuple[Notice, ...]:
    """All that the board should show now, for comparison with what it does show."""
    left, period = shown(game, at.left_tenths), period_slots(game, max(1, game.period))
    clock = Notice(kinds.BOARD_CLOCK, {"left_tenths": left, **period})
    return (
        Notice(kinds.BOARD_SCORE, score_slots(game)),
        Notice(kinds.BOARD_PERIOD, period) if left is None else clock,
        *board_between(game),
    )


def board_between(game: Game) -> tuple[Notice, ...]:
    """What the board should show at the end of a period, but for the score: its echo says that."""
    left = game.seen_tenths
    fouls = {team.value: team_fouls(game, team) for team in Team}
    timeouts = {team.value: max(0, timeouts_left(game, team, left)) for team in Team}
    light = game.profile.penalty.light
    lights = [
        Notice(kinds.BOARD_BONUS, {"team": side, "light": light})
        for side in Team
        if lit(game, side if light is Light.OFFENDER else side.other, left) is not Award.NONE
    ]
    arrow = [Notice(kinds.BOARD_ARROW, {"team": game.arrow})] if game.arrow else []
    lacks = lacks_first_control(game, left) and game.phase is not Phase.OVER
    arrow += [Notice(kinds.CONTROL_LACKING)] if lacks else []
    return (
        Notice(kinds.BOARD_FOULS, fouls),
        *lights,
        Notice(kinds.BOARD_TIMEOUTS, timeouts),
        *arrow,
    )
