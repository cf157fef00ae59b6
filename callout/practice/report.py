"""The report of one practice: how much was right, how fast, and what to train next."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Final

from callout.practice.facts import Called
from callout.practice.judge import Judged, Judgement, Outcome

WEAK: Final = 0.8
"""A kind of call of which a smaller share is right is trained next."""
READY: Final = 0.9
"""With such a share right the next level may be tried. Both: common practice, no source."""
LEAST: Final = 2
"""Of a kind that came less often nothing is said."""
MOST_NAMED: Final = 3


@dataclass(frozen=True, slots=True)
class Tally:
    """How often each outcome came, of one kind of call or of all."""

    right: int = 0
    late: int = 0
    wrong: int = 0
    missed: int = 0
    asked: int = 0
    """How often the table asked back."""

    @property
    def count(self) -> int:
        """How many calls were to be made."""
        return self.right + self.late + self.wrong + self.missed

    @property
    def share(self) -> float:
        """The share that was right and in time; 1 where there was none to make."""
        return self.right / self.count if self.count else 1.0


@dataclass(frozen=True, slots=True)
class Report:
    """One practice, without any name. Times are milliseconds."""

    at_ms: int
    """When it began, in milliseconds since 1970."""
    level: int
    """0 for the first lesson."""
    pace: str
    spoken: float
    """The share of calls that were made by voice; the others were keys or typed."""
    whole: Tally
    kinds: Mapping[str, Tally]
    extra: int
    median_ms: int | None
    """Of the reactions to everything that was called; None where nothing was."""
    p90_ms: int | None
    misheard: tuple[tuple[str, int], ...] = ()
    """Kinds of call that the table asked about, or that were booked otherwise, most often first."""
    differed: Mapping[str, Mapping[str, int]] | None = None
    """By kind of call: how often team, number or value was wrong."""


def report(at_ms: int, level: int, pace: str, done: Judgement) -> Report:
    """The report of what was judged."""
    judged = [each for each in done.judged if each.outcome is not Outcome.MOOT]
    kinds = {
        kind: _tally(each for each in judged if each.wanted.fact.kind == kind)
        for kind in dict.fromkeys(each.wanted.fact.kind for each in judged)
    }
    called = [each.called for each in judged if each.called is not None]
    times = sorted(
        each.reaction_ms
        for each in judged
        if each.reaction_ms is not None and each.outcome is not Outcome.MISSED
    )
    return Report(
        at_ms,
        level,
        pace,
        _spoken(called),
        _tally(judged),
        kinds,
        len(done.extra),
        nearest_rank(times, 0.5),
        nearest_rank(times, 0.9),
        _misheard(kinds),
        _differed(judged),
    )


def nearest_rank(ordered: Sequence[int], share: float) -> int | None:
    """The smallest value that at least this share of all values does not exceed.

    Source: the nearest-rank method, as in the NIST handbook's definition of a percentile.
    """
    if not ordered:
        return None
    rank = -(-round(share * 1000) * len(ordered) // 1000)
    return ordered[max(1, rank) - 1]


def _tally(judged: Iterable[Judged]) -> Tally:
    each = list(judged)
    counts = Counter(one.outcome for one in each)
    return Tally(
        counts[Outcome.RIGHT],
        counts[Outcome.LATE],
        counts[Outcome.WRONG],
        counts[Outcome.MISSED],
        sum(one.wanted.asked for one in each),
    )


def _spoken(called: Sequence[Called]) -> float:
    return sum(each.spoken for each in called) / len(called) if called else 0.0


def _misheard(kinds: Mapping[str, Tally]) -> tuple[tuple[str, int], ...]:
    counts = [(kind, tally.asked + tally.wrong) for kind, tally in kinds.items()]
    return tuple(sorted((each for each in counts if each[1]), key=lambda each: -each[1]))


def _differed(judged: Iterable[Judged]) -> dict[str, dict[str, int]]:
    found: dict[str, Counter[str]] = {}
    for each in judged:
        if each.outcome is Outcome.WRONG:
            found.setdefault(each.wanted.fact.kind, Counter()).update(each.differs)
    return {kind: dict(counts) for kind, counts in found.items()}


def weakest(done: Report) -> list[str]:
    """The kinds of call to train next, the worst first."""
    weak = [
        (tally.share, kind)
        for kind, tally in done.kinds.items()
        if tally.count >= LEAST and tally.share < WEAK
    ]
    return [kind for _, kind in sorted(weak)][:MOST_NAMED]
