"""Until when an error may still be corrected.

The rules count how often the ball has been live since the error. The table does not see the ball;
it infers this from the starts of the clock and the goals since. In doubt the error is taken to be
still correctable.
"""

from __future__ import annotations

from callout.game.choices import Until
from callout.game.figures.opportunities import FRESH_TENTHS
from callout.game.figures.score import entry_of
from callout.game.state import Game, Line, Phase, Start


def still_open(game: Game, until: Until, entry: int, left_tenths: int) -> bool:
    """Whether an error in a journal entry may still be corrected.

    `left_tenths` is what the clock shows now.
    """
    if until is Until.FINAL:
        return game.phase is not Phase.OVER
    if until is Until.PERIOD:
        return _period_is_open(game, entry)
    if until is Until.SECOND_LIVE:
        return _times_live(game, entry, left_tenths) < 2
    if _is_late(game, next((line for line in game.lines if line.entry == entry), None)):
        return _times_live(game, entry, left_tenths) < 2
    return not any(_is_late(game, start) for start in game.starts if start.entry > entry)


def _period_is_open(game: Game, entry: int) -> bool:
    """Whether the last regular period, or the entry's own overtime, is still to end."""
    made = _start_before(game, entry)
    last = max(game.profile.periods.count, made.period if made else 1)
    over = game.phase in (Phase.INTERVAL, Phase.OVER)
    return game.period < last or (game.period == last and not over)


def _start_before(game: Game, entry: int) -> Start | None:
    """The last start of the clock before an entry, or by it."""
    return next((start for start in reversed(game.starts) if start.entry <= entry), None)


def _is_late(game: Game, moment: Start | Line | None) -> bool:
    """Whether a moment lies in the last minutes of the last regular period, or in overtime."""
    if moment is None or moment.period < game.profile.periods.count:
        return False
    last = 10 * game.profile.corrections.late_s
    return game.profile.is_overtime(moment.period) or moment.left_tenths <= last


def _times_live(game: Game, entry: int, left_tenths: int) -> int:
    """How often the ball has become live since an entry: at a start of the clock, after a goal."""
    starts = [start for start in game.starts if start.entry > entry]
    if not starts:
        return 0
    # After a goal the ball is dead although the clock runs on; it is live again after the throw-in.
    goals = sum(
        entry_of(goal.item) > starts[0].entry
        and not goal.free_throw
        and goal.period == game.period
        and goal.left_tenths - left_tenths > FRESH_TENTHS
        for goal in game.goals
    )
    return len(starts) + goals
