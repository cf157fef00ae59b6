"""Two things that together explain a difference between two books, the likeliest first; pure."""

from __future__ import annotations

import heapq
from collections import defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Final

from callout.game.suspect import Suspect
from callout.table.talk.weights import CONTRADICTED

MOST: Final = 60
"""The most pairs that are kept: nine questions, each with some things that may be the other one."""


@dataclass(frozen=True, slots=True)
class Half:
    """A thing that may be wrong, beside another one."""

    suspect: Suspect
    more: int
    """By how much the figure would be more with it put right."""
    likely: float
    would: tuple[int | None, ...]
    """By how much more each figure compared before would be; None where nobody can tell."""


def in_pairs(
    halves: Sequence[Half], more: int, told: Sequence[int], strictly: bool = False
) -> tuple[Suspect, ...]:
    """The likelier half of each pair, the likeliest pair first, with what may be the other half.

    `more` is the difference that two of them must make; `told` how much more the other book had in
    each comparison, which `strictly` must all be explained, too. To a "no" no later pair has that
    half in it, so each is named once as a first.
    """
    fitting = list(_fitting(halves, more))
    weighed = [
        (one.likely * other.likely * CONTRADICTED**against, _newest(one, other), nth)
        for nth, (one, other) in enumerate(fitting)
        if (against := _against(one, other, told)) == 0 or not strictly
    ]
    also: dict[int, list[Suspect]] = {}
    first: dict[int, Suspect] = {}
    for *_, nth in heapq.nlargest(MOST, weighed):
        one, other = sorted(fitting[nth], key=lambda half: -half.likely)
        if id(one) not in first and id(other) in first:
            one, other = other, one
        first.setdefault(id(one), one.suspect)
        also.setdefault(id(one), []).append(other.suspect)
    return tuple(replace(each, also=tuple(also[key])) for key, each in first.items())


def _fitting(halves: Sequence[Half], more: int) -> Iterator[tuple[Half, Half]]:
    """Each two that make the difference; a lost call may have been lost twice."""
    of = defaultdict(list)
    for nth, half in enumerate(halves):
        of[half.more].append((nth, half))
    for nth, one in enumerate(halves):
        for other_nth, other in of[more - one.more]:
            twice = other_nth == nth and one.suspect.entry is None
            if twice or (other_nth > nth and not _same(one.suspect, other.suspect)):
                yield one, other


def _same(one: Suspect, other: Suspect) -> bool:
    """Whether both are about one line of the book."""
    return one.entry is not None and (one.entry, one.line.item) == (other.entry, other.line.item)


def _newest(one: Half, other: Half) -> int:
    return max(one.suspect.entry or 0, other.suspect.entry or 0)


def _against(one: Half, other: Half, told: Sequence[int]) -> int:
    """How many comparisons speak against both together."""
    both = zip(one.would, other.would, told, strict=True)
    return sum(None not in (a, b) and (a or 0) + (b or 0) != more for a, b, more in both)
