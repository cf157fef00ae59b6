"""A printed sheet, read back from its PDF: the boxes, the text in each, and what is drawn there.

pdfminer gives lines, curves and letters with their places. Nothing is known here of the template's
sizes: a mark belongs to the box in which its middle lies.
"""

from __future__ import annotations

import io
import re
import subprocess
from collections.abc import Iterator
from dataclasses import dataclass, field
from itertools import pairwise
from typing import Any

from pdfminer.converter import PDFPageAggregator
from pdfminer.layout import LTChar, LTCurve, LTLine, LTPage, LTRect
from pdfminer.pdfinterp import PDFPageInterpreter, PDFResourceManager
from pdfminer.pdfpage import PDFPage


@dataclass
class Box:
    """A box with what is in it."""

    page: int
    x0: float
    y0: float
    x1: float
    y1: float
    letters: list[tuple[float, str]] = field(default_factory=list)
    strokes: int = 0
    """Lines that go up or down."""
    level: int = 0
    """Horizontal lines."""
    discs: int = 0
    rings: int = 0

    @property
    def text(self) -> str:
        """The text in it."""
        return "".join(letter for _, letter in sorted(self.letters)).strip()

    @property
    def width(self) -> float:
        """In points."""
        return self.x1 - self.x0


def boxes(pdf: bytes) -> list[Box]:
    """All boxes, page by page, from the top and from the left."""
    found = []
    for number, page in enumerate(_pages(pdf)):
        found += _of_page(number, page)
    return found


def _pages(pdf: bytes) -> Iterator[LTPage]:
    """The pages letter by letter: they are not grouped into words, which takes long."""
    fonts = PDFResourceManager()
    device = PDFPageAggregator(fonts, laparams=None)
    interpreter = PDFPageInterpreter(fonts, device)
    for page in PDFPage.get_pages(io.BytesIO(pdf)):
        interpreter.process_page(page)
        yield device.get_result()


def _of_page(number: int, page: LTPage) -> list[Box]:
    things = list(page)
    made = [
        Box(number, t.x0, t.y0, t.x1, t.y1)
        for t in things
        if isinstance(t, LTRect) and t.stroke and not t.fill and t.width < 400 and t.height < 30
    ]
    heights: dict[int, list[Box]] = {}
    for box in made:
        for height in range(int(box.y0), int(box.y1) + 1):
            heights.setdefault(height, []).append(box)
    for thing in things:
        if not isinstance(thing, LTRect):
            x, y = (thing.x0 + thing.x1) / 2, (thing.y0 + thing.y1) / 2
            near = heights.get(int(y), ())
            holds = [b for b in near if b.x0 <= x < b.x1 and b.y0 <= y < b.y1]
            # What is larger than a box does not belong to it: the line through all that is left.
            if holds and thing.height <= 1.2 * (holds[0].y1 - holds[0].y0):
                _enter(holds[0], thing)
    return sorted(made, key=lambda b: (round(-b.y1, 1), b.x0))


def _enter(box: Box, thing: Any) -> None:
    if isinstance(thing, LTChar):
        box.letters.append((thing.x0, thing.get_text()))
    elif isinstance(thing, LTLine):
        if thing.height < 0.1:
            box.level += 1
        elif thing.width > 0.1:
            box.strokes += 1
    elif isinstance(thing, LTCurve):
        box.discs += bool(thing.fill)
        box.rings += bool(thing.stroke and not thing.fill)


@dataclass(frozen=True)
class Mark:
    """How one total is marked in a running score."""

    mark: str
    by: str
    end: bool
    """Whether the total is circled, as at the end of a period."""


Running = dict[int, Mark]


def fiba_running(found: list[Box]) -> tuple[Running, Running]:
    """Both teams' running scores: scorer, total, total, scorer from left to right."""
    both: tuple[Running, Running] = ({}, {})
    for four in zip(found, found[1:], found[2:], found[3:], strict=False):
        by_a, a, b, by_b = four
        level = len({round(each.y0, 1) for each in four}) == 1
        touching = all(abs(m.x1 - n.x0) < 0.2 for m, n in pairwise(four))
        if level and touching and a.text == b.text and a.text.isdigit():
            for running, total, by in ((both[0], a, by_a), (both[1], b, by_b)):
                _note(running, int(total.text), total, by)
    return both


def american_running(found: list[Box]) -> tuple[Running, Running]:
    """Both teams' running scores: the scorer stands below the total, and home above guest."""
    both: tuple[Running, Running] = ({}, {})
    places = {(b.page, round(b.x0, 1), round(b.y1, 1)): b for b in found}
    rows: dict[tuple[int, float], list[Box]] = {}
    for box in found:
        rows.setdefault((box.page, round(box.y1, 1)), []).append(box)
    for row in rows.values():
        totals = [int(b.text) for b in row if b.text.isdigit()]
        if len(totals) < 45 or totals != list(range(totals[0], totals[0] + 45)):
            continue
        # Home's rows come first, so a total that was seen before is guest's.
        running = both[totals[0] in both[0]]
        for box in row:
            below = places[box.page, round(box.x0, 1), round(box.y0, 1)]
            running[int(box.text)] = Mark("", "", False)
            _note(running, int(box.text), box, below)
    return tuple({n: m for n, m in r.items() if m.mark or m.end} for r in both)  # type: ignore[return-value]


def _note(running: Running, total: int, box: Box, by: Box) -> None:
    if box.discs:
        mark = "throw"
    elif box.strokes:
        mark = "three" if by.rings else "goal"
    else:
        mark = "ruled" if by.text else ""
    if mark or box.rings:
        running[total] = Mark(mark, by.text, box.rings > 0)


def points_by_shirt(running: Running) -> dict[str, int]:
    """The points of each number that stands in a running score."""
    points: dict[str, int] = {}
    before = 0
    for total, mark in sorted(running.items()):
        if mark.mark:
            points[mark.by] = points.get(mark.by, 0) + total - before
            before = total
    return points


# --- the text, by another reader ------------------------------------------------------------------


def text_of(pdf: bytes) -> str:
    """The text as poppler lays it out."""
    return subprocess.run(
        ["pdftotext", "-layout", "-", "-"], input=pdf, stdout=subprocess.PIPE, check=True
    ).stdout.decode()


SUM = re.compile(
    r"Points: players (-?\d+) \+ number missing (-?\d+) \+ own baskets (-?\d+) "
    r"\+ officials (-?\d+) = (-?\d+)"
)


def sums(text: str) -> list[tuple[int, ...]]:
    """For each team: points of players, with the number missing, of nobody, officials', all."""
    return [tuple(map(int, found)) for found in SUM.findall(text)]


def fiba_periods(text: str) -> list[tuple[int, int]]:
    """The points of each period that has begun."""
    found = re.findall(r"Period \S+ +A +(-?\d+) +B +(-?\d+)", text)
    return [(int(a), int(b)) for a, b in found]


def fiba_score(text: str) -> tuple[int, int]:
    """The final score, or the score so far."""
    found = re.search(r"(?:Final score|Score so far|Score as played) +A +(-?\d+) +B +(-?\d+)", text)
    assert found
    return int(found[1]), int(found[2])


def american_totals(text: str, kinds: int) -> Iterator[tuple[list[int], int]]:
    """For each team the points by period and all; `kinds` of field goals stand between."""
    for row in re.findall(r"^ *Total((?: +-?\d+)+) +\d+/\d+ +(-?\d+) *$", text, re.MULTILINE):
        numbers = [int(number) for number in row[0].split()]
        yield numbers[: len(numbers) - kinds], int(row[1])
