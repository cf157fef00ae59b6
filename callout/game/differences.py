"""What could explain that another book has another figure: each line that may be wrong, and what
puts it right. Pure.

At first it is assumed that one thing alone is wrong: with it put right, our figure must be the
other one. Where nothing alone explains it, two things together may (`changes`). How likely each is,
is weighed elsewhere (`table/talk/suspicion.py`).
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import replace
from typing import Final, TypeVar

from callout.game import events
from callout.game.apply import apply
from callout.game.calls import Call, CheckScore, CompareBook, Correct, Foul, PutBack, Score, Shot
from callout.game.figures.compared import Compared, booked
from callout.game.figures.score import all_lines, entry_of, find
from callout.game.fold import Entry
from callout.game.put_right import Line
from callout.game.state import At, Charge, Game, Goal, TimeoutLine
from callout.game.suspect import Cause, Suspect
from callout.game.terms import Award, Figure, FoulKind, Offender

GOALS: Final = (Figure.SCORE, Figure.POINTS)
FOULS: Final = (Figure.FOULS, Figure.TEAM_FOULS)


def suspects(
    game: Game, entries: Sequence[Entry], what: Compared, count: int, at: At
) -> tuple[Suspect, ...]:
    """Everything in the book that alone would explain a figure `count` of another book."""
    found = [*_in_lines(game, what), *_undone(game, entries), *_lost(game, what, count, at)]
    return tuple(each for each in found if booked(each.after, what, at.left_tenths) == count)


def changes(game: Game, entries: Sequence[Entry], what: Compared, at: At) -> tuple[Suspect, ...]:
    """Everything in the book that would change a figure, if it was wrong."""
    ours = booked(game, what, at.left_tenths)
    goals = game.profile.goals
    # A foul that is lacking is one more, whatever the count is.
    lacking = (1,) if what.figure in FOULS else (goals.throw, *goals.field)
    found = [*_in_lines(game, what), *_undone(game, entries)]
    for more in lacking:
        found += _lost(game, what, ours + more, at)
    return tuple(each for each in found if booked(each.after, what, at.left_tenths) != ours)


# --- lines of the book ----------------------------------------------------------------------------


def _in_lines(game: Game, what: Compared) -> Iterator[Suspect]:
    """Each line of the kind, otherwise than it is booked."""
    of_kind = {Figure.TIMEOUTS: TimeoutLine, **dict.fromkeys(FOULS, Charge)}.get(what.figure, Goal)
    for line in all_lines(game):
        if isinstance(line, Line) and isinstance(line, of_kind) and line.team is not None:
            for cause, right, now in _otherwise(game, line, what):
                yield Suspect(cause, right, line, _with(game, line, now), entry_of(line.item))


def _otherwise(
    game: Game, line: Line, what: Compared
) -> Iterator[tuple[Cause, Correct, Line | None]]:
    """What a line may have been: the cause, its correction, and the line as it would be."""
    yield Cause.EXTRA, Correct(line.item, off=True), None
    assert line.team is not None
    other = line.team.other
    if isinstance(line, TimeoutLine):
        yield Cause.TEAM, Correct(line.item, team=other), replace(line, team=other)
        return
    # A line that becomes a player's is his; one that a team loses keeps its number.
    player = what.number if what.number and other is what.team else line.number
    right = Correct(line.item, team=other, number=None if player == line.number else player)
    yield Cause.TEAM, right, replace(line, team=other, number=player)
    if what.number is not None and line.number != what.number:
        right = Correct(line.item, number=what.number)
        yield Cause.NUMBER, right, replace(line, number=what.number)
    elif what.number is not None:
        yield Cause.NUMBER, Correct(line.item), replace(line, number=None)
    if isinstance(line, Goal) and line.free_throw:
        made = not line.made
        yield Cause.RESULT, Correct(line.item, made=made), replace(line, made=made)
    elif isinstance(line, Goal):
        for points in game.profile.goals.field:
            right = Correct(line.item, points=points)
            yield Cause.POINTS, right, replace(line, points=points)


def _with(game: Game, line: Line, now: Line | None) -> Game:
    """The game with another line in the place of one; without it where there is none."""
    if isinstance(line, Goal):
        return replace(game, goals=_swapped(game.goals, line, now))
    if isinstance(line, Charge):
        return replace(game, charges=_swapped(game.charges, line, now))
    return replace(game, timeouts=_swapped(game.timeouts, line, now))


_L = TypeVar("_L", Goal, Charge, TimeoutLine)


def _swapped(lines: tuple[_L, ...], old: _L, now: Line | None) -> tuple[_L, ...]:
    new = now if isinstance(now, type(old)) else None
    swapped = (new if each.item == old.item else each for each in lines)
    return tuple(each for each in swapped if each is not None)


# --- what is not in the book ----------------------------------------------------------------------


def _undone(game: Game, entries: Sequence[Entry]) -> Iterator[Suspect]:
    """Entries that were taken back."""
    gone = set(game.taken_back)
    for entry in entries:
        if entry.id in gone:
            after = game
            for event in entry.events:
                after = apply(after, event)
            made = (event.item for event in entry.events if hasattr(event, "item"))
            lines = [line for item in made if isinstance(line := find(after, item), Line)]
            if lines:
                yield Suspect(Cause.UNDONE, PutBack(entry.id), lines[0], after, entry.id)


def _lost(game: Game, what: Compared, count: int, at: At) -> Iterator[Suspect]:
    """A goal, a throw or a foul that was never booked.

    A time-out is not offered: to book it now would begin one.
    """
    more = count - booked(game, what, at.left_tenths)
    item, period = 10 * (game.entry + 1), what.period or max(1, game.period)
    if what.figure in GOALS and more in game.profile.goals.field:
        goal = Goal(item, what.team, more, what.number, period, at.left_tenths)
        call = Score(what.team, more, what.number)
        yield Suspect(Cause.LOST, call, goal, _and_goal(game, goal))
    if what.figure in GOALS and more == game.profile.goals.throw:
        throw = Goal(item, what.team, more, what.number, period, at.left_tenths, free_throw=True)
        shot = Shot(True, what.team, what.number)
        yield Suspect(Cause.LOST, shot, throw, _and_goal(game, throw))
        for entry in _untaken(game, what):
            awarded = next(line for line in game.lines if line.entry == entry)
            then = replace(throw, period=max(1, awarded.period), left_tenths=awarded.left_tenths)
            yield Suspect(Cause.UNTAKEN, shot, then, _and_goal(game, then), entry)
    if what.figure in FOULS:
        place = (period, at.left_tenths)
        charge = Charge(item, what.team, what.number, FoulKind.PERSONAL, Offender.PLAYER, *place)
        foul = Foul(what.team, what.number)
        after = replace(game, charges=(*game.charges, charge))
        yield Suspect(Cause.LOST, foul, charge, after)


def _and_goal(game: Game, goal: Goal) -> Game:
    return replace(game, goals=(*game.goals, goal))


def _untaken(game: Game, what: Compared) -> Iterator[int]:
    """The entries of fouls whose throws were awarded to a team, and are not all booked."""
    ordered = sorted(game.charges, key=lambda charge: charge.item)
    waiting = {owed.foul for owed in game.owed}
    for nth, charge in enumerate(ordered):
        none = charge.award is Award.NONE or charge.cancelled or charge.item in waiting
        if charge.team is what.team or none:
            continue
        later = [c.item for c in ordered[nth + 1 :] if c.team is charge.team]
        end = min(later, default=game.entry * 10 + 10)
        throws = [
            goal
            for goal in game.goals
            if goal.free_throw and goal.team is what.team and charge.item < goal.item < end
        ]
        first_missed = charge.award is Award.ONE_AND_ONE and throws and not throws[0].made
        in_period = what.period in (None, charge.period)
        if in_period and len(throws) < charge.award.throws and not first_missed:
            yield entry_of(charge.item)


def like_lines(game: Game, line: Line) -> list[Line]:
    """The lines of a team that the same call would make, oldest first, but for the number."""
    if isinstance(line, Goal):
        kind = (line.team, line.points, False)
        return [goal for goal in game.goals if (goal.team, goal.points, goal.free_throw) == kind]
    if isinstance(line, Charge):
        return [
            c for c in game.charges if (c.team, c.foul, c.on) == (line.team, line.foul, line.on)
        ]
    return [each for each in game.timeouts if each.team is line.team]


def over_award(game: Game, line: Goal) -> bool:
    """Whether more throws are booked than were awarded for the foul of this one."""
    fouls = sorted(c.item for c in game.charges if c.team is not line.team)
    before = [item for item in fouls if item < line.item]
    foul = find(game, before[-1]) if before else None
    if not isinstance(foul, Charge) or foul.award is Award.NONE:
        return False
    end = next((item for item in fouls if item > line.item), math.inf)
    thrown = (g.item for g in game.goals if g.free_throw and g.team is line.team)
    return sum(foul.item < item < end for item in thrown) > foul.award.throws


def compared(event: events.Event) -> tuple[Compared, int, int] | None:
    """The figure that an event compared, theirs and ours; None if it compared none."""
    match event:
        case events.ScoreChecked(team=team, shown=theirs, booked=ours):
            return Compared(team), theirs, ours
        case events.BookCompared() as told:
            what = Compared(told.team, told.figure, told.number, told.period)
            return what, told.count, told.booked
    return None


def comparing(call: Call) -> tuple[Compared, int] | None:
    """The figure that a call compares, and what another book has; None if it compares none."""
    match call:
        case CheckScore(team=team, points=theirs):
            return Compared(team), theirs
        case CompareBook() as told:
            return Compared(told.team, told.figure, told.number, told.period), told.count
    return None
