"""Notices that somebody must act on: when each is done, and which wait for the referee's report."""

from __future__ import annotations

from typing import Final

from callout.game import calls
from callout.game.fold import Entry
from callout.game.notices import Notice
from callout.game.penalties import is_out
from callout.game.state import Game, Phase
from callout.game.terms import Team

HORN: Final = frozenset({"timeout_due", "sub_due"})
"""What waits for a dead ball: the table's horn tells the officials of it."""

REFEREE: Final = frozenset(
    {
        "bonus",
        "bonus_offender",
        "not_level",
        "number_illegal",
        "plays_though_out",
        "roster_late",
        "timeout_excess",
        "timeout_last",
    }
)
"""What is only told to the officials: `referee told` says that it was."""


def done(notice: Notice, entry: int, game: Game) -> bool:
    """Whether what a notice asks for has been done, as far as the book can tell.

    What came of an entry that was taken back is done with.
    """
    if game.phase is Phase.OVER or entry in game.taken_back:
        return True
    team = notice.slots.get("team")
    match notice.kind:
        case "shots_owed":
            return not any(owed.team is team and owed.taken == 0 for owed in game.owed)
        case "timeout_due":
            return team not in game.timeouts_asked
        case "sub_due":
            return team not in game.subs_waiting
        case "player_out" if isinstance(team, Team):
            number = str(notice.slots["number"])
            on_court = dict(game.on_court).get(team, (number,))
            return number not in on_court or not is_out(game, team, number)
        case _:
            return False


def horn_wanted(notice: Notice) -> bool:
    """Whether the officials are told by the horn, for which the ball must be dead."""
    return notice.kind in HORN


def told_to_referee(notice: Notice) -> bool:
    """Whether the scorer passes it on to the referee, and is done with it then."""
    return notice.kind in REFEREE


def held_until_foul(entry: Entry, notice: Notice) -> bool:
    """Whether its words wait: at a stop the referee reports first, and is not talked over."""
    at_a_stop = isinstance(entry.call, calls.StopClock | calls.DeadBall)
    return at_a_stop and notice.kind in HORN
