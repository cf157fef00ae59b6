"""Decisions on field goals, free throws, and a score set by the officials."""

from __future__ import annotations

from callout.game.calls import CountIt, NoBasket, Score, SetScore, Shot
from callout.game.choices import Credit, Opening
from callout.game.decisions import refusals
from callout.game.decisions.base import (
    Decision,
    Refusal,
    known,
    left_in,
    next_item,
    unknown,
)
from callout.game.events import (
    ArrowSet,
    BasketCancelled,
    Event,
    FreeThrow,
    Scored,
    ScoreSet,
    TakenBack,
)
from callout.game.figures.opening import TOSS_TENTHS
from callout.game.figures.score import (
    find,
    is_level,
    newest_field_goal,
    owed_to,
    periods_to_come,
    score,
)
from callout.game.state import At, Game, Owed, Phase
from callout.game.terms import Team


def goal(game: Game, call: Score, at: At) -> Decision:
    """A goal is booked; the number stays open unless one on the team's list was said."""
    goals = game.profile.goals
    # One point is a free throw; where field goals count one as well, only if throws are owed.
    is_throw = call.points == goals.throw and not call.own_basket
    if is_throw and (call.points not in goals.field or owed_to(game, call.team)):
        return throw(game, Shot(True, call.team, call.number), at)
    if call.points not in goals.field:
        return Refusal(refusals.POINTS_IMPOSSIBLE, slots={"points": call.points})
    number = None if call.own_basket and goals.own_basket is Credit.TEAM else call.number
    return (
        Scored(
            next_item(game),
            call.team,
            call.points,
            known(game, call.team, number),
            max(1, game.period),
            at.left_tenths,
            call.own_basket,
            unknown(game, call.team, number),
        ),
    )


def throw(game: Game, call: Shot, at: At) -> Decision:
    """A free throw is booked for the team that was named, else for the one that is to throw."""
    team = call.team or next((owed.team for owed in game.owed), game.again)
    if team is None:
        return Refusal(refusals.TEAM_NEEDED)
    arrow = _first_arrow(game, team, at)
    return (_throw(game, team, call.number, call.made, at), *arrow)


def _first_arrow(game: Game, team: Team, at: At) -> tuple[Event, ...]:
    """The arrow is set by free throws right after the toss, since they give first control.

    Source: FIBA interpretations 12-7 and 12-8, NFHS 4.3.2.
    """
    if not game.profile.arrow.used or game.arrow or game.phase is not Phase.STOPPED:
        return ()
    jump = game.profile.opening(game.period) is Opening.JUMP
    played = game.profile.length_tenths(game.period) - at.left_tenths
    return (ArrowSet(team.other),) if jump and played <= TOSS_TENTHS else ()


def _throw(game: Game, team: Team, said: str | None, made: bool, at: At) -> FreeThrow:
    owed = owed_to(game, team)
    shooter = said or (owed.shooter if owed else None)
    period = _period_of(game, owed)
    return FreeThrow(
        next_item(game),
        team,
        made,
        known(game, team, shooter),
        period,
        0 if period < game.period else left_in(game, period, at),
        unknown(game, team, shooter),
        assumed=said is None and shooter is not None,
    )


def _period_of(game: Game, owed: Owed | None) -> int:
    """The period in which a throw counts: that of its foul.

    A throw for a foul made in an interval counts in the period to come, and one for a foul at the
    horn in the period that has ended. Where no period comes, because a team leads at the end of the
    last one, it counts in that; all throws for one foul count in the same.
    Source: FIBA 41.1.3, interpretation 8-2; NFHS 5-6-2, from memory.
    """
    foul = find(game, owed.foul) if owed else None
    if owed is None or foul is None or foul.period <= game.period or periods_to_come(game):
        return max(1, foul.period if foul else game.period)
    thrown = (g for g in game.goals if g.free_throw and g.team is owed.team and g.item > foul.item)
    if owed.taken and (before := next(thrown, None)):
        return before.period
    return foul.period if is_level(game) else game.period


def no_basket(game: Game, call: NoBasket, at: At) -> Decision:
    """The newest basket is cancelled; an older one than this ball's is asked about before."""
    last = newest_field_goal(game)
    return (BasketCancelled(last.item),) if last else Refusal(refusals.NO_BASKET_TO_TAKE_OFF)


def set_score(game: Game, call: SetScore, at: At) -> Decision:
    """A team's score is set to what the officials say."""
    if score(game, call.team) == call.points:
        return Refusal(refusals.SCORE_IS_THAT, slots={"team": call.team, "points": call.points})
    return (ScoreSet(next_item(game), call.team, call.points, max(1, game.period)),)


def count_it(game: Game, call: CountIt, at: At) -> Decision:
    """A basket that was taken off counts again, if nothing was booked since."""
    last = next((line for line in reversed(game.lines) if line.undoable), None)
    if last is None or last.call != "no_basket":
        return Refusal(refusals.NO_BASKET_TAKEN_OFF)
    return (TakenBack(last.entry),)
