"""What is asked once a call is booked: whether the penalty that the rules foresee was given, or
what explains that another book differs; pure.

The officials decide on a penalty, so it is never booked unasked.
"""

from __future__ import annotations

from dataclasses import replace

from callout.game import calls
from callout.game.calls import Call, Foul
from callout.game.decide import Decisions
from callout.game.figures.lists import late_award
from callout.game.figures.timeouts import timeouts_left
from callout.game.state import Game
from callout.game.terms import FoulKind, Offender
from callout.table.talk import question_kinds as kinds
from callout.table.talk.discrepancy import COMPARING, differing
from callout.table.talk.questions import QUIET, Heard, Question, until_ms


def follow_up(heard: Heard, decisions: Decisions) -> Question | None:
    """The question about a technical foul for what was called, or about what may explain that
    another book differs; the decisions are those before it was booked.
    """
    game = decisions.game
    if isinstance(heard.call, COMPARING) and heard.source not in QUIET:
        return differing(heard, decisions)
    foul = None if heard.source in QUIET else _technical(heard.call, game, heard.at.left_tenths)
    if foul is None:
        return None
    charged = replace(heard, call=foul, doubt=None)
    return Question(
        kinds.TECHNICAL, until_ms(heard), charged, None, {"team": foul.team, "on": foul.on}
    )


def _technical(call: Call, game: Game, left_tenths: int) -> Foul | None:
    """The technical foul that the rules foresee for a call, if any."""
    match call:
        case calls.AddPlayer(team=team):
            due, on = late_award(game, team) is not None, Offender.TEAM
        case calls.Timeout(team=team):
            spent = timeouts_left(game, team, left_tenths) <= 0
            due, on = spent and game.profile.timeouts.excess_technical, Offender.TEAM
        case calls.ChangeShirt(team=team):
            due, on = late_award(game, team) is not None, Offender.TEAM
        case calls.TooManyOn(team=team):
            due, on = True, game.profile.fouls.too_many_on
        case calls.DelayWarning(team=team):
            due, on = team in game.delays, game.profile.fouls.too_many_on
        case _:
            return None
    return Foul(team, foul=FoulKind.TECHNICAL, on=on) if due else None
