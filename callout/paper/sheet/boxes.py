"""Team fouls and time-outs, as rows of boxes."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any, Final

from callout.game.choices import SheetForm, Span
from callout.game.figures.fouls import counting_period, team_fouls
from callout.game.figures.timeouts import timeouts_struck
from callout.game.profile.profile import Profile
from callout.game.state import Game, Owner, Phase, TimeoutLine
from callout.game.terms import Team
from callout.paper.sheet.running import periods_over
from callout.paper.sheet.words import period_name, when
from callout.words import Words

Row = dict[str, Any]

# --- team fouls -----------------------------------------------------------------------------


def foul_rows(words: Words, game: Game, form: SheetForm, team: Team) -> list[Row]:
    """For each span over which team fouls are counted: its boxes, and how many are crossed.

    FIBA's form has a box for each foul before the penalty; the other one has boxes up to the foul
    with which the last penalty begins.
    """
    tiers = game.profile.penalty.tiers
    at = min(tier.at for tier in tiers) - 1 if form is SheetForm.FIBA else max(t.at for t in tiers)
    rows = []
    for name, first, last in _foul_spans(words, game):
        used = team_fouls(game, team, first) if first <= max(1, game.period + 1) else 0
        boxes = at if form is SheetForm.FIBA else max(at, used)
        rows.append({"label": name, "boxes": boxes, "used": min(used, boxes), "fouls": used,
                     "closed": _closed(game, last)})  # fmt: skip
    return rows


def _closed(game: Game, last: int) -> bool:
    """Whether no further foul can count to a span that ends with that period."""
    if last >= game.profile.periods.count and game.profile.fouls.overtime_counts_last:
        return game.phase is Phase.OVER
    return game.phase is Phase.OVER or periods_over(game) >= last


def _foul_spans(words: Words, game: Game) -> Iterator[tuple[str, int, int]]:
    """Each span's name, its first and its last period."""
    profile, count = game.profile, game.profile.periods.count
    over, half = profile.penalty.over, profile.periods.half_after
    if over is Span.GAME:
        yield words("whole_game"), 1, count
    elif over is Span.HALF and count > half:
        yield words("first_half"), 1, half
        yield words("second_half"), half + 1, count
    else:
        for period in range(1, count + 1):
            yield period_name(words, profile, period), period, period
    for period in range(count + 1, game.period + 1):
        if over is not Span.GAME and counting_period(profile, period) == period:
            yield period_name(words, profile, period), period, period


# --- time-outs ------------------------------------------------------------------------------

USED: Final = "used"
FREE: Final = "free"
STRUCK: Final = "struck"
"""Not taken in time: two lines, as in any box that nobody can use any more."""


def timeout_rows(
    words: Words, game: Game, form: SheetForm, team: Team, left_tenths: int
) -> list[Row]:
    """For each allotment of time-outs: a box for each, with when it was taken.

    Source: FIBA B.7; interpretations 18/19-22 and 18/19-23 for a box that is struck.
    """
    taken = [line for line in game.timeouts if line.team is team]
    struck = timeouts_struck(game, team, left_tenths)
    rows = []
    for name, kind, count, first, last in _pools(words, game):
        mine = [t for t in taken if t.kind == kind and first <= max(1, t.period) <= last][:count]
        taken = [t for t in taken if t not in mine]
        lost = min(struck, max(0, count - len(mine))) if _limited(game, first, last) else 0
        struck -= lost
        boxes = _in_boxes(words, game, form, mine, lost)
        over = game.phase is Phase.OVER or periods_over(game) >= last
        rest = {"state": STRUCK if over else FREE, "text": ""}
        rows.append({"label": name, "boxes": [*boxes, *[rest] * (count - len(boxes))]})
    if taken:
        boxes = [{"state": USED, "text": _when(words, game, form, line)} for line in taken]
        rows.append({"label": words("more_timeouts"), "boxes": boxes})
    return rows


def _in_boxes(
    words: Words, game: Game, form: SheetForm, mine: list[TimeoutLine], lost: int
) -> list[Row]:
    """The time-outs taken; those that the rules took away stand where they were lost."""
    boxes: list[Row] = [{"state": USED, "text": _when(words, game, form, line)} for line in mine]
    before = sum(not _after_limit(game, line) for line in mine)
    gone = [{"state": STRUCK, "text": ""} for _ in range(lost)]
    return [*boxes[:before], *gone, *boxes[before:]]


def _after_limit(game: Game, line: TimeoutLine) -> bool:
    return any(
        line.period > limit.period
        or (line.period == limit.period and line.left_tenths <= 10 * limit.last_s)
        for limit in game.profile.timeouts.limits
        if limit.last_s
    )


def _limited(game: Game, first: int, last: int) -> bool:
    return any(first <= limit.period <= last for limit in game.profile.timeouts.limits)


def _when(words: Words, game: Game, form: SheetForm, line: TimeoutLine) -> str:
    """FIBA's form has the minute of the period, counted from 1; the other one the clock.

    Source: FIBA B.7; that a minute which has begun counts is from memory.
    """
    if form is SheetForm.AMERICAN or game.owner is Owner.NONE:
        return when(words, game, line.period, line.left_tenths)
    length = game.profile.length_tenths(max(1, line.period))
    return str(max(0, length - line.left_tenths) // 600 + 1)


Pool = tuple[str, str, int, int, int]
"""A row's label, the kind of time-out, how many there are, and the first and last period."""


def _pools(words: Words, game: Game) -> Iterator[Pool]:
    profile = game.profile
    last = max(profile.periods.count, game.period)
    for kind in profile.timeouts.kinds:
        mine = [each for each in profile.timeouts.allotments if each.kind == kind]
        several = len({each.kind for each in profile.timeouts.allotments}) > 1
        if any(each.carries for each in mine):
            extra = last - profile.periods.count
            count = sum(a.count * (extra if a.per is Span.OVERTIME else 1) for a in mine)
            yield kind_name(words, profile, kind), kind, count, 1, last
            continue
        for each in mine:
            for name, begin, end in _spans(words, profile, each.per, last):
                label = f"{kind_name(words, profile, kind)}, {name}" if several else name
                yield label, kind, each.count, begin, end


def kind_name(words: Words, profile: Profile, kind: str) -> str:
    """A kind of time-out by its length: 60 s."""
    return words("timeout_kind", seconds=profile.timeouts.kinds[kind].length_s)


def _spans(words: Words, profile: Profile, per: Span, last: int) -> Iterator[tuple[str, int, int]]:
    count, half = profile.periods.count, profile.periods.half_after
    if per in (Span.HALF, Span.FIRST_HALF):
        yield words("first_half"), 1, half
    if per in (Span.HALF, Span.SECOND_HALF):
        yield words("second_half"), half + 1, count
    if per is Span.GAME:
        yield words("whole_game"), 1, count
    if per is Span.PERIOD:
        for period in range(1, count + 1):
            yield period_name(words, profile, period), period, period
    if per is Span.OVERTIME:
        for period in range(count + 1, last + 1):
            yield period_name(words, profile, period), period, period
