"""How likely each thing is that could explain a difference between two books, by all that the book
knows; pure. The weights stand in `weights`.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property
from typing import Final, TypeAlias

from callout.game.calls import Call, Correct, Foul, Score, Shot, Timeout
from callout.game.differences import changes, compared, comparing, like_lines, over_award, suspects
from callout.game.events import PointsChanged, PutBackIn, Replaced, ScoreSet, TeamChanged
from callout.game.figures.compared import Compared, booked
from callout.game.figures.score import entry_of
from callout.game.fold import Entry
from callout.game.put_right import Line
from callout.game.state import At, Charge, Game, Goal, TimeoutLine
from callout.game.suspect import Cause, Suspect
from callout.game.terms import Figure
from callout.table.talk.pairs import Half, in_pairs
from callout.table.talk.weights import (
    CALLED_AGAIN,
    CALLED_AGAIN_MS,
    CONTRADICTED,
    DOUBLED,
    FREQUENCY,
    HEARD_TOO,
    LOOKED_AT,
    NO_AWARD,
    NO_NUMBER,
    ON_OTHER_LIST,
    OTHER_PLAYER,
    OVER_AWARD,
    RUN,
    within,
)

RIGHTING: Final = (Replaced, PutBackIn, ScoreSet, PointsChanged, TeamChanged)
"""Events that put something right."""

BOOKING: Final = ("score", "shot", "foul")
"""Calls that change what is compared."""


@dataclass(frozen=True, slots=True)
class Evidence:
    """What is known of the entries beside what they are."""

    readings: Mapping[int, tuple[tuple[Call, float], ...]] = field(default_factory=dict)
    """What else the sound of an entry may have been, and the share of each."""
    unbooked: tuple[tuple[int, int, int], ...] = ()
    """The moments at which something was called and nothing booked: the period, the tenths of a
    second that the clock showed, and the machine's time in milliseconds."""


Suspects: TypeAlias = tuple[Suspect, ...]
"""What may be wrong, the likeliest first."""


def explained(
    game: Game, entries: Sequence[Entry], call: Call, at: At, evidence: Evidence
) -> Suspects:
    """What alone could explain the figure that another book has, the likeliest first.

    Where nothing does, or only against another figure that was compared, what could together with
    something else comes first.
    """
    told = comparing(call)
    if told is None:
        return ()
    what, theirs = told
    more = theirs - booked(game, what, at.left_tenths)
    if more == 0:
        return ()
    case = Case(game, entries, what, more, evidence)
    alone = case.ranked(suspects(game, entries, what, theirs, at))
    if any(case.contradictions(each) == 0 for each in alone):
        return alone
    found = changes(game, entries, what, at)
    return (*case.paired(found, at.left_tenths, strictly=bool(alone)), *alone)


@dataclass(frozen=True)
class Case:
    """A difference between two books, and all that is known of what may explain it."""

    game: Game
    entries: Sequence[Entry]
    what: Compared
    more: int
    """By how much the other book's figure is more than ours."""
    evidence: Evidence

    def ranked(self, found: Sequence[Suspect]) -> tuple[Suspect, ...]:
        """The suspects, the likeliest first; of equal ones the newest."""
        placed = (self._placed(each) for each in found)
        weighed = ((self.weight(each), each.entry or 0, each) for each in placed)
        return tuple(each for *_, each in sorted(weighed, key=lambda x: x[:2], reverse=True))

    def paired(
        self, found: Sequence[Suspect], left_tenths: int, strictly: bool
    ) -> tuple[Suspect, ...]:
        """The suspects of which two together explain the difference, the likeliest two first;
        `strictly`: every other figure that was compared, too.
        """
        ours = booked(self.game, self.what, left_tenths)
        told = tuple(more for *_, more in self._comparisons)
        halves = [
            Half(
                suspect,
                booked(suspect.after, self.what, left_tenths) - ours,
                self._likely(suspect),
                tuple(self._would_differ(suspect, what, at) for at, what, _ in self._comparisons),
            )
            for suspect in map(self._placed, found)
        ]
        return in_pairs(halves, self.more, told, strictly)

    def _placed(self, suspect: Suspect) -> Suspect:
        """A lost call at the newest moment at which something was called and nothing booked."""
        if suspect.cause is not Cause.LOST:
            return suspect
        moments = [
            (period, left)
            for period, left, wall_ms in self.evidence.unbooked
            if self.what.period in (None, period) and not self._came_again(suspect.call, wall_ms)
        ]
        return replace(suspect, moment=moments[-1]) if moments else suspect

    def _came_again(self, call: Call, wall_ms: int) -> bool:
        """Whether such a call was booked soon after that moment."""
        return any(
            type(entry.call) is type(call) and 0 <= entry.at.wall_ms - wall_ms <= CALLED_AGAIN_MS
            for entry in self.entries
        )

    def weight(self, suspect: Suspect) -> float:
        """How likely a suspect is beside the others."""
        return self._likely(suspect) * CONTRADICTED ** self.contradictions(suspect)

    def _likely(self, suspect: Suspect) -> float:
        """The same, without what other comparisons say."""
        weight = FREQUENCY[suspect.cause]
        if suspect.entry is None:
            return weight * self._like(suspect.line)
        for factor in self._factors(suspect, self._by_id[suspect.entry]):
            weight *= factor
        return weight

    @cached_property
    def _by_id(self) -> Mapping[int, Entry]:
        return {entry.id: entry for entry in self.entries}

    @cached_property
    def _comparisons(self) -> tuple[tuple[int, Compared, int], ...]:
        """Each comparison: its entry, what was compared, and how much more the other book had.

        One that differed says nothing any more once something was put right.
        """
        told = ((entry.id, compared(event)) for entry in self.entries for event in entry.events)
        found = [(at, each[0], each[1] - each[2]) for at, each in told if each]
        newest = {what: at for at, what, _ in found}
        return tuple(
            (at, what, more)
            for at, what, more in found
            if more == 0 or (at == newest[what] and at > self._put_right_last)
        )

    @cached_property
    def _put_right_last(self) -> int:
        """The newest entry that put something right; 0 if none did."""
        return max((entry.id for entry in self.entries
                    if any(isinstance(event, RIGHTING) for event in entry.events)),
                   default=0)  # fmt: skip

    def _factors(self, suspect: Suspect, entry: Entry) -> Iterator[float]:
        """What the book knows of an entry, each as a factor."""
        cause, line = suspect.cause, suspect.line
        if cause is Cause.UNDONE:
            yield CALLED_AGAIN if self._called_again(entry) else 1.0
        if cause is Cause.EXTRA:
            yield self._doubled(line)
        if cause in (Cause.TEAM, Cause.POINTS, Cause.NUMBER, Cause.RESULT):
            yield 1.0 + HEARD_TOO * self._share(suspect, entry)
            yield LOOKED_AT if self._looked_at(line) else 1.0
        if cause is Cause.TEAM and line.team is not None and not isinstance(line, TimeoutLine):
            said = line.number or line.said
            strange = said is not None and not self.game.side(line.team).has(said)
            listed = said is not None and self.game.side(line.team.other).has(said)
            yield ON_OTHER_LIST if strange and listed else 1.0
            yield self._in_a_run(line)
        if cause is Cause.NUMBER and not isinstance(line, TimeoutLine) and line.number is None:
            yield NO_NUMBER

    def _like(self, line: Line) -> float:
        """How many calls of this kind were made: beside each of them one may have been lost."""
        if isinstance(line, Goal) and line.free_throw:
            return NO_AWARD
        if isinstance(line, Goal):
            of_team = (goal for goal in self.game.goals if goal.team is line.team)
            return 1 + sum(g.points == line.points and not g.free_throw for g in of_team)
        return 1 + sum(charge.team is line.team for charge in self.game.charges)

    def _called_again(self, entry: Entry) -> bool:
        """Whether a call of the same kind came soon after one that was taken back."""
        return self._came_again(entry.call, entry.at.wall_ms + 1)

    def _doubled(self, line: Line) -> float:
        """How much likelier a line is to be one too many for what was booked before it."""
        if isinstance(line, Goal) and line.free_throw:
            return OVER_AWARD if over_award(self.game, line) else 1.0
        before = [each for each in like_lines(self.game, line) if each.item < line.item]
        if not before:
            return 1.0
        last = before[-1]
        factor = within(self._gap_ms(last, line), DOUBLED)
        if isinstance(last, TimeoutLine) or isinstance(line, TimeoutLine):
            return factor
        same = None in (last.number, line.number) or last.number == line.number
        return factor if same else 1.0 + OTHER_PLAYER * (factor - 1.0)

    def _in_a_run(self, line: Goal | Charge) -> float:
        """How much likelier a line is to be the other team's for the goals beside it."""
        if not isinstance(line, Goal) or line.free_throw:
            return 1.0
        goals = [goal for goal in self.game.goals if not goal.free_throw]
        at = next(nth for nth, goal in enumerate(goals) if goal.item == line.item)
        beside = (*goals[max(0, at - 1) : at], *goals[at + 1 : at + 2])
        return max(
            (within(self._gap_ms(each, line), RUN) for each in beside if each.team is line.team),
            default=1.0,
        )

    def _gap_ms(self, one: Line, other: Line) -> int:
        """The time between the calls of two lines."""
        first, second = (self._by_id[entry_of(each.item)].at.wall_ms for each in (one, other))
        return abs(second - first)

    def _share(self, suspect: Suspect, entry: Entry) -> float:
        """The share of the second choices of the ear that would have made this line."""
        heard = self.evidence.readings.get(entry.id, ())
        return sum(share for call, share in heard if _would_make(call, suspect))

    def _looked_at(self, line: Line) -> bool:
        """Whether somebody has put this line right already."""
        return any(
            getattr(event, "item", None) == line.item
            for entry in self.entries
            for event in entry.events
            if isinstance(event, Replaced | PointsChanged | TeamChanged)
        )

    def contradictions(self, suspect: Suspect) -> int:
        """How many comparisons speak against a suspect."""
        return sum(
            self._would_differ(suspect, what, at) not in (None, more)
            for at, what, more in self._comparisons
        )

    def _would_differ(self, suspect: Suspect, what: Compared, at: int) -> int | None:
        """By how much the other book had more in a comparison, if this is the mistake.

        None where that cannot be said: nobody knows when and for whom a lost call was.
        """
        if what.figure in (Figure.TEAM_FOULS, Figure.TIMEOUTS):
            return None
        more = booked(suspect.after, what, 0) - booked(self.game, what, 0)
        if suspect.entry is not None:
            return more if at > suspect.entry else 0
        narrow = what.number is not None or what.period is not None
        since = any(line.entry > at for line in self.game.lines if line.call in BOOKING)
        return None if narrow or since else more


def _would_make(call: Call, suspect: Suspect) -> bool:
    """Whether another reading of an entry's sound would have made the line as it should be."""
    line, right = suspect.line, suspect.call
    team = getattr(call, "team", None)
    unnamed = isinstance(call, Shot) and team is None
    if not isinstance(right, Correct) or not (unnamed or team is (right.team or line.team)):
        return False
    match call:
        case Score(points=points, number=number) if isinstance(line, Goal):
            fits = points == (right.points or line.points)
        case Shot(made=made, number=number) if isinstance(line, Goal):
            fits = made is (line.made if right.made is None else right.made)
        case Foul(number=number) if isinstance(line, Charge):
            fits = True
        case _:
            return isinstance(call, Timeout) and isinstance(line, TimeoutLine)
    if suspect.cause is not Cause.NUMBER:
        return fits
    return fits and number is not None and number == (right.number or number) != line.number
