"""What the rules make of a team list that is changed after the game has begun."""

from __future__ import annotations

from callout.game.state import Game, Phase
from callout.game.terms import Award, Offender, Team


def late_award(game: Game, team: Team) -> Award | None:
    """The opponents' throws for a list changed now; None where it brings none, or no more.

    Source: NFHS 3-2, one technical foul a team for all errors in its list.
    """
    charged = any((c.team, c.on) == (team, Offender.TEAM) for c in game.charges)
    rules, begun = game.profile.roster, game.phase is not Phase.BEFORE
    due = begun and rules.late_award is not Award.NONE
    return rules.late_award if due and not (charged or game.side(team).late) else None
