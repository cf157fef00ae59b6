"""An entry of the past put right: the line that is meant, and the book as if it had been called
rightly at once. Pure.

A line is described by what the book says of it: a home foul, number five, third quarter. Several
lines may fit; the newest comes first.

A correction is an entry of its own. It holds one event `Replaced` for the entry that was wrong and
for each later one that was decided because of it: the free throws that went to the wrong team, the
foul of a player who seemed to be out. Each of these is decided anew, in the game as it would have
been. What people called themselves stays: who took a throw, which line a number belongs to.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Final, TypeAlias

from callout.game import calls, events, moves
from callout.game.calls import (
    Call,
    Correct,
    DoubleFoul,
    Foul,
    PutBack,
    PutRight,
    Score,
    Shot,
    Timeout,
)
from callout.game.decide import Decision, Refusal, decide
from callout.game.decisions import refusals
from callout.game.events import Event, PutBackIn, Replaced
from callout.game.figures.score import all_lines, entry_of, find
from callout.game.fold import KEPT_EVENTS, Entry, as_they_count, enter, is_emptied
from callout.game.state import At, BallLine, Charge, Game, Goal, Move, TimeoutLine
from callout.game.terms import Team

Line: TypeAlias = Goal | Charge | TimeoutLine
"""A line that can be put right."""

NAMING: Final = (
    calls.Number,
    calls.MakeNumber,
    calls.LastNumber,
    calls.MakeTeam,
    calls.LastTeam,
    calls.MakePoints,
    calls.Undo,
    calls.PutBack,
    calls.Correct,
    calls.Approve,
    calls.Signed,
)
"""Calls about a line or an entry that was known when they were made: it stays the one they mean."""

OF_THE_PRESENT: Final = (
    calls.AddPlayer,
    calls.ChangeShirt,
    calls.SendOff,
    calls.Starter,
    calls.DropStarter,
    calls.TimeoutWaiting,
    calls.EndGame,
    calls.Forfeit,
    calls.Suspend,
)
"""Calls that say how things are, and not what happened once: later ones may contradict them."""

ABOUT_A_LINE: Final = (
    events.NumberGiven,
    events.TeamChanged,
    events.PointsChanged,
    events.ThrowsAwarded,
    events.PenaltiesCancelled,
    events.ThrowVoided,
)
"""Events that change a line of an earlier entry, or its throws."""


@dataclass(frozen=True, slots=True)
class PastEntries:
    """The entries of a game, and the game that they make."""

    start: Game
    entries: Sequence[Entry]
    game: Game

    def fitting(self, call: PutRight) -> tuple[Correct, ...]:
        """The corrections that a description may mean, of the newest line first.

        A line that is already as it is said to be does not fit.
        """
        lines = [line for line in all_lines(self.game) if isinstance(line, Line)]
        found = [(line, _correction(line, call)) for line in lines if _fits(line, call)]
        right = [each for line, each in found if _changes(line, each)]
        moved = [move for move in self.game.moves if moves.fits(self.game, move, call)]
        more = [(move, moves.correction(move, call)) for move in moved]
        right += [each for move, each in more if moves.changes(move, each)]
        fitting = tuple(sorted(right, key=lambda each: each.item, reverse=True))
        return fitting[:1] if call.last else fitting

    def corrected(self, call: Correct, at: At) -> Decision:
        """The decision on a correction: the events that count from now on, or why it cannot be."""
        line = find(self.game, call.item)
        if isinstance(line, Line):
            return _impossible(self.game, line, call) or self._rewritten(line, call)
        if move := moves.find_move(self.game, call.item):
            return moves.impossible(self.game, move, call) or self._rewritten(move, call)
        return Refusal(refusals.NOTHING_TO_CORRECT)

    def put_back(self, call: PutBack, at: At) -> Decision:
        """An entry that was taken back counts again in its place.

        One that says how things are is refused where its call would be now.
        """
        decision = decide(self.game, call, at)
        if isinstance(decision, Refusal):
            return decision
        back = {event.entry for event in decision if isinstance(event, PutBackIn)}
        said = (e.call for e in self.entries if e.id in back and isinstance(e.call, OF_THE_PRESENT))
        anew = (decide(self.game, each, at) for each in said)
        return next((each for each in anew if isinstance(each, Refusal)), decision)

    def _rewritten(self, line: Line | Move, right: Correct) -> Decision:
        """The entry of the line called rightly, and each later one that is decided otherwise now.

        The two games are the one that was booked and the one that should have been.
        """
        wrong, found = entry_of(line.item), list[Event]()
        old = now = self.start
        book = tuple(as_they_count(self.entries))
        ball = isinstance(line, BallLine)
        given = right.team not in (None, line.team) and right.number is None
        moved = given and isinstance(line, Goal | Charge)
        thrown_in = moves.taken_as_booked([each for each, counts in book if ball and counts])
        for entry, counts in book:
            events_now: Decision = entry.events
            if entry.id == wrong:
                events_now = _rightly(now, entry, line, right)
            elif entry.id > wrong and counts and entry.id not in thrown_in:
                events_now = _after(entry, old, now, right)
            if isinstance(events_now, Refusal):
                return events_now
            if events_now != entry.events:
                item = line.item if entry.id == wrong else None
                found.append(Replaced(entry.id, item, events_now, moved and item is not None))
            still = counts and (events_now == entry.events or not is_emptied(events_now))
            old = enter(old, entry, counts)
            now = enter(now, replace(entry, events=events_now), still)
        return tuple(found)


# --- which line is meant --------------------------------------------------------------------------


def _fits(line: Line, call: PutRight) -> bool:
    """Whether a line is as the call describes it, and can be changed as it says."""
    if line.team is not call.team or call.period not in (None, max(1, line.period)):
        return False
    if isinstance(line, TimeoutLine):
        return call.entry == "timeout" and (call.number, call.foul) == (None, None)
    if call.number not in (None, line.number, line.said):
        return False
    if isinstance(line, Charge):
        return call.entry == "foul" and call.made is None
    if call.foul is not None:
        return False
    if call.worth is not None:
        return call.entry == "basket" and line.made and line.points == call.worth
    # Whether it was made is asked of free throws alone: a missed field goal is not booked.
    fits = call.entry == ("throw" if line.free_throw else "basket")
    return fits and (line.free_throw or call.made is None)


def _correction(line: Line, call: PutRight) -> Correct:
    """What the call makes of a line: "was three" is a player where it cannot be points."""
    number, points = call.to_number, call.points
    if points is not None and (call.entry != "basket" or call.worth == points):
        number, points = str(points), None
    return Correct(line.item, call.to, number, points, call.made, call.foul, call.off)


def _changes(line: Line, right: Correct) -> bool:
    if right.off:
        return True
    if isinstance(line, TimeoutLine):
        return right.team not in (None, line.team)
    new = [right.team not in (None, line.team)]
    new += [right.number not in (None, line.number, line.said)]
    if isinstance(line, Charge):
        new += [right.foul not in (None, line.foul)]
    else:
        new += [right.points not in (None, line.points), right.made not in (None, line.made)]
    return any(new)


# --- how it should have been ----------------------------------------------------------------------


def _impossible(game: Game, line: Line, right: Correct) -> Refusal | None:
    """Why a line cannot be what it is said to be."""
    team, goals = right.team or line.team, game.profile.goals
    if right.number is not None and team and not game.side(team).has(right.number):
        return Refusal(refusals.NOT_ON_ROSTER, slots={"team": team, "number": right.number})
    if right.points not in (None, *goals.field, goals.throw):
        return Refusal(refusals.POINTS_IMPOSSIBLE, slots={"points": right.points})
    return None if _changes(line, right) else Refusal(refusals.NOTHING_TO_CORRECT)


def _rightly(game: Game, entry: Entry, line: Line | Move, right: Correct) -> Decision:
    """What the entry would have brought, had it been called rightly."""
    call = (
        _called_rightly(entry.call, line, right)
        if isinstance(line, Line)
        else moves.called_rightly(line, right)
    )
    if call is not None:
        return decide(game, call, entry.at)
    if right.off:
        return tuple(event for event in entry.events if isinstance(event, KEPT_EVENTS))
    return Refusal(refusals.NOTHING_TO_CORRECT)


def _called_rightly(call: Call, line: Line, right: Correct) -> Call | None:
    """The call that should have been made, whole; None if there should have been none."""
    if isinstance(call, DoubleFoul):
        return _double_foul_rightly(call, line, right)
    team = right.team or line.team
    if right.off or team is None:
        return None
    if isinstance(line, TimeoutLine):
        return replace(call, team=team) if isinstance(call, Timeout) else None
    number = right.number or line.number or line.said
    if isinstance(line, Charge):
        if not isinstance(call, Foul):
            return None
        # The foul of a player who was out is charged to another, and may be of another kind then.
        kind = right.foul or (line.foul if line.on is call.on else call.foul)
        return replace(call, team=team, number=number, foul=kind)
    if line.free_throw and right.points is None:
        return Shot(line.made if right.made is None else right.made, team, number)
    return Score(team, right.points or line.points, number, line.own_basket)


def _double_foul_rightly(call: DoubleFoul, line: Line, right: Correct) -> Call | None:
    """A double foul with another number, or what is left of it; the teams are the teams."""
    home = line.team is Team.HOME
    if right.off:
        left = (Team.GUEST, call.guest) if home else (Team.HOME, call.home)
        return Foul(*left, call.foul)
    if right.number is None:
        return None
    return replace(call, home=right.number) if home else replace(call, guest=right.number)


def _after(entry: Entry, old: Game, now: Game, right: Correct) -> tuple[Event, ...]:
    """The events of a later entry in the game as it should have been.

    Only what was decided because of the wrong entry is decided otherwise.
    """
    kept = tuple(event for event in entry.events if not _is_about(event, right.item))
    if isinstance(entry.call, NAMING) or (right.off and kept != entry.events):
        return kept
    if decide(old, entry.call, entry.at) != entry.events:
        return entry.events
    decided = decide(now, entry.call, entry.at)
    if isinstance(decided, Refusal):
        return entry.events
    return tuple(_by_whom(event, entry.events) for event in decided)


def _by_whom(event: Event, booked: tuple[Event, ...]) -> Event:
    """A free throw with the player who took it, though the award that named him has gone."""
    if not isinstance(event, events.FreeThrow) or event.number or event.said:
        return event
    thrown = (e for e in booked if isinstance(e, events.FreeThrow) and e.team is event.team)
    before = next(thrown, event)
    return replace(event, number=before.number, said=before.said, assumed=before.assumed)


def _is_about(event: Event, item: int) -> bool:
    """Whether the event changes that line, which is said whole by its correction."""
    return isinstance(event, ABOUT_A_LINE) and event.item == item
