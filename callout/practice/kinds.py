"""What is said in practice: one row for each kind; the words stand in grammars/en/practice.yaml.

A play is told as somebody at the court would see it. Its sound comes first.
"""

from __future__ import annotations

from typing import Final

from callout.game.kind import echo, listed
from callout.game.terms import Award, FoulKind, Team

# --- plays ----------------------------------------------------------------------------------------

TIP: Final = echo("tip", team=Team)
NEAR_DRIVE: Final = echo("near_drive", team=Team, number=str, points=int)
NEAR_REBOUND: Final = echo("near_rebound", team=Team, number=str, points=int)
NEAR_JUMPER: Final = echo("near_jumper", team=Team, number=str, points=int)
FAR_CORNER: Final = echo("far_corner", team=Team, number=str, points=int)
FAR_TOP: Final = echo("far_top", team=Team, number=str, points=int)
REACHED: Final = echo("reached", team=Team, number=str)
BLOCKED: Final = echo("blocked", team=Team, number=str)
CHARGED: Final = echo("charged", team=Team, number=str)
FOULED_SHOOTER: Final = echo("fouled_shooter", team=Team, number=str, award=Award)
HARD_FOUL: Final = echo("hard_foul", team=Team, number=str, foul=FoulKind)
THROW_GOOD: Final = echo("throw_good", team=Team)
THROW_OFF: Final = echo("throw_off", team=Team)
TIMEOUT: Final = echo("timeout", team=Team)
TIMEOUT_ENDS: Final = echo("timeout_ends")
SUB_REPORTS: Final = echo("sub_reports", team=Team)
SUBS_ENTER: Final = echo("subs_enter")
HELD: Final = echo("held")
IN_PLAY: Final = echo("in_play")
LATE_IN_GAME: Final = echo("late_in_game", home=int, guest=int)
MISS: Final = echo("miss", team=Team, number=str, other=Team)
TURNOVER: Final = echo("turnover", team=Team, number=str, other=Team)

# --- what to call ---------------------------------------------------------------------------------

SAY_GOAL: Final = echo("say_goal", team=Team, points=int, number=str | None)
SAY_THROW: Final = echo("say_throw", made=bool)
SAY_FOUL: Final = echo("say_foul", team=Team, number=str | None)
SAY_CHARGE: Final = echo("say_charge", team=Team, number=str | None)
SAY_FOUL_KIND: Final = echo("say_foul_kind", team=Team, number=str | None, foul=FoulKind)
SAY_SHOTS: Final = echo("say_shots", award=Award)
SAY_TIMEOUT: Final = echo("say_timeout", team=Team)
SAY_TIMEOUT_OVER: Final = echo("say_timeout_over")
SAY_SUB: Final = echo("say_sub")
SAY_SUBS_IN: Final = echo("say_subs_in")
SAY_HELD: Final = echo("say_held")
SAY_TIP: Final = echo("say_tip", team=Team)
SAY_START: Final = echo("say_start")
SAY_STOP: Final = echo("say_stop")
SAY_NUMBER: Final = echo("say_number", number=str)
SAY_UNDO: Final = echo("say_undo")
SAY_SCORE: Final = echo("say_score")

# --- what is said of a call -----------------------------------------------------------------------

MISSED: Final = echo("missed", call=str)
LATE: Final = echo("late", call=str, seconds=str)
WRONG: Final = echo("wrong", call=str, was=str)
NO_NUMBER: Final = echo("no_number", number=str)
EXTRA: Final = echo("extra", was=str)
GOOD: Final = echo("good")
ONCE_AGAIN: Final = echo("once_again", call=str)

# --- the first lesson -----------------------------------------------------------------------------

LESSON: Final = echo("lesson")
LESSON_START: Final = echo("lesson_start")
LESSON_BASKET: Final = echo("lesson_basket", team=Team, number=str, points=int)
LESSON_LATER: Final = echo("lesson_later", team=Team, points=int)
LESSON_NUMBER: Final = echo("lesson_number", number=str)
LESSON_STOP: Final = echo("lesson_stop")
LESSON_FOUL: Final = echo("lesson_foul", team=Team, number=str)
LESSON_SHOTS: Final = echo("lesson_shots", award=Award)
LESSON_THROW: Final = echo("lesson_throw")
LESSON_MISS: Final = echo("lesson_miss")
LESSON_SUB: Final = echo("lesson_sub")
LESSON_SUBS_IN: Final = echo("lesson_subs_in")
LESSON_TIMEOUT: Final = echo("lesson_timeout", team=Team)
LESSON_TIMEOUT_OVER: Final = echo("lesson_timeout_over")
LESSON_SCORE: Final = echo("lesson_score")
LESSON_UNDO: Final = echo("lesson_undo", team=Team, points=int)
LESSON_KEYS: Final = echo("lesson_keys", keys=str)
LESSON_END: Final = echo("lesson_end")

PRACTICE_KINDS: Final = listed(globals())
"""Every kind above, by name."""
