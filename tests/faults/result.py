"""Results of faults: how often each was tried, what was lost, how soon calls were booked again."""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import asdict, dataclass, field
from pathlib import Path
from statistics import median


@dataclass(frozen=True)
class Result:
    """One line of the table."""

    fault: str
    tried: int
    lost: int
    """Confirmed calls that are missing from the book or stand in it twice."""
    next_s: Sequence[float] = ()
    """Seconds until the next call was booked, for each try."""
    counts: Mapping[str, int] = field(default_factory=dict)
    """Other counts, by name."""
    most: Mapping[str, float] = field(default_factory=dict)
    """The largest value of other measurements, by name."""
    note: str = ""

    def cells(self) -> tuple[str, ...]:
        """The columns of its line in the table."""
        soon = f"{median(self.next_s):.2f} (most {max(self.next_s):.2f})" if self.next_s else "-"
        counts = [f"{name}: {count}" for name, count in self.counts.items()]
        most = [f"{name}: {value:.4g} at most" for name, value in self.most.items()]
        note = "; ".join([*counts, *most, *([self.note] if self.note else [])])
        return self.fault, str(self.tried), str(self.lost), soon, note

    def __add__(self, other: Result) -> Result:
        """The sum of two results of the same fault."""
        names, measures = {**self.counts, **other.counts}, {**self.most, **other.most}
        return Result(
            self.fault,
            self.tried + other.tried,
            self.lost + other.lost,
            [*self.next_s, *other.next_s],
            {name: self.counts.get(name, 0) + other.counts.get(name, 0) for name in names},
            {name: max(each.most[name] for each in (self, other) if name in each.most)
             for name in measures},
            other.note or self.note,
        )  # fmt: skip


def added(results: Iterable[Result]) -> list[Result]:
    """The results summed by fault, in the order of their first appearance."""
    found: dict[str, Result] = {}
    for result in results:
        known = found.get(result.fault)
        found[result.fault] = known + result if known else result
    return list(found.values())


def write_result(path: Path, result: Result) -> None:
    """Appends a result to those in a file."""
    with path.open("a", encoding="utf-8") as file:
        file.write(json.dumps(asdict(result)) + "\n")


def read_results(path: Path) -> list[Result]:
    """The results in a file, oldest first; none if there is no file."""
    lines = path.read_text(encoding="utf-8").splitlines() if path.exists() else []
    return [Result(**json.loads(line)) for line in lines]


HEADS = ("Fault", "Tried", "Events lost", "Next call after, s", "")


def table(results: Iterable[Result]) -> str:
    """The results as lines of equal columns."""
    rows = [HEADS, *(result.cells() for result in results)]
    widths = [max(len(row[nth]) for row in rows) for nth in range(len(HEADS))]
    lines = ("  ".join(f"{c:<{w}}" for c, w in zip(row, widths, strict=True)) for row in rows)
    return "\n".join(line.rstrip() for line in lines)
