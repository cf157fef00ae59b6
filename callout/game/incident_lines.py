"""The part of `apply` for what happens seldom; each function is a row of its table."""

from __future__ import annotations

from dataclasses import replace

from callout.game import events
from callout.game.book_lines import below_zero, change, misfit, owed_again
from callout.game.figures.score import find, needs_number, owed_to
from callout.game.state import Change, Charge, Forfeited, Game, Goal, Injury, Phase, Side, SubLine
from callout.game.terms import Award, Team


def shirt_changed(game: Game, event: events.ShirtChanged) -> Game:
    """Every place in the game that names the old number of that player names the new one."""
    team, old, new = event.team, event.number, event.new

    def worn(number: str | None) -> str | None:
        return new if number == old else number

    # Lines called for the new shirt, before anybody knew whose it was, are this player's, too.
    lines: list[Goal | Charge] = [*game.goals, *game.charges]
    for line in lines:
        if line.team is team and (line.number == old or _called(line, old, new)):
            game = change(game, line.item, number=new, said=None)
    game = game.with_side(team, _renumbered(game.side(team), old, new))
    court = tuple(
        (side, tuple(worn(n) or n for n in numbers) if side is team else numbers)
        for side, numbers in game.on_court
    )
    changes = tuple(
        Change(team, worn(c.entering) or new, worn(c.leaving) or new) if c.team is team else c
        for c in game.changes
    )
    moves = tuple(
        replace(m, entering=worn(m.entering) or new, leaving=worn(m.leaving) or new)
        if isinstance(m, SubLine) and m.team is team
        else m
        for m in game.moves
    )
    game = replace(game, moves=moves)
    owed, thrown = (
        tuple(replace(o, shooter=worn(o.shooter)) if o.team is team else o for o in each)
        for each in (game.owed, game.thrown)
    )
    off = tuple((t, worn(n) if t is team else n) for t, n in game.sent_off)
    hurt = tuple(
        replace(each, number=new) if (each.team, each.number) == (team, old) else each
        for each in game.hurt
    )
    return replace(
        game, on_court=court, changes=changes, owed=owed, thrown=thrown, sent_off=off, hurt=hurt
    )


def _called(line: Goal | Charge, old: str, new: str) -> bool:
    return needs_number(line) and line.said in (old, new)


def _renumbered(side: Side, old: str, new: str) -> Side:
    """The list with the new number in the place of the old one, or behind the others."""
    numbers = tuple(new if n == old else n for n in side.numbers)
    if side.numbers and new not in numbers:
        numbers = (*numbers, new)
    starters = tuple(new if n == old else n for n in side.starters)
    first = dict(side.first_worn)
    worn = {**first, new: first.pop(old, old)}
    worn.pop(old, None)
    coach = new if side.coach == old else side.coach
    pairs = tuple(worn.items())
    return replace(side, numbers=numbers, starters=starters, coach=coach, first_worn=pairs)


def sent_off(game: Game, event: events.SentOff) -> Game:
    """A player or the coach is out."""
    return replace(game, sent_off=(*game.sent_off, (event.team, event.number)))


def player_hurt(game: Game, event: events.PlayerHurt) -> Game:
    """A player has to be replaced."""
    injury = Injury(event.team, event.number, event.bleeds, game.entry)
    return replace(game, hurt=(*game.hurt, injury))


def throw_voided(game: Game, event: events.ThrowVoided) -> Game:
    """A free throw is not counted; one to be thrown again leaves the book, and is owed again."""
    line = find(game, event.item)
    if not isinstance(line, Goal) or not line.free_throw or below_zero(game, event):
        return misfit(game)
    game = replace(game, ball_dead=True)
    if not event.again:
        return _without_second(change(game, event.item, made=False), line.team)
    return replace(owed_again(game, line), goals=tuple(g for g in game.goals if g is not line))


def _without_second(game: Game, team: Team) -> Game:
    """A one-and-one has no second throw if the first does not count.

    Source: NFHS 4-8-1, to 2022-23: the second is for a first that was made.
    """
    owed = owed_to(game, team)
    if owed is None or owed.award is not Award.ONE_AND_ONE or owed.taken != 1:
        return game
    rest = tuple(each for each in game.owed if each is not owed)
    return replace(game, owed=rest, thrown=(*game.thrown, owed))


def game_forfeited(game: Game, event: events.GameForfeited) -> Game:
    """The game is over, and who has lost it is known."""
    return replace(
        game,
        phase=Phase.OVER,
        owed=(),
        timeouts_asked=(),
        subs_waiting=(),
        forfeit=Forfeited(event.team, event.default),
    )


def game_suspended(game: Game, event: events.GameSuspended) -> Game:
    """The moment is kept."""
    moment = (event.period, event.left_tenths, event.wall_ms)
    return replace(game, suspended=(*game.suspended, moment), ball_dead=True)


def delay_warned(game: Game, event: events.DelayWarned) -> Game:
    """The warning is kept."""
    return replace(game, delays=(*game.delays, event.team))


def unchanged(game: Game, event: events.TooManySeen | events.ScoreChecked) -> Game:
    """What is only noted changes nothing that is counted."""
    return game
