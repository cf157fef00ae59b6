"""Players who must be replaced now: out, injured or bleeding. Until when, by the machine's clock.

The table seldom knows who came in, so it goes by the calls: a substitution, "subs in", a time-out
or the start of the clock shows that somebody did.
"""

from __future__ import annotations

from typing import Final

from callout.game.figures.fouls import is_out
from callout.game.figures.score import entry_of
from callout.game.state import Game, Phase

REPLACED: Final = ("subs_in", "substitution", "sub_of", "timeout")
"""Calls that show that a substitute has come in, or that none has to: a team's time-out begins
after a replacement (FIBA interpretation 18/19-17, NFHS 5.8.3A), and by one an injured player may
stay (NFHS 3-3, from memory).
"""


def replace_by_ms(game: Game) -> int | None:
    """When the time to replace a player ends; None while nobody has to be replaced.

    Units: milliseconds since 1970.
    """
    if game.phase is not Phase.STOPPED or not game.period:
        return None
    entry = max(_left_by(game), default=0)
    calls = [line for line in game.lines if line.entry >= entry > 0]
    if not calls or any(line.call in REPLACED for line in calls):
        return None
    return calls[0].wall_ms + 1000 * game.profile.table.replace_s


def _left_by(game: Game) -> list[int]:
    """The entries of this stop by which a player had to leave."""
    new = [charge for charge in game.charges if entry_of(charge.item) > game.live_since]
    out = [c for c in new if c.number is not None and is_out(game, c.team, c.number)]
    hurt = [each.entry for each in game.hurt if each.entry > game.live_since]
    return [*(entry_of(charge.item) for charge in out), *hurt]
