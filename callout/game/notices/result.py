"""The result: who has won, and what the score means once the last period is over."""

from __future__ import annotations

from callout.game.events import PeriodEnded
from callout.game.figures.opening import ball_at_start, next_period
from callout.game.figures.opportunities import FRESH_TENTHS
from callout.game.figures.score import both_scores, find, periods_to_come, winner
from callout.game.fold import Entry
from callout.game.notices import kinds
from callout.game.notices.kinds import Notice
from callout.game.state import Charge, Game, Phase


def verdicts(before: Game, entry: Entry, after: Game) -> list[Notice]:
    """What the score means at the end of the last period, and again where that changes.

    While throws are owed nobody knows; after the end of the game only another winner is told.
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
    """Whether throws are still owed for a foul at the end of the last period, or after it.

    Those of an earlier foul, on a clock that runs on, were taken or forgotten long before.
    """
    fouls = [find(game, owed.foul) for owed in game.owed]
    return any(
        isinstance(foul, Charge) and (foul.period > game.period or foul.left_tenths <= FRESH_TENTHS)
        for foul in fouls
    )


def _level(game: Game) -> Notice:
    """Scores are level: what the overtime begins with, and whether team fouls carry over."""
    home, guest = both_scores(game)
    carries = game.profile.fouls.overtime_counts_last or None
    begins = ball_at_start(game, next_period(game))
    slots = {"home": home, "guest": guest, **begins, "carries": carries}
    return Notice(kinds.LEVEL, slots)
