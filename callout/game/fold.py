"""The journal's entries folded into a game.

The live state is always this fold; `advance` only takes the short way where nothing was taken back.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Final

from callout.game import calls, events
from callout.game.apply import apply
from callout.game.calls import CALLS, Call
from callout.game.events import ArrowSet, Event, PutBackIn, Replaced, TakenBack
from callout.game.game_clock import Clock
from callout.game.profile.profile import Profile
from callout.game.sources import CLOCK
from callout.game.state import At, Game, Line, Owner, Side

KEPT_EVENTS: Final = (events.ClockStopped,)
"""Events that stay when their entry is taken back: a clock that was stopped does not run again."""

TURNING: Final = (events.PeriodStarted, events.PeriodEnded)
"""Events that begin or end a period."""

REWRITING: Final = (TakenBack, PutBackIn, Replaced)
"""Events that change what earlier entries count for."""

STAYING: Final = (
    calls.StartClock,
    calls.StopClock,
    calls.ClockExpired,
    calls.Reminder,
    calls.TimeoutOver,
    calls.CheckClock,
    calls.CheckScore,
    calls.CompareBook,
    calls.HandOver,
    calls.CheckSeen,
    calls.BeforeDue,
    calls.Undo,
    calls.PutBack,
    calls.Approve,
    calls.Signed,
)
"""Calls that "undo" passes over.

A start of the clock that began a period is taken back all the same, with the period.
"""


@dataclass(frozen=True, slots=True)
class Entry:
    """One call as the journal keeps it, with its events."""

    id: int
    call: Call
    source: str
    """How it came: one of those in `sources`."""
    at: At
    events: tuple[Event, ...]


def new_game(profile: Profile, home: Side, guest: Side, owner: Owner = Owner.OURS) -> Game:
    """A game before its first call."""
    return Game(profile, home, guest, owner, clock=Clock(profile.length_tenths(1)))


def fold(start: Game, entries: Iterable[Entry]) -> Game:
    """The game after these entries, as they count by now."""
    game = start
    for entry, counts in as_they_count(entries):
        game = enter(game, entry, counts)
    return game


def as_they_count(entries: Iterable[Entry]) -> Iterator[tuple[Entry, bool]]:
    """The entries with the events that they have by now, and whether each still counts."""
    book = list(entries)
    gone = _taken_back(book)
    instead = {
        event.entry: event.events
        for entry in book
        if entry.id not in gone
        for event in entry.events
        if isinstance(event, Replaced)
    }
    for entry in book:
        now = instead.get(entry.id)
        counts = entry.id not in gone and (now is None or not is_emptied(now))
        yield (entry if now is None else replace(entry, events=now)), counts


def is_emptied(now: Iterable[Event]) -> bool:
    """Whether a correction left an entry nothing to count for; "undo" passes over it then."""
    return all(isinstance(event, KEPT_EVENTS) for event in now)


def enter(game: Game, entry: Entry, counts: bool) -> Game:
    """The game after one entry, which may have been taken back."""
    return _enter(game, entry) if counts else _left_out(game, entry)


def advance(start: Game, entries: Sequence[Entry], game: Game, entry: Entry) -> Game:
    """The game after one more entry; `game` is the fold of `entries`, which came before it."""
    if any(isinstance(event, REWRITING) for event in entry.events):
        return fold(start, [*entries, entry])
    return _enter(game, entry)


def _taken_back(book: Sequence[Entry]) -> set[int]:
    """The entries that do not count: what was said of each last, by an entry that counts itself.

    "Count it" takes back an entry and may be taken back, too: that entry counts again then. Each
    speaks of earlier entries alone, so that from the newest one on it is known which of them count.
    """
    gone: dict[int, bool] = {}
    for entry in reversed(book):
        for event in reversed(entry.events if not gone.get(entry.id) else ()):
            if isinstance(event, TakenBack | PutBackIn):
                gone.setdefault(event.entry, isinstance(event, TakenBack))
    return {entry for entry, back in gone.items() if back}


def may_be_undone(entry: Entry) -> bool:
    """Whether "undo" may mean that entry.

    The clock's own entries stay, but for the end of a period: where the gym's clock is the game's,
    ours only asked whether the period was over, and a person said yes.
    """
    if isinstance(entry.call, calls.StartClock):
        return any(isinstance(event, events.PeriodStarted) for event in entry.events)
    by_person = entry.source != CLOCK or isinstance(entry.call, calls.EndPeriod)
    return by_person and not isinstance(entry.call, STAYING)


def _enter(game: Game, entry: Entry) -> Game:
    game = _numbered(game, entry)
    for event in _counting(game, entry):
        game = apply(game, event)
    left = game.clock.left_at(entry.at.wall_ms)
    name, undoable = CALLS.name(entry.call), may_be_undone(entry)
    line = Line(entry.id, name, undoable, game.period, left, entry.at.wall_ms)
    return replace(game, lines=(*game.lines, line), seen_tenths=left)


def turned_by_clock(entry: Entry) -> bool:
    """Whether an entry turned the arrow without a call to turn it.

    The turn is its last event; an arrow that is set before is that of a period's beginning.
    """
    return _turns_by_itself(entry) and any(isinstance(e, ArrowSet) for e in entry.events[-1:])


def _turns_by_itself(entry: Entry) -> bool:
    """Whether an entry ends a throw-in by the arrow, if one is open, and so turns the arrow."""
    by_clock = isinstance(entry.call, calls.SwitchArrow) and entry.source == CLOCK
    return by_clock or isinstance(entry.call, calls.StartClock)


def _counting(game: Game, entry: Entry) -> tuple[Event, ...]:
    """The events of an entry, with the turn of the arrow that it makes in this game.

    When it was booked the game may have been another one: where the held ball before it was undone
    since, nothing turns; where a foul was undone that had ended the throw-in, the arrow turns now.
    """
    if not _turns_by_itself(entry) or not game.profile.arrow.used:
        return entry.events
    begun = (e.throw_in for e in entry.events if isinstance(e, events.PeriodStarted))
    throw_in = next(begun, game.throw_in)
    others = entry.events[:-1] if turned_by_clock(entry) else entry.events
    return (*others, ArrowSet(throw_in.other)) if throw_in else others


def _left_out(game: Game, entry: Entry) -> Game:
    game = _numbered(game, entry)
    for event in entry.events:
        if isinstance(event, KEPT_EVENTS):
            game = apply(game, event)
    return replace(game, seen_tenths=game.clock.left_at(entry.at.wall_ms))


def _numbered(game: Game, entry: Entry) -> Game:
    turns = any(isinstance(event, TURNING) for event in entry.events)
    return replace(game, entry=entry.id, turns=(*game.turns, entry.id) if turns else game.turns)
