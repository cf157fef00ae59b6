"""Notices that somebody must act on: when each is done, and what the referee's report holds up."""

from __future__ import annotations

from dataclasses import dataclass

from callout.game import calls
from callout.game.fold import Entry
from callout.game.notices import Notice
from callout.game.penalties import is_out
from callout.game.state import Game, Phase
from callout.game.terms import Team


@dataclass(frozen=True, slots=True)
class Pending:
    """A notice that somebody must act on, until it is known that somebody did."""

    notice: Notice
    text: str
    entry: int
    """The journal entry it came of."""
    again_ms: int | None
    """When it is due again; None for one that is said only once."""


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


def at_a_stop(entry: Entry, before: Game, after: Game) -> bool:
    """Whether the ball has now been whistled dead: the referee reports, and is not talked over."""
    dead = after.ball_dead and not before.ball_dead
    return dead and isinstance(entry.call, calls.StopClock | calls.DeadBall)
