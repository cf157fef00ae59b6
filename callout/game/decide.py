"""What a call means for the book: `(game, call, at)` gives events or a refusal.

Pure and total: the game that comes in is never changed, and every call gets an answer in every
state. The book follows the official: a call is refused only if it cannot be true or would change
nothing. What the rules say should not happen is booked, and `notices` says so.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from typing import Any, Final

from callout.game import book_lines as lines
from callout.game import calls
from callout.game.calls import TALK, Call
from callout.game.decisions import clock, corrections, fouls, possession, refusals, score, stoppages
from callout.game.decisions.base import Decision, Refusal
from callout.game.events import Event
from callout.game.state import At, Game

__all__ = ["Decision", "Refusal", "decide"]

RULES: Final[Mapping[type[Call], Callable[[Game, Any, At], Decision]]] = {
    calls.Score: score.goal,
    calls.Shot: score.throw,
    calls.NoBasket: score.no_basket,
    calls.SetScore: score.set_score,
    calls.Foul: fouls.foul,
    calls.DoubleFoul: fouls.double_foul,
    calls.SetAward: fouls.set_award,
    calls.StartClock: clock.start,
    calls.StopClock: clock.stop,
    calls.DeadBall: clock.dead_ball,
    calls.SetClock: clock.put_to,
    calls.AdjustClock: clock.adjust,
    calls.CheckClock: clock.check,
    calls.StartPeriod: clock.start_period,
    calls.EndPeriod: clock.end_period,
    calls.EndGame: clock.end_game,
    calls.ClockExpired: clock.expired,
    calls.Reminder: clock.reminder,
    calls.Timeout: stoppages.timeout,
    calls.OfficialTimeout: stoppages.official,
    calls.TimeoutOver: stoppages.timeout_over,
    calls.TimeoutWaiting: stoppages.timeout_waiting,
    calls.TimeoutWithdrawn: stoppages.timeout_withdrawn,
    calls.SubWaiting: stoppages.sub_waiting,
    calls.SubWithdrawn: stoppages.sub_withdrawn,
    calls.SubsIn: stoppages.subs_in,
    calls.Substitution: stoppages.substitution,
    calls.Tip: possession.tip,
    calls.HeldBall: possession.held_ball,
    calls.SwitchArrow: possession.switch,
    calls.ThrowInViolation: possession.violation,
    calls.SetArrow: possession.set_to,
    calls.Number: corrections.number,
    calls.MakeNumber: corrections.make_number,
    calls.LastNumber: corrections.last_number,
    calls.MakeTeam: corrections.make_team,
    calls.LastTeam: corrections.last_team,
    calls.MakePoints: corrections.make_points,
    calls.Undo: corrections.undo,
    calls.PutBack: corrections.put_back,
    calls.Mark: corrections.mark,
    calls.AddPlayer: corrections.add_player,
    calls.Starter: corrections.starter,
}


def decide(game: Game, call: Call, at: At) -> Decision:
    """The events that the call brings, or the refusal of it."""
    if isinstance(call, TALK):
        return Refusal(refusals.NOT_FOR_THE_BOOK)
    decision = RULES[type(call)](game, call, at)
    if isinstance(decision, Refusal):
        return decision.by_rules(game.profile)
    return _too_low(game, decision) or decision


def _too_low(game: Game, found: Iterable[Event]) -> Refusal | None:
    """A correction that would leave a team with fewer points than none cannot be true."""
    lower = (each for each in found if isinstance(each, lines.Lowering))
    team = next(filter(None, (lines.below_zero(game, each) for each in lower)), None)
    return Refusal(refusals.SCORE_TOO_LOW, slots={"team": team}) if team else None
