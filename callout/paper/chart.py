"""The picture of a game's course as plain values: axes, ticks, areas and marks, in their units.

Times are tenths of a second of game time, heights are points of lead: home's upwards, guest's
downwards. `box.typ` turns both into lengths on the paper.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import groupby
from typing import Any, Final

from callout.game.profile.profile import Profile
from callout.game.state import Charge
from callout.game.terms import FoulKind, Team
from callout.paper.course import Course, Mark, Run, Span, Step, lead_changes, runs, ties
from callout.table.foul_codes import CODES
from callout.words import Words

LEAST_LEAD: Final = 5
"""The axis of leads always goes this far to both sides."""
MOST_TICKS: Final = 8
STEPS: Final = (1, 5, 10, 20, 25, 50, 100)
"""Points from one tick to the next."""
MOST_MINUTES: Final = 13
"""How many times fit below the picture, printed small."""
MARKS_ACROSS: Final = 120
"""How many marks fit side by side; of marks that would overlap the later ones are moved on."""

Point = tuple[int, int]


def chart(words: Words, profile: Profile, course: Course) -> dict[str, Any]:
    """All that is drawn."""
    low, high, leads = _leads(course.steps)
    whole = course.spans[-1].to_tenths
    names = {span: span_name(words, profile, span) for span in course.spans}
    return {
        "to": whole,
        "low": low,
        "high": high,
        "leads": [{"at": at, "text": str(abs(at))} for at in leads],
        "times": [{"at": at, "text": text} for at, text in _times(course)],
        "title": _title(words, course),
        "spans": [
            {"from": span.from_tenths, "to": span.to_tenths, "text": names[span]}
            for span in course.spans
        ],
        "line": _line(course.steps, course.now_tenths),
        "areas": [
            {"side": team.value, "points": points}
            for team, points in _areas(course.steps, course.now_tenths)
        ],
        "changes": [step.at_tenths for step in lead_changes(course.steps)],
        "ties": [step.at_tenths for step in ties(course.steps)],
        "runs": [_run(run) for run in runs(course.steps)],
        "fouls": {team.value: _fouls(course.marks, team, whole) for team in Team},
        "timeouts": {team.value: _timeouts(course.marks, team, whole) for team in Team},
        "officials": _timeouts(course.marks, None, whole),
    }


def span_name(words: Words, profile: Profile, span: Span) -> str:
    """A period as a column's head: `3`, `OT 1`."""
    over = span.period - profile.periods.count
    return words("overtime_column", nth=over) if over > 0 else str(span.period)


def _leads(steps: Sequence[Step]) -> tuple[int, int, list[int]]:
    """The lowest and the highest value of the axis of leads, and its ticks."""
    low = min([-LEAST_LEAD, *(step.margin for step in steps)])
    high = max([LEAST_LEAD, *(step.margin for step in steps)])
    by = next((by for by in STEPS if high - low <= by * MOST_TICKS), STEPS[-1])
    low, high = low // by * by, -(-high // by) * by
    return low, high, list(range(low, high + 1, by))


def _title(words: Words, course: Course) -> str:
    if any(span.timed for span in course.spans):
        untimed = not all(span.timed for span in course.spans)
        return words("time_but_overtime" if untimed else "game_time")
    return words("no_clock_kept")


def _times(course: Course) -> Iterator[tuple[int, str]]:
    """The ticks of the axis of game time: each period's ends, and even minutes between."""
    timed = [span for span in course.spans if span.timed]
    if not timed:
        return
    lengths = [span.to_tenths - span.from_tenths for span in timed]
    minutes = [by for by in (1, 2, 3, 4, 5, 6, 8, 10, 12, 16, 20) if not lengths[0] % (600 * by)]
    room = MOST_MINUTES * lengths[0] // sum(lengths)
    by = next((by for by in minutes if lengths[0] // (600 * by) <= room), 0)
    yield 0, "0"
    for span, length in zip(timed, lengths, strict=True):
        inner = range(600 * by, length, 600 * by) if by and length == lengths[0] else ()
        for passed in (*inner, length):
            yield span.from_tenths + passed, _minutes(span.from_tenths + passed)


def _minutes(tenths: int) -> str:
    return f"{tenths / 600:.1f}".removesuffix(".0")


def _line(steps: Sequence[Step], now_tenths: int) -> list[Point]:
    """The corners of the margin's line, from the start to now."""
    corners, margin = [(0, 0)], 0
    for step in steps:
        corners += [(step.at_tenths, margin), (step.at_tenths, step.margin)]
        margin = step.margin
    return [*corners, (max(now_tenths, corners[-1][0]), margin)]


def _areas(steps: Sequence[Step], now_tenths: int) -> Iterator[tuple[Team, list[Point]]]:
    """The areas between the line and level, one for each time that a team led."""
    ends = [step.at_tenths for step in steps[1:]]
    pieces = list(zip(steps, [*ends, max([now_tenths, *ends])], strict=False))
    for sign, group in groupby(
        pieces, key=lambda piece: (piece[0].margin > 0) - (piece[0].margin < 0)
    ):
        led = list(group)
        if sign:
            tops = [(at, step.margin) for step, end in led for at in (step.at_tenths, end)]
            yield (
                Team.HOME if sign > 0 else Team.GUEST,
                [(tops[0][0], 0), *tops, (tops[-1][0], 0)],
            )


def _run(run: Run) -> dict[str, Any]:
    return {
        "side": run.team.value,
        "from": run.steps[0].at_tenths,
        "to": run.steps[-1].at_tenths,
        "text": str(run.points),
    }


def _fouls(marks: Sequence[Mark], team: Team, whole: int) -> list[dict[str, Any]]:
    """A team's fouls; all but common ones with their letter."""
    mine = [(m.line, m.at_tenths) for m in marks if isinstance(m.line, Charge)]
    own = [(line, at) for line, at in mine if line.team is team]
    common = (FoulKind.PERSONAL, FoulKind.OFFENSIVE, FoulKind.THROW_IN)
    return [
        {"at": at, "text": "" if line.foul in common else CODES[line.foul]}
        for (line, _), at in zip(own, _apart([at for _, at in own], whole), strict=True)
    ]


def _timeouts(marks: Sequence[Mark], team: Team | None, whole: int) -> list[int]:
    own = [m.at_tenths for m in marks if not isinstance(m.line, Charge) and m.line.team is team]
    return _apart(own, whole)


def _apart(times: Sequence[int], whole: int) -> list[int]:
    """The times, in order, moved so that no mark hides another and none leaves the axis."""
    apart, moved = whole // MARKS_ACROSS, list(times)
    for nth in range(1, len(moved)):
        moved[nth] = max(moved[nth], moved[nth - 1] + apart)
    for nth, most in enumerate(range(whole, -1, -apart), start=1):
        if nth <= len(moved):
            moved[-nth] = min(moved[-nth], most)
    return moved
