"""The journal's entries folded into a game: the live state is always this fold."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from typing import Final

from callout.game import calls, events
from callout.game.apply import apply
from callout.game.calls import CALLS, Call
from callout.game.events import Event, PutBackIn, TakenBack
from callout.game.profile import Profile
from callout.game.state import At, Clock, Game, Line, Owner, Side

CLOCK_EVENTS: Final = (
    events.PeriodStarted,
    events.PeriodEnded,
    events.ClockStarted,
    events.ClockStopped,
    events.TimeoutEnded,
)
"""What happened to the clock happened: taking an entry back never moves it."""

STAYING: Final = (
    calls.StartClock,
    calls.StopClock,
    calls.StartPeriod,
    calls.EndPeriod,
    calls.ClockExpired,
    calls.Reminder,
    calls.TimeoutOver,
    calls.CheckClock,
    calls.Undo,
    calls.PutBack,
)
"""Calls that "undo" passes over on its way to the newest entry of the book."""


@dataclass(frozen=True, slots=True)
class Entry:
    """One call as the journal keeps it, with all that it brought."""

    id: int
    call: Call
    source: str
    """How it came: voice, key, pedal, script or clock."""
    at: At
    events: tuple[Event, ...]


def new_game(profile: Profile, home: Side, guest: Side, owner: Owner = Owner.OURS) -> Game:
    """A game before its first call."""
    return Game(profile, home, guest, owner, clock=Clock(profile.length_tenths(1)))


def fold(start: Game, entries: Iterable[Entry]) -> Game:
    """The game after all entries, without those that were taken back."""
    book = list(entries)
    gone = _taken_back(book)
    game = start
    for entry in book:
        game = _left_out(game, entry) if entry.id in gone else _enter(game, entry)
    return game


def advance(start: Game, entries: Sequence[Entry], game: Game, entry: Entry) -> Game:
    """The game after one more entry; `entries` are those before it, folded into `game`."""
    if any(isinstance(event, TakenBack | PutBackIn) for event in entry.events):
        return fold(start, [*entries, entry])
    return _enter(game, entry)


def _taken_back(book: Iterable[Entry]) -> set[int]:
    gone: set[int] = set()
    for entry in book:
        for event in entry.events:
            if isinstance(event, TakenBack):
                gone.add(event.entry)
            elif isinstance(event, PutBackIn):
                gone.discard(event.entry)
    return gone


def _enter(game: Game, entry: Entry) -> Game:
    game = replace(game, entry=entry.id)
    for event in entry.events:
        game = apply(game, event)
    left = game.clock.left_at(entry.at.wall_ms)
    undoable = entry.source != "clock" and not isinstance(entry.call, STAYING)
    line = Line(entry.id, CALLS.name(entry.call), undoable, game.period, left)
    return replace(game, lines=(*game.lines, line), seen_tenths=left)


def _left_out(game: Game, entry: Entry) -> Game:
    game = replace(game, entry=entry.id)
    for event in entry.events:
        if isinstance(event, CLOCK_EVENTS):
            game = apply(game, event)
    return replace(game, seen_tenths=game.clock.left_at(entry.at.wall_ms))
