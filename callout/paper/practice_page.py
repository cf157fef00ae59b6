"""The picture of many practices as plain values: a column each, which `practice.typ` draws."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from pathlib import Path
from typing import Any, Final

from callout.paper.box_page import PAPERS
from callout.paper.practice_text import advice, kind_name
from callout.practice.report import Report, weakest
from callout.words import Words

TEMPLATE: Final = Path(__file__).with_name("practice.typ")
MOST: Final = 40
"""The most practices that fit side by side; of more, the latest are drawn."""
LEAST_S: Final = 3
"""The axis of reactions always goes this far. Units: seconds."""
MOST_S: Final = 12
"""A reaction cannot be longer by far: later calls are missed."""
PARTS: Final = ("right", "late", "wrong", "missed")


def practice_page(
    words: Words, results: Sequence[Report], day: Callable[[int], str], paper: str = "a4"
) -> dict[str, Any]:
    """The page's values; `day` writes the date of a moment, in milliseconds since 1970."""
    drawn = [each for each in results if each.whole.count][-MOST:]
    last = drawn[-1] if drawn else None
    times = [each.p90_ms for each in drawn if each.p90_ms is not None]
    top_s = min(MOST_S, max([LEAST_S, *(-(-ms // 1000) for ms in times)]))
    return {
        "paper": PAPERS[paper],
        "lang": words.language,
        "words": dict(words.texts),
        "count": len(drawn),
        "left_out": sum(bool(each.whole.count) for each in results) - len(drawn),
        "top": top_s * 1000,
        "ticks": [{"at": second * 1000, "text": str(second)} for second in range(top_s + 1)],
        "columns": list(_columns(words, drawn, day)),
        "weak": [
            {"name": kind_name(words, kind), "advice": advice(words, kind)}
            for kind in (weakest(last) if last else ())
        ],
    }


def _columns(
    words: Words, drawn: Sequence[Report], day: Callable[[int], str]
) -> Iterator[dict[str, Any]]:
    """A column for each practice; the date stands below the first one of a day."""
    before = ""
    for each in drawn:
        date, count = day(each.at_ms), each.whole.count
        yield {
            "day": "" if date == before else date,
            "name": str(each.level) if each.level else words("lesson_letter"),
            "shares": [getattr(each.whole, part) * 100 / count for part in PARTS],
            "count": count,
            "median": each.median_ms,
            "p90": each.p90_ms,
        }
        before = date
