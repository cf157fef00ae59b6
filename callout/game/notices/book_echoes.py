"""The echo of a comparison with another book, and what the next crew must know."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from typing import Any, Final

from callout.game import events
from callout.game.events import Event
from callout.game.figures.fouls import coach_is_out, is_out, player_fouls
from callout.game.figures.score import (
    last_period,
    open_lines,
    period_slots,
    score,
    score_slots,
    shown,
)
from callout.game.notices import book_kinds as rows
from callout.game.notices.board import board_between
from callout.game.notices.kinds import Notice
from callout.game.state import Charge, Game, Goal
from callout.game.terms import Figure, Team


def _book_compared(before: Game, event: events.BookCompared, after: Game) -> list[Notice]:
    period = {"nth": None, "unit": None}
    slots = {
        "team": event.team,
        "figure": event.figure,
        "number": event.number,
        **(period_slots(after, event.period) if event.period else period),
        "count": event.count,
    }
    if event.count == event.booked:
        return [Notice(rows.BOOKS_AGREE, slots)]
    differs = Notice(rows.BOOKS_DIFFER, {**slots, "booked": event.booked})
    if event.figure is not Figure.SCORE or event.period or after.period < 2:
        return [differs]
    # With the points of each period the scorers soon see in which of them the books part.
    points = tuple(score(after, event.team, p) for p in range(1, last_period(after) + 1))
    return [differs, Notice(rows.BY_PERIODS, {"team": event.team, "points": points})]


def _handed_over(before: Game, event: events.HandedOver, after: Game) -> list[Notice]:
    """The game as it stands, and all that waits or is open."""
    left = after.clock.left_at(event.wall_ms)
    now = {**period_slots(after, max(1, after.period)), "left_tenths": shown(after, left)}
    return [
        Notice(rows.HANDED_OVER, {**now, **score_slots(after)}),
        *_waiting(after),
        *_near_the_limit(after),
        *numbers_open(after),
        *marked(after),
        *board_between(after),
    ]


def _waiting(game: Game) -> Iterator[Notice]:
    """Throws to come, and who waits for a time-out or to come in."""
    for owed in game.owed:
        yield Notice(rows.THROWS_TO_COME, {"team": owed.team, "more": owed.left})
    for team in game.timeouts_asked:
        yield Notice(rows.WAITING_TIMEOUT, {"team": team})
    if game.subs_waiting:
        yield Notice(rows.WAITING_SUBS)


def _near_the_limit(game: Game) -> Iterator[Notice]:
    """Players and coaches who are out, players one foul from it, teams warned for delaying."""
    for team in Team:
        charged = [(c.team, c.number) for c in game.charges]
        named = dict.fromkeys((*charged, *game.sent_off))
        fouled = tuple(number for side, number in named if side is team and number)
        out = tuple(number for number in fouled if is_out(game, team, number))
        limit = game.profile.fouls.limit - 1
        near = tuple(
            number
            for number in fouled
            if number not in out and player_fouls(game, team, number) == limit
        )
        if out:
            yield Notice(rows.ALREADY_OUT, {"team": team, "numbers": out})
        if coach_is_out(game, team):
            yield Notice(rows.COACH_ALREADY_OUT, {"team": team})
        if near:
            yield Notice(rows.ONE_FOUL_LEFT, {"team": team, "numbers": near})
        if team in game.delays:
            yield Notice(rows.DELAY_WARNED_BEFORE, {"team": team})


def numbers_open(game: Game) -> Iterator[Notice]:
    """Lines without a number, the oldest first."""
    for line in open_lines(game):
        slots = {**_when(game, line.period, line.left_tenths), "team": line.team}
        yield Notice(rows.NUMBER_IS_OPEN, {**slots, "line": _kind(line)})


def marked(game: Game, period: int | None = None) -> Iterator[Notice]:
    """Moments marked to be looked at, in the whole game or in one period."""
    for each, left in game.marks:
        if period in (None, each):
            yield Notice(rows.MARKED_BEFORE, _when(game, each, left))


def _kind(line: Goal | Charge) -> str:
    if isinstance(line, Charge):
        return "foul"
    return "throw" if line.free_throw else "basket"


def _when(game: Game, period: int, left_tenths: int) -> dict[str, object]:
    return {**period_slots(game, max(1, period)), "left_tenths": shown(game, left_tenths)}


BOOKS: Final[Mapping[type[Event], Callable[[Game, Any, Game], list[Notice]]]] = {
    events.BookCompared: _book_compared,
    events.HandedOver: _handed_over,
}
"""The function for each of these classes of event."""
