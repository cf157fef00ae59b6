"""Notices of the result, from the end of the last period on."""

from __future__ import annotations

from callout.game.events import PeriodEnded
from callout.game.figures.opening import ball_at_start, next_period
from callout.game.figures.opportunities import FRESH_TENTHS
from callout.game.figures.score import (
    deciding_scores,
    find,
    is_level,
    periods_to_come,
    score_slots,
    winner,
)
from callout.game.fold import Entry
from callout.game.notices import kinds
from callout.game.notices.kinds import Notice
from callout.game.state import Charge, Game, Phase
from callout.game.terms import Team


def verdicts(before: Game, entry: Entry, after: Game) -> list[Notice]:
    """The result at the end of the last period, and again whenever a correction changes it.

    There is none while free throws are owed. After the end of the game only a change of winner is
    announced.
    """
    team, score = winner(after), score_slots(after)
    if after.phase is Phase.OVER:
        if before.phase is not Phase.OVER or winner(before) is team:
            return []
        return [
            Notice(kinds.WON_NOW, {"team": team, **score})
            if team
            else Notice(kinds.LEVEL_NOW, score)
        ]
    if after.phase is not Phase.INTERVAL or periods_to_come(after) or _awaits(after):
        return []
    ended = any(isinstance(event, PeriodEnded) for event in entry.events)
    team = _leader(after)
    known = before.phase is not Phase.INTERVAL or (not _awaits(before) and _leader(before) is team)
    if known and not ended:
        return []
    if team is None:
        return [_level(after)]
    return [Notice(kinds.FINAL, score) if ended else Notice(kinds.LEADS, {"team": team, **score})]


def _leader(game: Game) -> Team | None:
    """The team that has won if the period just ended is the last; None if an overtime follows."""
    return None if is_level(game) else winner(game)


def _awaits(game: Game) -> bool:
    """Whether throws are still owed that may decide: for a foul made as the last period ended.

    Those for a later foul may, too, unless the score is level: then they begin the overtime.
    Throws of earlier fouls do not count: with a running clock they were taken and not called.
    """
    fouls = [foul for owed in game.owed if isinstance(foul := find(game, owed.foul), Charge)]
    later, level = [foul for foul in fouls if foul.period > game.period], is_level(game)
    at_horn = (foul for foul in fouls if foul.period <= game.period)
    return bool(later and not level) or any(f.left_tenths <= FRESH_TENTHS for f in at_horn)


def _level(game: Game) -> Notice:
    """A tie: how the overtime begins, and whether team fouls carry over into it."""
    carries = game.profile.fouls.overtime_counts_last or None
    begins = ball_at_start(game, next_period(game))
    home, guest = deciding_scores(game)
    slots = {"home": home, "guest": guest, **begins, "carries": carries}
    return Notice(kinds.LEVEL, slots)
