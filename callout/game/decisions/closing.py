"""Decisions on the approval of the score, and on corrections of the closed book."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any, Final

from callout.game import calls
from callout.game.called import Call
from callout.game.closing import Approve, Signed
from callout.game.decisions import corrections, refusals, score
from callout.game.decisions.base import Decision, Refusal
from callout.game.events import CorrectionSigned, ScoreApproved
from callout.game.figures.score import both_scores, open_lines
from callout.game.state import At, Game, Phase

SIGNABLE: Final[Mapping[type[Call], Callable[[Game, Any, At], Decision]]] = {
    calls.Correct: corrections.correct,
    calls.Number: corrections.number,
    calls.SetScore: score.set_score,
}
"""The calls that a signed correction may hold, with their functions."""


def approve(game: Game, call: Approve, at: At) -> Decision:
    """The officials approve the score of a game that is over; numbers may still be open."""
    if game.phase is not Phase.OVER:
        return Refusal(refusals.NOT_OVER)
    home, guest = both_scores(game)
    return (ScoreApproved(home, guest, len(open_lines(game)), call.by.strip()),)


def signed(game: Game, call: Signed, at: At) -> Decision:
    """What a signed correction brings, where its line need not be looked up in the past."""
    inner = SIGNABLE.get(type(call.call))
    return with_signature(game, call, inner(game, call.call, at) if inner else ())


def with_signature(game: Game, call: Signed, decision: Decision) -> Decision:
    """The decision on the call within, as a signed correction."""
    if game.approval is None:
        return Refusal(refusals.NOT_APPROVED)
    if not call.by.strip() or not call.reason.strip():
        return Refusal(refusals.SIGNATURE_NEEDED)
    if type(call.call) not in SIGNABLE:
        return Refusal(refusals.NOT_SIGNABLE)
    if isinstance(decision, Refusal):
        return decision
    return (CorrectionSigned(call.by.strip(), call.reason.strip()), *decision)
