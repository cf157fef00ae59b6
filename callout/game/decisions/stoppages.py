"""Decisions on time-outs and substitutions."""

from __future__ import annotations

from callout.game.calls import (
    OfficialTimeout,
    SubOf,
    SubsIn,
    Substitution,
    SubWaiting,
    SubWithdrawn,
    Timeout,
    TimeoutOver,
    TimeoutWaiting,
    TimeoutWithdrawn,
)
from callout.game.decisions import refusals
from callout.game.decisions.base import Decision, Refusal, left_in, next_item, standing
from callout.game.events import (
    Event,
    SubLeft,
    SubReported,
    SubsEntered,
    Substituted,
    TimeoutAsked,
    TimeoutEnded,
    TimeoutGranted,
    TimeoutUnasked,
)
from callout.game.figures.timeouts import lending_period, timeouts_of_kind
from callout.game.state import At, Game, Phase
from callout.game.terms import Team


def timeout(game: Game, call: Timeout, at: At) -> Decision:
    """A time-out begins; it is booked even if the team has none left."""
    return _grant(game, call.team, _kind(game, call.team, call.length), at)


def official(game: Game, call: OfficialTimeout, at: At) -> Decision:
    """The officials' own time-out begins."""
    return _grant(game, None, "", at)


def _grant(game: Game, team: Team | None, kind: str, at: At) -> Decision:
    if game.phase is Phase.OVER:
        return Refusal(refusals.GAME_OVER)
    # A time-out called during another one ends the first: nobody called its end.
    over: tuple[Event, ...] = (TimeoutEnded(),) if game.phase is Phase.TIMEOUT else ()
    period = lending_period(game)
    # One before an overtime counts to the period that has ended.
    left = left_in(game, period, at) if period >= game.period else 0
    granted = TimeoutGranted(next_item(game), team, kind, period, left, at.wall_ms)
    return (*over, *standing(game, at), granted)


def _kind(game: Game, team: Team, wanted: str | None) -> str:
    """The kind that is charged: the one asked for, if any of it is left, else another one.

    Source: NFHS case 5.12.1B for a kind of which none is left.
    """
    kinds = list(game.profile.timeouts.kinds)
    if wanted in kinds:
        kinds = [wanted, *(kind for kind in kinds if kind != wanted)]
    return next((kind for kind in kinds if timeouts_of_kind(game, team, kind) > 0), kinds[0])


def timeout_over(game: Game, call: TimeoutOver, at: At) -> Decision:
    """The time-out has ended."""
    return (TimeoutEnded(),) if game.phase is Phase.TIMEOUT else Refusal(refusals.NO_TIMEOUT)


def timeout_waiting(game: Game, call: TimeoutWaiting, at: At) -> Decision:
    """A request for a time-out is kept until the next opportunity."""
    if game.phase is Phase.OVER:
        return Refusal(refusals.GAME_OVER)
    if call.team in game.timeouts_asked:
        return Refusal(refusals.ALREADY_ASKED, slots={"team": call.team})
    return (TimeoutAsked(call.team),)


def timeout_withdrawn(game: Game, call: TimeoutWithdrawn, at: At) -> Decision:
    """A request for a time-out is withdrawn."""
    if call.team not in game.timeouts_asked:
        return Refusal(refusals.NO_TIMEOUT_WAITING, slots={"team": call.team})
    return (TimeoutUnasked(call.team),)


def sub_waiting(game: Game, call: SubWaiting, at: At) -> Decision:
    """A substitute waits for the next opportunity."""
    return Refusal(refusals.GAME_OVER) if game.phase is Phase.OVER else (SubReported(call.team),)


def sub_withdrawn(game: Game, call: SubWithdrawn, at: At) -> Decision:
    """A team's substitute no longer waits."""
    if not {call.team, None} & set(game.subs_waiting):
        return Refusal(refusals.NO_SUB_WAITING, slots={"team": call.team})
    return (SubLeft(call.team),)


def subs_in(game: Game, call: SubsIn, at: At) -> Decision:
    """The substitutes who waited have entered."""
    nobody = Refusal(refusals.NO_SUB_WAITING, slots={"team": None})
    return (SubsEntered(),) if game.subs_waiting else nobody


def substitution(game: Game, call: Substitution, at: At) -> Decision:
    """One player goes in for another."""
    if call.entering == call.leaving:
        return Refusal(refusals.SAME_PLAYER, slots={"team": call.team, "number": call.entering})
    return (Substituted(call.team, call.entering, call.leaving),)


def substitution_of(game: Game, call: SubOf, at: At) -> Decision:
    """One player goes in for another: of the one team for which that can be."""
    pair = {call.entering, call.leaving}
    teams = [team for team in Team if pair <= {*game.side(team).numbers}]
    if len(teams) > 1:
        # Both teams have these numbers: whose line-up does it fit?
        courts = {team: dict(game.on_court).get(team, game.side(team).starters) for team in teams}
        teams = [t for t in teams if call.leaving in courts[t] and call.entering not in courts[t]]
    if len(teams) != 1:
        return Refusal(refusals.TEAM_NEEDED)
    return substitution(game, Substitution(teams[0], call.entering, call.leaving), at)
