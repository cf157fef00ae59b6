"""Notices that somebody must act on: when each is done, and which wait for the referee's report."""

from __future__ import annotations

from callout.game import calls
from callout.game.fold import Entry
from callout.game.notices import Notice
from callout.game.state import Game, Phase


def done(notice: Notice, game: Game) -> bool:
    """Whether what a notice asks for has been done, as far as the book can tell."""
    team = notice.slots.get("team")
    match notice.kind:
        case "shots_owed":
            return not any(owed.team is team for owed in game.owed)
        case "timeout_due":
            return team not in game.timeouts_asked or _chance_over(game)
        case "sub_due":
            return team not in game.subs_waiting or _chance_over(game)
        case _:
            return game.phase is Phase.OVER


def _chance_over(game: Game) -> bool:
    return game.phase is Phase.RUNNING and not game.ball_dead


def held_until_foul(entry: Entry, notice: Notice) -> bool:
    """Whether its words wait: at a stop the referee reports first, and is not talked over."""
    at_a_stop = isinstance(entry.call, calls.StopClock | calls.DeadBall)
    return at_a_stop and notice.kind in ("timeout_due", "sub_due")
