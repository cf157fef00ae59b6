"""What is said before the first period: deadlines, the checklist, starting fives, main figures."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from typing import Any, Final

from callout.game import events
from callout.game.choices import Span
from callout.game.events import Event
from callout.game.figures import checklist
from callout.game.figures.score import illegal_numbers
from callout.game.notices import pregame_kinds as rows
from callout.game.notices.kinds import NUMBER_ILLEGAL, Notice
from callout.game.profile.before import Look
from callout.game.profile.profile import Profile
from callout.game.state import Game
from callout.game.terms import CheckedAs, Team


def to_tip_s(game: Game, wall_ms: int) -> int:
    """How long it is to the start; 0 once it has passed, or where nobody said it.

    Units: whole seconds.
    """
    return max(0, (game.tip_ms or 0) - wall_ms + 500) // 1000


def to_tip(game: Game, wall_ms: int) -> Notice:
    """How long it is to the start, told."""
    return Notice(rows.TO_TIP, {"left_tenths": 10 * to_tip_s(game, wall_ms)})


def _minutes(left_s: int) -> int | None:
    """The nearest whole minutes; None where it is less than two, which is told in seconds."""
    return (left_s + 30) // 60 if left_s >= 120 else None


def deadline(game: Game, item: str, minutes: int | None) -> Notice:
    """An item that is due in so many minutes, or now; of lists and starters, whose are missing."""
    look = checklist.look_of(game.profile, item)
    soon = {} if minutes is None else {"minutes": minutes}
    if look in (Look.LISTS, Look.STARTERS):
        kind = _OF_TEAMS[look, minutes is None]
        return Notice(kind, {"teams": checklist.lacking(game, item), **soon}).by_rules(game.profile)
    return Notice(rows.ITEM_DUE if minutes is None else rows.ITEM_SOON, {"item": item, **soon})


_OF_TEAMS: Final = {
    (Look.LISTS, True): rows.LISTS_DUE,
    (Look.LISTS, False): rows.LISTS_SOON,
    (Look.STARTERS, True): rows.STARTERS_DUE,
    (Look.STARTERS, False): rows.STARTERS_SOON,
}
"""By what is missing, and whether it is due now."""


def item_told(game: Game, item: str, wall_ms: int) -> tuple[Notice, ...]:
    """An item as it is asked, after what the program sees of it."""
    found = game.profile.before.items.get(item)
    words = (found.words if found else "") or None
    due, tip = checklist.due_s(game.profile, item), game.tip_ms
    left_s = (tip - wall_ms) // 1000 - due if tip is not None and due else 0
    slots = {
        "item": None if words else item,
        "words": words,
        "minutes": _minutes(left_s),
    }
    return (Notice(rows.NEXT_ITEM, slots), *_seen_of(game, item))


def _seen_of(game: Game, item: str) -> Iterator[Notice]:
    """What the lists and the starters lack, and the figures where they are to be read."""
    match checklist.look_of(game.profile, item):
        case Look.LISTS:
            yield Notice(rows.LIST_LACKING, {"teams": checklist.lacking(game, item)})
        case Look.NUMBERS:
            yield from list_notices(game)
        case Look.STARTERS:
            most = game.profile.roster.on_court
            for team in checklist.lacking(game, item):
                slots = {"team": team, "count": len(game.side(team).starters), "most": most}
                yield Notice(rows.STARTERS_LACKING, slots)
        case Look.FIGURES:
            yield from league_figures(game.profile)


def list_notices(game: Game) -> Iterator[Notice]:
    """Numbers that are not legal, and lists that are too long."""
    most = game.profile.roster.most
    for team in Team:
        numbers = game.side(team).numbers
        for number in illegal_numbers(game.profile, numbers):
            slots = {"team": team, "number": number}
            yield Notice(NUMBER_ILLEGAL, slots).by_rules(game.profile)
        if most and len(numbers) > most:
            many = {"team": team, "count": len(numbers), "most": most}
            yield Notice(rows.LIST_TOO_LONG, many).by_rules(game.profile)


def items_left(game: Game) -> Notice:
    """What is left of the checklist."""
    items = checklist.left(game)
    return Notice(rows.ITEMS_LEFT, {"items": items}) if items else Notice(rows.NOTHING_LEFT)


def league_figures(profile: Profile) -> Iterator[Notice]:
    """Periods, fouls, the penalty and time-outs, as a crew reads them out before a game."""
    periods = profile.periods
    whole = periods.length_s % 60 == 0
    length = {
        "minutes": periods.length_s // 60 if whole else None,
        "left_tenths": None if whole else 10 * periods.length_s,
    }
    unit = {1: "period", 2: "half"}.get(periods.count, "quarter")
    if periods.count == 1:
        yield Notice(rows.FIGURES_PERIOD, length)
    else:
        yield Notice(rows.FIGURES_PERIODS, {"count": periods.count, "unit": unit, **length})
    if profile.fouls.limit < NO_LIMIT:
        yield Notice(rows.FIGURES_OUT, {"fouls": profile.fouls.limit})
    for tier in profile.penalty.tiers:
        if not tier.last_s:
            over = profile.penalty.over
            in_each = over is Span.PERIOD
            of = {"span": None if in_each else over, "unit": unit if in_each else None}
            kind = rows.FIGURES_PENALTY_BALL if tier.ball else rows.FIGURES_PENALTY
            yield Notice(kind, {"at": tier.at, **of, "award": tier.award})
    several = len(profile.timeouts.kinds) > 1
    for each in profile.timeouts.allotments:
        of_kind = each.kind if several else None
        slots = {"count": each.count, "kind": of_kind, "span": each.per}
        yield Notice(rows.FIGURES_TIMEOUTS, slots)


NO_LIMIT: Final = 20
"""A league that limits nobody's fouls has a limit that nobody reaches."""


# --- echoes ---------------------------------------------------------------------------------------


def _tip_set(before: Game, event: events.TipSet, after: Game) -> list[Notice]:
    now_ms = after.lines[-1].wall_ms if after.lines else event.wall_ms
    left_s = to_tip_s(after, now_ms)
    minutes = _minutes(left_s)
    hours = minutes // 60 if minutes is not None and minutes >= _LONG_MIN else None
    left = {
        "hours": hours,
        "minutes": minutes if hours is None else (minutes or 0) % 60 or None,
        "seconds": left_s if minutes is None else None,
    }
    return [Notice(rows.TIP_SET, left)]


_LONG_MIN: Final = 120
"""Minutes to the tip that are told in hours."""


def _item_checked(before: Game, event: events.ItemChecked, after: Game) -> list[Notice]:
    if event.how is not CheckedAs.SEEN:
        kind = rows.ITEM_DONE if event.how is CheckedAs.DONE else rows.ITEM_SKIPPED
        return [Notice(kind, {"item": event.item})]
    match checklist.look_of(after.profile, event.item):
        case Look.LISTS:
            counts = {team.value: len(after.side(team).numbers) for team in Team}
            return [Notice(rows.LIST_SEEN, counts)]
        case Look.TIP | Look.STARTERS:
            return []  # The call that made it so was confirmed.
    return [Notice(rows.ITEM_SEEN, {"item": event.item})]


def _starter_dropped(before: Game, event: events.StarterDropped, after: Game) -> list[Notice]:
    return [Notice(rows.STARTER_DROPPED, {"team": event.team, "number": event.number})]


def _starters_confirmed(before: Game, event: events.StartersConfirmed, after: Game) -> list[Notice]:
    slots = {"team": event.team, "count": len(event.numbers)}
    return [Notice(rows.STARTERS_RIGHT, slots)]


PREGAME: Final[Mapping[type[Event], Callable[[Game, Any, Game], list[Notice]]]] = {
    events.TipSet: _tip_set,
    events.ItemChecked: _item_checked,
    events.StarterDropped: _starter_dropped,
    events.StartersConfirmed: _starters_confirmed,
}
"""The function for each of these classes of event."""
