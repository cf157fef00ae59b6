"""What a fault did: how often it was tried, what was lost, how soon the next call was taken."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from statistics import median


@dataclass(frozen=True)
class Result:
    """One line of the table."""

    fault: str
    tried: int
    lost: int
    """Confirmed calls that were not in the book afterwards, and calls that were in it twice."""
    next_s: Sequence[float] = ()
    """Seconds until the next call was taken, each time."""
    note: str = ""

    def cells(self) -> tuple[str, ...]:
        """Its columns as text."""
        soon = f"{median(self.next_s):.2f} (most {max(self.next_s):.2f})" if self.next_s else "-"
        return self.fault, str(self.tried), str(self.lost), soon, self.note


HEADS = ("Fault", "Tried", "Events lost", "Next call after, s", "")


def table(results: Iterable[Result]) -> str:
    """The results as lines of equal columns."""
    rows = [HEADS, *(result.cells() for result in results)]
    widths = [max(len(row[nth]) for row in rows) for nth in range(len(HEADS))]
    lines = ("  ".join(f"{c:<{w}}" for c, w in zip(row, widths, strict=True)) for row in rows)
    return "\n".join(line.rstrip() for line in lines)
