"""What a call means for the book: `(game, call, at)` gives events or a refusal.

The engine has two halves, and every change of a game goes through both.

`decide` knows the rules. It looks at the game as it is when the call is made, and says in events
everything that follows: the foul, the period it counts in, the throws that it brings. `apply`
(`apply.py`) knows no rule that could fail: it changes the game by one event. So a game is the fold
of its events (`fold.py`). An undo folds the book once more without one entry; the later entries
keep the events that were decided at their time.

From this follows what both must be:

- Pure: neither changes the game that it is given, nor reads a clock or a file.
- Total: every call gets a decision in every state, and every event can be applied to every game,
  even if the line that it refers to has been taken back.
- Complete: an event carries all that `apply` needs, so that the result does not depend on what
  `decide` would say later.

The book follows the official. A call is refused only if it cannot be true or would change nothing.
A call that breaks a rule is booked, and `notices` says which rule.

`RULES` is the one table from calls to their functions, which stand in `decisions`, a module for
each part of the game.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any, Final, Protocol, TypeAlias

from callout.game import calls
from callout.game.calls import TALK, Call
from callout.game.decisions import (
    clock,
    closing,
    corrections,
    fouls,
    incidents,
    possession,
    pregame,
    refusals,
    score,
    stoppages,
)
from callout.game.decisions.base import Decision, Refusal
from callout.game.state import At, Game
from callout.game.suspect import Suspect

__all__ = ["Decision", "Decisions", "Refusal", "decide"]

RULES: Final[Mapping[type[Call], Callable[[Game, Any, At], Decision]]] = {
    calls.Score: score.goal,
    calls.Shot: score.throw,
    calls.NoBasket: score.no_basket,
    calls.CountIt: score.count_it,
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
    calls.SubOf: stoppages.substitution_of,
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
    calls.Correct: corrections.correct,
    calls.Undo: corrections.undo,
    calls.PutBack: corrections.put_back,
    calls.Mark: corrections.mark,
    calls.AddPlayer: corrections.add_player,
    calls.Starter: corrections.starter,
    calls.SetTip: pregame.set_tip,
    calls.TipIn: pregame.tip_in,
    calls.CheckDone: pregame.done,
    calls.CheckSkip: pregame.skip,
    calls.CheckSeen: pregame.seen,
    calls.BeforeDue: pregame.before_due,
    calls.DropStarter: pregame.drop_starter,
    calls.ConfirmStarters: pregame.confirm_starters,
    calls.ChangeShirt: incidents.change_shirt,
    calls.SendOff: incidents.send_off,
    calls.Hurt: incidents.hurt,
    calls.LaneViolation: incidents.lane_violation,
    calls.Forfeit: incidents.forfeit,
    calls.Suspend: incidents.suspend,
    calls.DelayWarning: incidents.delay_warning,
    calls.TooManyOn: incidents.too_many_on,
    calls.CheckScore: incidents.check_score,
    calls.CompareBook: incidents.compare_book,
    calls.HandOver: incidents.hand_over,
    calls.Approve: closing.approve,
    calls.Signed: closing.signed,
}


def decide(game: Game, call: Call, at: At) -> Decision:
    """The events that the call brings, or the refusal of it."""
    if isinstance(call, TALK):
        return Refusal(refusals.NOT_FOR_THE_BOOK)
    if game.approval and not isinstance(call, calls.Signed):
        return Refusal(refusals.APPROVED).by_rules(game.profile)
    decision = RULES[type(call)](game, call, at)
    if isinstance(decision, Refusal):
        return decision.by_rules(game.profile)
    return corrections.too_low(game, decision) or decision


class Past(Protocol):
    """The entries of a game, where one of them may be put right (`put_right.py`)."""

    def fitting(self, call: calls.PutRight) -> tuple[calls.Correct, ...]:
        """The corrections that a description may mean, of the newest line first."""

    def corrected(self, call: calls.Correct, at: At) -> Decision:
        """The decision on a correction."""

    def put_back(self, call: calls.PutBack, at: At) -> Decision:
        """The decision on an entry that shall count again."""


Explained: TypeAlias = Callable[[Call, At], tuple[Suspect, ...]]
"""What could explain that another book has another figure, as a call says, the likeliest first."""


class Decisions:
    """The decisions on the calls made in one state of the game, each of them made once.

    A call is decided before it is booked: a reading that would be refused is less likely, and a
    call that would be refused is not asked about. To book it takes the same decision again.
    Only those of one moment are kept, since every sound and every key has a moment of its own.
    """

    def __init__(
        self, game: Game, past: Past | None = None, explained: Explained = lambda call, at: ()
    ) -> None:
        self.game = game
        self.explained = explained
        self._past = past
        self._at: At | None = None
        self._made: dict[Call, Decision] = {}

    def on(self, call: Call, at: At) -> Decision:
        """The decision on a call made at that moment."""
        if at != self._at:
            self._at, self._made = at, {}
        if call not in self._made:
            self._made[call] = self._decided(call, at)
        return self._made[call]

    def _decided(self, call: Call, at: At) -> Decision:
        past, profile = self._past, self.game.profile
        if past and isinstance(call, calls.Correct) and not self.game.approval:
            decision = past.corrected(call, at)
        elif past and isinstance(call, calls.PutBack):
            decision = past.put_back(call, at)
        elif past and isinstance(call, calls.Signed) and isinstance(call.call, calls.Correct):
            decision = closing.with_signature(self.game, call, past.corrected(call.call, at))
        else:
            return decide(self.game, call, at)
        return decision.by_rules(profile) if isinstance(decision, Refusal) else decision

    def fitting(self, call: calls.PutRight) -> tuple[calls.Correct, ...]:
        """The corrections that a description may mean, of the newest line first."""
        return self._past.fitting(call) if self._past else ()

    def refuses(self, call: Call, at: At) -> bool:
        """Whether the call would be refused; what is for the table itself never is.

        A description that fits no line of the book would be, too.
        """
        if isinstance(call, calls.PutRight):
            return not self.fitting(call)
        return not isinstance(call, TALK) and isinstance(self.on(call, at), Refusal)
