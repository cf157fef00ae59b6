"""The course of a game: its margin from point to point, lead changes, ties and runs.

Common practice, no source, for all four words; each is defined below. A book holds no shots from
the field that missed, so none are counted here.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import groupby, pairwise
from typing import Final, TypeAlias

from callout.game.figures.score import all_lines
from callout.game.state import Adjustment, BookLine, Charge, Game, Goal, Owner, Phase, TimeoutLine
from callout.game.terms import Team

LONG_RUN: Final = 8
"""The points from which a run is marked."""

APART_TENTHS: Final = 150
"""How far apart two lines of the book are drawn where no clock was kept."""


@dataclass(frozen=True, slots=True)
class Step:
    """A line of the book that changed the score."""

    item: int
    period: int
    at_tenths: int
    """The game time that had passed, of all periods."""
    team: Team
    points: int
    home: int
    """Home's score after it."""
    guest: int
    by_goal: bool
    """False where the officials gave or took the points."""

    @property
    def margin(self) -> int:
        """Home's score less guest's."""
        return self.home - self.guest


@dataclass(frozen=True, slots=True)
class Run:
    """Points of one team in a row: the other scored none between the first and the last."""

    team: Team
    steps: tuple[Step, ...]

    @property
    def points(self) -> int:
        """What they add up to."""
        return sum(step.points for step in self.steps)


@dataclass(frozen=True, slots=True)
class Span:
    """A period on the axis of game time."""

    period: int
    from_tenths: int
    to_tenths: int
    timed: bool
    """Whether a clock was kept in it; if not, its lines stand at equal distances, in order."""


@dataclass(frozen=True, slots=True)
class Mark:
    """A foul or a time-out on the axis of game time."""

    line: Charge | TimeoutLine
    at_tenths: int


@dataclass(frozen=True, slots=True)
class Course:
    """What is drawn of a game."""

    spans: tuple[Span, ...]
    """All regular periods, those to come too unless the game is over, and overtimes begun."""
    now_tenths: int
    """How much game time has passed in all."""
    steps: tuple[Step, ...]
    marks: tuple[Mark, ...]


Placed: TypeAlias = tuple[BookLine, int]
"""A line of the book, and the game time at which it stands."""


def course(game: Game, left_tenths: int) -> Course:
    """The course of a game so far; `left_tenths` is what the clock shows, or showed at the end."""
    spans: list[Span] = []
    placed: list[Placed] = []
    lines = sorted(all_lines(game), key=lambda line: (_period(line), line.item))
    to_come = 1 if game.phase is Phase.OVER else game.profile.periods.count
    for period in range(1, max([to_come, game.period, *map(_period, lines)]) + 1):
        start = spans[-1].to_tenths if spans else 0
        mine = [line for line in lines if _period(line) == period]
        span = _span(game, period, start, len(mine))
        spans.append(span)
        placed += _place(game, span, mine)
    marks = tuple(Mark(line, at) for line, at in placed if isinstance(line, Charge | TimeoutLine))
    return Course(tuple(spans), _now(game, spans, left_tenths), tuple(_steps(placed)), marks)


def _period(line: BookLine) -> int:
    return max(1, line.period)


def _span(game: Game, period: int, start: int, lines: int) -> Span:
    regular = 0 if game.owner is Owner.NONE else game.profile.length_tenths(1)
    length = game.profile.length_tenths(period) if regular else 0
    # Beside periods with a clock, an overtime without one takes half a period at most.
    most = regular // 2 or APART_TENTHS * (lines + 1)
    width = length or min(most, APART_TENTHS * (lines + 1))
    return Span(period, start, start + width, length > 0)


def _place(game: Game, span: Span, lines: Sequence[BookLine]) -> Iterator[Placed]:
    """Each line with its game time, which never runs back: a clock may have been put right."""
    latest, width = span.from_tenths, span.to_tenths - span.from_tenths
    for nth, line in enumerate(lines, start=1):
        if not span.timed:
            latest = span.from_tenths + nth * width // (len(lines) + 1)
        elif not isinstance(line, Adjustment):
            latest = min(span.to_tenths, max(latest, span.to_tenths - line.left_tenths))
        yield line, latest


def _now(game: Game, spans: Sequence[Span], left_tenths: int) -> int:
    """How much game time has passed."""
    here = spans[max(1, game.period) - 1]
    if not here.timed or game.phase.between:
        return here.to_tenths if game.period else 0
    return here.to_tenths - left_tenths


def _steps(placed: Sequence[Placed]) -> Iterator[Step]:
    scores = dict.fromkeys(Team, 0)
    for line, at in placed:
        if isinstance(line, Goal | Adjustment):
            goal = isinstance(line, Goal)
            points = line.counts if isinstance(line, Goal) else line.points
            scores[line.team] += points
            if points:
                home, guest = scores[Team.HOME], scores[Team.GUEST]
                yield Step(line.item, _period(line), at, line.team, points, home, guest, goal)


def lead_changes(steps: Sequence[Step]) -> tuple[Step, ...]:
    """The points by which a team took the lead that the other team had had last.

    The score may have been level in between. The first lead of the game changes nothing.
    """
    leads = [step for step in steps if step.margin]
    return tuple(
        step for before, step in pairwise(leads) if (before.margin > 0) != (step.margin > 0)
    )


def ties(steps: Sequence[Step]) -> tuple[Step, ...]:
    """The points that made the score level. The nil-nil at the start is none."""
    return tuple(step for step in steps if not step.margin)


def runs(steps: Sequence[Step], least: int = LONG_RUN) -> tuple[Run, ...]:
    """The runs of at least `least` points, in order.

    A run goes on through the end of a period. Points that the officials gave or took end it, and
    are part of none.
    """
    found = []
    for (goals, team), group in groupby(steps, key=lambda step: (step.by_goal, step.team)):
        run = Run(team, tuple(group))
        if goals and run.points >= least:
            found.append(run)
    return tuple(found)


def largest_lead(steps: Sequence[Step], team: Team) -> Step | None:
    """The points that gave a team its largest lead for the first time; None if it never led."""
    sign = 1 if team is Team.HOME else -1
    best = max(steps, key=lambda step: sign * step.margin, default=None)
    return best if best and sign * best.margin > 0 else None
