"""The echoes of what happens seldom: shirts, injuries, lane violations, games not played out."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any, Final

from callout.game import events
from callout.game.events import Event
from callout.game.figures.forfeits import official_score
from callout.game.figures.fouls import player_fouls
from callout.game.figures.score import owed_to, period_slots, score_slots, shown
from callout.game.notices import book_kinds, kinds
from callout.game.notices.board import board_between
from callout.game.notices.kinds import Notice
from callout.game.state import Forfeited, Game, Goal


def _shirt_changed(before: Game, event: events.ShirtChanged, after: Game) -> list[Notice]:
    fouls = player_fouls(after, event.team, event.new)
    slots = {"team": event.team, "number": event.number, "new": event.new, "fouls": fouls or None}
    return [Notice(kinds.SHIRT_CHANGED, slots)]


def _sent_off(before: Game, event: events.SentOff, after: Game) -> list[Notice]:
    if event.number is None:
        return [Notice(kinds.COACH_SENT_OFF, {"team": event.team})]
    return [Notice(kinds.SENT_OFF, {"team": event.team, "number": event.number})]


def _player_hurt(before: Game, event: events.PlayerHurt, after: Game) -> list[Notice]:
    slots = {"team": event.team, "number": event.number, "bleeds": event.bleeds}
    first = all(each.bleeds is not event.bleeds for each in before.hurt)
    care = book_kinds.CARE_BLOOD if event.bleeds else book_kinds.CARE_HEAD
    return [Notice(kinds.HURT, slots), *([Notice(care)] if first else [])]


def _throw_voided(before: Game, event: events.ThrowVoided, after: Game) -> list[Notice]:
    line = next((goal for goal in before.goals if goal.item == event.item), None)
    if not isinstance(line, Goal):
        return []
    if not event.again:
        return [Notice(kinds.THROW_VOID, {"team": line.team, **score_slots(after)})]
    owed = owed_to(after, line.team)
    return [Notice(kinds.THROW_AGAIN, {"team": line.team, "more": owed.left if owed else 1})]


def _game_forfeited(before: Game, event: events.GameForfeited, after: Game) -> list[Notice]:
    home, guest = official_score(after, Forfeited(event.team, event.default))
    slots = {"team": event.team, "winner": event.team.other, "home": home, "guest": guest}
    return [Notice(kinds.DEFAULTED if event.default else kinds.FORFEITED, slots)]


def _game_suspended(before: Game, event: events.GameSuspended, after: Game) -> list[Notice]:
    slots = {"left_tenths": shown(after, event.left_tenths), **score_slots(after)}
    named = {**slots, **period_slots(after, event.period)}
    return [Notice(kinds.SUSPENDED, named), *board_between(after)]


def _delay_warned(before: Game, event: events.DelayWarned, after: Game) -> list[Notice]:
    return [Notice(kinds.DELAY_WARNED, {"team": event.team})]


def _too_many_seen(before: Game, event: events.TooManySeen, after: Game) -> list[Notice]:
    return [Notice(kinds.TOO_MANY_SEEN, {"team": event.team})]


def _score_checked(before: Game, event: events.ScoreChecked, after: Game) -> list[Notice]:
    slots = {"team": event.team, "shown": event.shown}
    if event.shown == event.booked:
        return [Notice(kinds.BOARD_AGREES, slots)]
    return [Notice(kinds.BOARD_DIFFERS, {**slots, "booked": event.booked})]


INCIDENTS: Final[Mapping[type[Event], Callable[[Game, Any, Game], list[Notice]]]] = {
    events.ShirtChanged: _shirt_changed,
    events.SentOff: _sent_off,
    events.PlayerHurt: _player_hurt,
    events.ThrowVoided: _throw_voided,
    events.GameForfeited: _game_forfeited,
    events.GameSuspended: _game_suspended,
    events.DelayWarned: _delay_warned,
    events.TooManySeen: _too_many_seen,
    events.ScoreChecked: _score_checked,
}
"""The function for each of these classes of event."""
