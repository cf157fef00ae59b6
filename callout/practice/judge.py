"""Lays what was called beside what happened: right, late, wrong, missed, and what nobody saw.

Facts of one kind keep their order, and among all ways to pair them the one is taken that leaves the
least unexplained. So a call that was left out does not make all later ones wrong.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from enum import Enum
from typing import Final

from callout.game.calls import Call
from callout.practice.facts import Called, Fact

UNCALLED: Final = 1.5
UNSEEN: Final = 1.0
"""What it costs to leave a fact without a call, or a call without a fact, against 1 for each of
team, number and value in which a pair differs: two may differ, three may not."""
PER_MS: Final = 0.0002
"""What each millisecond between the two costs: a call right after a play is rather about that one,
with a mistake in it, than about the play before, seconds late."""
MOST_FOR_TIME: Final = 1.3
"""The most that it costs: a call about nothing else is about the play that had none."""
LONGEST_MS: Final = 30_000
"""A call that comes later is no longer about that play."""
COUNTED: Final = ("goal", "throw", "foul", "timeout")
"""Kinds of which a call that nobody saw spoils the book."""


class Outcome(Enum):
    """What became of a call that should have been made."""

    RIGHT = "right"
    LATE = "late"
    WRONG = "wrong"
    MISSED = "missed"
    MOOT = "moot"
    """It could not be called, because an earlier one was missed; it does not count."""


@dataclass(frozen=True, slots=True)
class Wanted:
    """One call that should be made. Moments are milliseconds since 1970."""

    call: Call
    fact: Fact
    begun_ms: int
    """When the play began to be told."""
    cue_ms: int
    """When it had been told: reactions are counted from here."""
    late_ms: int
    missed_ms: int
    moot: bool = False
    asked: bool = False
    """Whether the table asked back while it was called."""


@dataclass(frozen=True, slots=True)
class Judged:
    """A call that should have been made, and what became of it."""

    wanted: Wanted
    outcome: Outcome
    called: Called | None = None
    differs: tuple[str, ...] = ()

    @property
    def reaction_ms(self) -> int | None:
        """From the end of what was told to the beginning of the call; 0 for one made before."""
        if self.called is None:
            return None
        return max(0, self.called.wall_ms - self.wanted.cue_ms)


@dataclass(frozen=True, slots=True)
class Judgement:
    """All of it."""

    judged: tuple[Judged, ...]
    extra: tuple[Called, ...]
    """What was called and did not happen."""


def judge(wanted: Sequence[Wanted], called: Iterable[Called]) -> Judgement:
    """What became of each call that should have been made by now, in their order."""
    heard = list(called)
    pairs: dict[int, Called] = {}
    for kind in dict.fromkeys(each.fact.kind for each in wanted):
        mine = [at for at, each in enumerate(wanted) if each.fact.kind == kind]
        theirs = [each for each in heard if each.fact.kind == kind]
        pairs |= _paired(wanted, mine, theirs)
    judged = tuple(_judged(each, pairs.get(at)) for at, each in enumerate(wanted))
    known = {id(each) for each in pairs.values()}
    extra = [each for each in heard if id(each) not in known and each.fact.kind in COUNTED]
    return Judgement(judged, tuple(extra))


def _judged(wanted: Wanted, called: Called | None) -> Judged:
    if called is None:
        return Judged(wanted, Outcome.MOOT if wanted.moot else Outcome.MISSED)
    differs = wanted.fact.differs_in(called.fact)
    if called.wall_ms > wanted.missed_ms:
        outcome = Outcome.MISSED
    elif differs:
        outcome = Outcome.WRONG
    else:
        outcome = Outcome.LATE if called.wall_ms > wanted.late_ms else Outcome.RIGHT
    return Judged(wanted, outcome, called, differs)


def _paired(
    wanted: Sequence[Wanted], mine: Sequence[int], theirs: Sequence[Called]
) -> dict[int, Called]:
    """The pairs of the cheapest alignment, by the place of what was wanted."""
    # The last row and column stand for "nothing is left"; filled backwards, read forwards.
    rows, columns = len(mine), len(theirs)
    cost = [[0.0] * (columns + 1) for _ in range(rows + 1)]
    for row in range(rows, -1, -1):
        for column in range(columns, -1, -1):
            if row < rows or column < columns:
                cost[row][column] = min(_ways(wanted, mine, theirs, cost, row, column))
    pairs, row, column = {}, 0, 0
    while row < rows and column < columns:
        skip_fact, skip_call, pair = _ways(wanted, mine, theirs, cost, row, column)
        if pair <= min(skip_fact, skip_call):
            pairs[mine[row]] = theirs[column]
            row, column = row + 1, column + 1
        elif skip_fact <= skip_call:
            row += 1
        else:
            column += 1
    return pairs


def _ways(
    wanted: Sequence[Wanted],
    mine: Sequence[int],
    theirs: Sequence[Called],
    cost: Sequence[Sequence[float]],
    row: int,
    column: int,
) -> tuple[float, float, float]:
    """The cost from here on if the next fact is left, if the next call is, or if both pair."""
    left, unseen, pair = (float("inf"),) * 3
    if row < len(mine):
        left = UNCALLED + cost[row + 1][column]
    if column < len(theirs):
        unseen = UNSEEN + cost[row][column + 1]
    if row < len(mine) and column < len(theirs):
        pair = _cost(wanted[mine[row]], theirs[column]) + cost[row + 1][column + 1]
    return left, unseen, pair


def _cost(wanted: Wanted, called: Called) -> float:
    if not wanted.begun_ms <= called.wall_ms <= wanted.cue_ms + LONGEST_MS:
        return float("inf")
    differs = wanted.fact.differs_in(called.fact)
    return len(differs) + min(MOST_FOR_TIME, PER_MS * abs(called.wall_ms - wanted.cue_ms))
