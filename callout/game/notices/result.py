"""Notices of the result, from the end of the last period on."""

from __future__ import annotations

from callout.game.events import PeriodEnded
from callout.game.figures.opening import ball_at_start, next_period
from callout.game.figures.opportunities import FRESH_TENTHS
from callout.game.figures.score import both_scores, find, periods_to_come, score_slots, winner
from callout.game.fold import Entry
from callout.game.notices import kinds
from callout.game.notices.kinds import Notice
from callout.game.state import Charge, Game, Phase


def verdicts(before: Game, entry: Entry, after: Game) -> list[Notice]:
    """The result at the end of the last period, and again whenever a correction changes it.

    There is none while free throws are owed. After the end of the game only a change of winner is
    announced.
    """
    team, (home, guest) = winner(after), both_scores(after)
    score = {"home": home, "guest": guest}
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
    known = before.phase is not Phase.INTERVAL or (not _awaits(before) and winner(before) is team)
    if known and not ended:
        return []
    if team is None:
        return [_level(after)]
    return [Notice(kinds.FINAL, score) if ended else Notice(kinds.LEADS, {"team": team, **score})]


def _awaits(game: Game) -> bool:
    """Whether throws are still owed for a foul made as the last period ended, or later.

    Throws of earlier fouls do not count: with a running clock they were taken and not called.
    """
    fouls = [find(game, owed.foul) for owed in game.owed]
    return any(
        isinstance(foul, Charge) and (foul.period > game.period or foul.left_tenths <= FRESH_TENTHS)
        for foul in fouls
    )


def _level(game: Game) -> Notice:
    """A tie: how the overtime begins, and whether team fouls carry over into it."""
    carries = game.profile.fouls.overtime_counts_last or None
    begins = ball_at_start(game, next_period(game))
    slots = {**score_slots(game), **begins, "carries": carries}
    return Notice(kinds.LEVEL, slots)
