"""Why a call is refused: one row for each kind of refusal."""

from __future__ import annotations

from typing import Final

from callout.game.kind import listed, reason
from callout.game.terms import FoulKind, Team

NOT_FOR_THE_BOOK: Final = reason("not_for_the_book")
NOT_STARTED: Final = reason("not_started")
POINTS_IMPOSSIBLE: Final = reason("points_impossible", points=int)
TEAM_NEEDED: Final = reason("team_needed")
NO_BASKET_TO_TAKE_OFF: Final = reason("no_basket_to_take_off")
SCORE_IS_THAT: Final = reason("score_is_that", team=Team, points=int)
SCORE_TOO_LOW: Final = reason("score_too_low", team=Team)
FOUL_UNKNOWN: Final = reason("foul_unknown", foul=FoulKind)
NO_FOUL: Final = reason("no_foul")
SHOTS_OF_OTHER: Final = reason("shots_of_other", team=Team)
ALREADY_RUNNING: Final = reason("already_running")
GAME_OVER: Final = reason("game_over")
NO_TIME_LEFT: Final = reason("no_time_left")
ALREADY_STOPPED: Final = reason("already_stopped")
ALREADY_DEAD: Final = reason("already_dead")
NO_PERIOD: Final = reason("no_period")
NO_CLOCK: Final = reason("no_clock")
CLOCK_IMPOSSIBLE: Final = reason("clock_impossible", left_tenths=int)
CLOCK_IS_THAT: Final = reason("clock_is_that", left_tenths=int)
NOTHING_DUE: Final = reason("nothing_due")
NO_TIMEOUT: Final = reason("no_timeout")
ALREADY_ASKED: Final = reason("already_asked", team=Team)
NO_TIMEOUT_WAITING: Final = reason("no_timeout_waiting", team=Team)
NO_SUB_WAITING: Final = reason("no_sub_waiting", team=Team | None)
SAME_PLAYER: Final = reason("same_player", team=Team, number=str)
NOT_ON_ROSTER: Final = reason("not_on_roster", team=Team, number=str)
NO_ARROW: Final = reason("no_arrow", lambda p: p.arrow.rule)
ARROW_UNUSED: Final = reason("arrow_unused", lambda p: p.arrow.rule)
NO_THROW_IN: Final = reason("no_throw_in", lambda p: p.arrow.rule)
ARROW_IS_THAT: Final = reason("arrow_is_that", team=Team)
NOTHING_OPEN: Final = reason("nothing_open")
NOTHING_TO_CORRECT: Final = reason("nothing_to_correct")
NUMBER_IS_THAT: Final = reason("number_is_that", team=Team, number=str)
TEAM_IS_THAT: Final = reason("team_is_that", team=Team)
POINTS_ARE_THAT: Final = reason("points_are_that", points=int)
NOTHING_TO_UNDO: Final = reason("nothing_to_undo")
NOTHING_TAKEN_BACK: Final = reason("nothing_taken_back")
PLAYED_ON: Final = reason("played_on")
ALREADY_OFF: Final = reason("already_off", team=Team, number=str | None)
NO_THROW: Final = reason("no_throw")
THROW_COUNTS: Final = reason("throw_counts", team=Team)
ON_ROSTER: Final = reason("on_roster", team=Team, number=str)
ALREADY_STARTER: Final = reason("already_starter", team=Team, number=str)

REFUSAL_KINDS: Final = listed(globals())
"""Every kind of refusal of the game, by name."""
