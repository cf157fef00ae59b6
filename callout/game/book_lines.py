"""The part of `apply` that changes lines of the book: goals, fouls, and throws that are owed.

Each function is a row of the table in `apply`, and like all of them pure and total. An event about
a line that is no longer in the book changes nothing except `misfits`.
"""

from __future__ import annotations

from dataclasses import replace
from typing import Any, TypeAlias

from callout.game import events
from callout.game.figures.fouls import award_begun, ends_throw_in, missed_into_play, rule_of
from callout.game.figures.score import find, owed_to, score
from callout.game.state import Adjustment, Charge, Game, Goal, Owed, Phase, TimeoutLine
from callout.game.terms import Award, Team

Lowering: TypeAlias = (
    events.BasketCancelled | events.TeamChanged | events.PointsChanged | events.ThrowVoided
)
"""The events that can take points from a team."""


def scored(game: Game, event: events.Scored) -> Game:
    """A field goal counts."""
    line = Goal(
        event.item,
        event.team,
        event.points,
        event.number,
        event.period,
        event.left_tenths,
        own_basket=event.own_basket,
        said=event.said,
    )
    # A goal makes the ball dead without a whistle, and only until the throw-in. If an earlier goal
    # had made it dead, play went on in between without a call, and this goal is the fresh one.
    quiet = game.phase is Phase.RUNNING and not game.ball_dead
    fresh = event.item if quiet or game.fresh_goal is not None else None
    return replace(game, goals=(*game.goals, line), fresh_goal=fresh)


def free_throw(game: Game, event: events.FreeThrow) -> Game:
    """A free throw was taken; a missed last one may leave the ball in play."""
    points = game.profile.goals.throw
    line = Goal(
        event.item,
        event.team,
        points,
        event.number,
        event.period,
        event.left_tenths,
        free_throw=True,
        made=event.made,
        said=event.said,
    )
    after = _taken(game, line)
    live = not event.made and missed_into_play(game, event.team, after.owed)
    return replace(
        after,
        goals=(*game.goals, line),
        assumed=(event.item, game.entry) if event.assumed else game.assumed,
        again=None if game.again is event.team else game.again,
        fresh_goal=None,
        ball_dead=game.ball_dead and not live,
    )


def _taken(game: Game, line: Goal) -> Game:
    """What is owed once this throw is taken; a missed first throw ends a one-and-one."""
    mine = owed_to(game, line.team)
    if mine is None:
        return game
    lost = mine.award is Award.ONE_AND_ONE and not line.made
    after = replace(
        mine,
        taken=mine.award.throws if lost else mine.taken + 1,
        shooter=line.number or line.said or mine.shooter,
    )
    if after.left > 0:
        return replace(game, owed=tuple(after if each is mine else each for each in game.owed))
    rest = tuple(each for each in game.owed if each is not mine)
    return replace(game, owed=rest, thrown=(*game.thrown, after))


def _not_taken(game: Game, line: Goal) -> Game:
    """What is owed if this throw was none of that team's; one beyond the awards changes nothing."""
    begun = [each for each in (*game.owed, *game.thrown) if each.team is line.team and each.taken]
    since = min((each.foul for each in begun), default=0)
    thrown = [g for g in game.goals if g.free_throw and g.team is line.team and g.item > since]
    beyond = len(thrown) > sum(each.taken for each in begun)
    if beyond or not begun:
        return game
    game = owed_again(game, line)
    first, *rest = game.owed
    # Who throws was said with this throw alone.
    return game if first.taken else replace(game, owed=(replace(first, shooter=None), *rest))


def owed_again(game: Game, line: Goal) -> Game:
    """The award of a throw with one throw more to come; a one-and-one that it ended is open."""
    mine = award_begun(game, line.team)
    if mine is None:
        return replace(game, again=line.team)
    others = sum(
        g.free_throw and g.team is line.team and g.item > mine.foul and g is not line
        for g in game.goals
    )
    again = replace(mine, taken=min(mine.taken - 1, others))
    rest = tuple(each for each in game.owed if each is not mine)
    thrown = tuple(each for each in game.thrown if each is not mine)
    return replace(game, owed=(again, *rest), thrown=thrown)


def score_set(game: Game, event: events.ScoreSet) -> Game:
    """The difference between the book and the officials' score becomes a line of its own."""
    difference = event.points - score(game, event.team)
    line = Adjustment(event.item, event.team, difference, event.period)
    return replace(game, adjustments=(*game.adjustments, line))


def below_zero(game: Game, event: Lowering) -> Team | None:
    """The team whose score the event would make negative, or None.

    That is possible after the officials set a score lower than its goals add up to.
    """
    line = find(game, event.item)
    if not isinstance(line, Goal):
        return None
    stays = event.points if isinstance(event, events.PointsChanged) and line.made else 0
    return line.team if line.counts - stays > score(game, line.team) else None


def basket_cancelled(game: Game, event: events.BasketCancelled) -> Game:
    """The goal is no longer in the book."""
    if below_zero(game, event):
        return misfit(game)
    rest = tuple(goal for goal in game.goals if goal.item != event.item)
    if len(rest) == len(game.goals):
        return misfit(game)
    return replace(game, goals=rest, fresh_goal=None)


def foul_charged(game: Game, event: events.FoulCharged) -> Game:
    """A foul is charged."""
    line = Charge(
        event.item,
        event.team,
        event.number,
        event.foul,
        event.on,
        event.period,
        event.left_tenths,
        event.double,
        event.said,
        fight=event.fight,
    )
    # A foul during a throw-in by the arrow ends it without turning the arrow, if play goes on in
    # another way. In an interval there is no throw-in yet, so nothing is lost.
    throw_in = game.throw_in
    if throw_in and ends_throw_in(game, line):
        line, throw_in = replace(line, ended=throw_in), None
    return replace(game, charges=(*game.charges, line), throw_in=throw_in, fresh_goal=None)


def throws_awarded(game: Game, event: events.ThrowsAwarded) -> Game:
    """Throws are owed for a foul; an earlier award for the same foul is replaced."""
    if find(game, event.item) is None:
        return misfit(game)
    game = change(game, event.item, award=event.award, cancelled=False)
    old = [*game.owed, *game.thrown]
    before = next((owed for owed in old if owed.foul == event.item), None)
    rest = tuple(owed for owed in game.owed if owed.foul != event.item)
    # The official may correct an award after the first throw: what was taken still counts.
    taken = before.taken if before else 0
    owed = Owed(event.item, event.team, event.award, taken, before.shooter if before else None)
    thrown = tuple(done for done in game.thrown if done.foul != event.item)
    over = owed.left <= 0 or (event.award is Award.ONE_AND_ONE and _first_missed(game, owed))
    if over:
        done = (owed,) if owed.taken and event.award is not Award.NONE else ()
        return replace(game, owed=rest, thrown=(*thrown, *done))
    game = replace(game, thrown=thrown)
    charge = find(game, event.item)
    # Some kinds of foul have their throws taken before all others, but never between two throws
    # of an award that has begun.
    first = isinstance(charge, Charge) and rule_of(game, charge).first
    begun = tuple(each for each in rest if each.taken) if first else rest
    return replace(game, owed=(*begun, owed, *(each for each in rest if each not in begun)))


def _first_missed(game: Game, owed: Owed) -> bool:
    """Whether the first throw for a foul was taken and missed."""
    throws = [g for g in game.goals if g.free_throw and g.team is owed.team and g.item > owed.foul]
    return owed.taken > 0 and bool(throws) and not throws[0].made


def penalties_cancelled(game: Game, event: events.PenaltiesCancelled) -> Game:
    """Neither of the two fouls brings throws, and a throw-in by the arrow is still to come.

    Source: FIBA 42, from memory: play goes on as it would have before the first of them.
    """
    both = (event.item, event.by)
    rest = tuple(owed for owed in game.owed if owed.foul not in both)
    charges = tuple(replace(c, cancelled=True) if c.item in both else c for c in game.charges)
    ended = next((c.ended for c in charges if c.item in both and c.ended), None)
    return replace(game, owed=rest, charges=charges, throw_in=game.throw_in or ended)


def throws_dropped(game: Game, event: events.ThrowsDropped) -> Game:
    """No throws are expected any more."""
    return replace(game, owed=())


def number_given(game: Game, event: events.NumberGiven) -> Game:
    """A line gets its player's number."""
    last = game.goals[-1] if game.goals else None
    if last and last.free_throw and last.item == event.item:
        # The player who took this throw also takes the rest of the award.
        mine = owed_to(game, last.team)
        owed = (replace(o, shooter=event.number) if o is mine and o.taken else o for o in game.owed)
        game = replace(game, owed=tuple(owed))
    if game.assumed and game.assumed[0] == event.item:
        game = replace(game, assumed=None)
    number, said = (event.number, None) if event.listed else (None, event.number)
    return change(game, event.item, number=number, said=said)


def team_changed(game: Game, event: events.TeamChanged) -> Game:
    """A line moves to the other team, and the throws for a foul change sides with it.

    A free throw was taken for an award of that team then.
    """
    if below_zero(game, event):
        return misfit(game)
    line = find(game, event.item)
    if isinstance(line, TimeoutLine):
        return change(game, event.item, team=event.team)
    owed = tuple(
        replace(each, team=event.team.other) if each.foul == event.item else each
        for each in game.owed
    )
    game = replace(game, owed=owed)
    if isinstance(line, Goal) and line.free_throw and line.team is not event.team:
        game = _taken(_not_taken(game, line), replace(line, team=event.team, number=event.number))
    # If the other team has no such player, the number that was called is kept as unlisted.
    seen = (line.number or line.said) if isinstance(line, Goal | Charge) else None
    said = seen if event.number is None else None
    game = number_assumed(game, event.item)
    return change(game, event.item, team=event.team, number=event.number, said=said)


def number_assumed(game: Game, item: int) -> Game:
    """The number of a line that goes to the other team is assumed from now on.

    It was called as a number of the team before: who wore it for this one nobody has said.
    """
    line = find(game, item)
    seen = isinstance(line, Goal | Charge) and (line.number or line.said)
    return replace(game, assumed=(item, game.entry)) if seen else game


def points_changed(game: Game, event: events.PointsChanged) -> Game:
    """A goal's points are corrected; a value that no field goal has makes it a free throw."""
    if below_zero(game, event):
        return misfit(game)
    is_throw = event.points not in game.profile.goals.field
    line = find(game, event.item)
    if isinstance(line, Goal) and line.free_throw is not is_throw:
        game = _taken(game, line) if is_throw else _not_taken(game, line)
    return change(game, event.item, points=event.points, free_throw=is_throw)


def change(game: Game, item: int, **values: Any) -> Game:
    """The game with some fields of one line changed."""
    if find(game, item) is None:
        return misfit(game)
    return replace(
        game,
        goals=tuple(replace(g, **values) if g.item == item else g for g in game.goals),
        charges=tuple(replace(c, **values) if c.item == item else c for c in game.charges),
        timeouts=tuple(replace(t, **values) if t.item == item else t for t in game.timeouts),
    )


def misfit(game: Game) -> Game:
    """The game, with the present entry noted as one whose line is no longer there."""
    return replace(game, misfits=(*game.misfits, game.entry))
