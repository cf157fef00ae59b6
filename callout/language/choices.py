"""What may stand for one slot, ready to be put into a machine wherever a template has the slot.

With every shirt number, nine of ten states of a machine are such choices. They are numbered once,
from the slot's beginning, and copied wherever the slot occurs: English is built in half the time.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import TypeAlias

from callout.language.slots import Phrase, Value

Choice: TypeAlias = tuple[Phrase, Value, float]
"""A phrase, the value it stands for, and its cost in nats."""

Row: TypeAlias = list[tuple[str, int, float]]
"""Of one state: a word, the state it leads to, and its cost."""


@dataclass(frozen=True, slots=True)
class Choices:
    """The states of a slot, each with its number: the state after the slot is 0."""

    first: Row
    """The words that may begin a phrase."""
    inner: tuple[Row, ...]
    """The words that may come next in each state within a phrase. These states are 1, 2 and so on;
    phrases that begin alike share them."""
    values: tuple[Value, ...]
    """The value of each state at a phrase's end. The numbers of these states go on from there; all
    phrases of one value end in the same state."""


def choices_of(choices: Iterable[Choice]) -> Choices:
    """The states of a slot that may be any of the phrases."""
    first: Row = []
    rows: list[Row] = []
    shared: dict[tuple[int, str], int] = {}
    # 1 and True are two values.
    lasts: dict[tuple[type, Value], int] = {}
    for phrase, value, cost in choices:
        at = 0
        for word in phrase[:-1]:
            if (at, word) not in shared:
                rows.append([])
                shared[at, word] = len(rows)
                (rows[at - 1] if at else first).append((word, len(rows), 0.0))
            at = shared[at, word]
        # Below 0 until it is known how many states are before them.
        last = lasts.setdefault((type(value), value), -1 - len(lasts))
        (rows[at - 1] if at else first).append((phrase[-1], last, cost))
    inner = tuple(_numbered(row, len(rows)) for row in rows)
    return Choices(_numbered(first, len(rows)), inner, tuple(value for _, value in lasts))


def _numbered(row: Row, inner: int) -> Row:
    return [(word, to if to > 0 else inner - to, cost) for word, to, cost in row]
