"""What a game's entries tell beyond the lines of the book: corrections, substitutes, the arrow.

A correction never replaces what it corrects: the sheet lists both, with the time of the day, the
game's time, and how the word came.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

from callout.game import events
from callout.game.apply import apply
from callout.game.events import Event
from callout.game.figures.score import entry_of
from callout.game.fold import Entry, as_they_count
from callout.game.state import Charge, Game, Goal
from callout.game.terms import Team
from callout.paper.sheet.entry_words import CORRECTS, NOTED, Makers, Walk, entry_words
from callout.paper.sheet.whose import signed_reason, whose_word
from callout.words import Words


@dataclass(frozen=True, slots=True)
class Correction:
    """One change of what was booked before, or one thing that is noted beside the book."""

    entry: int
    wall_ms: int
    period: int
    left_tenths: int
    what: str
    by: str
    """Whose word it was, and how it came: "table, by voice"; or who signed it."""
    reason: str = ""
    """Why a closed book was corrected; empty for what was not signed."""


@dataclass(frozen=True, slots=True)
class History:
    """What was read from the entries."""

    corrections: tuple[Correction, ...]
    noted: tuple[Correction, ...]
    """What belongs to no line: warnings, a game broken off, a player sent off."""
    arrow: tuple[tuple[int, Team], ...]
    """Each time the arrow was set or turned: the period, and the team that then had it."""
    entered: frozenset[tuple[Team, str]]
    """The players who came in as substitutes."""
    started_ms: int | None
    """When the clock was first started, in milliseconds since 1970."""
    ended_ms: int | None
    """When the game was ended."""


def history(words: Words, start: Game, entries: tuple[Entry, ...]) -> History:
    """The history of a game that began as `start`."""
    walk = Walk(words, start)
    corrections: list[Correction] = []
    noted: list[Correction] = []
    arrow: list[tuple[int, Team]] = []
    entered: set[tuple[Team, str]] = set()
    moments: dict[type[Event], int] = {}
    for entry, (now, counts) in zip(entries, as_they_count(entries), strict=True):
        walk.entries[entry.id] = entry
        walk.words[entry.id] = entry_words(walk, entry)
        corrections += _told(walk, entry, CORRECTS)
        _keep_lines(walk, entry)
        if not counts:
            continue
        noted += _told(walk, entry, NOTED)
        before = walk.game.arrow
        for event in now.events:
            walk.game = apply(walk.game, event)
            if isinstance(event, events.Substituted):
                entered.add((event.team, event.entering))
            moments.setdefault(type(event), entry.at.wall_ms)
        if walk.game.arrow not in (before, None):
            assert walk.game.arrow is not None
            arrow.append((walk.game.period, walk.game.arrow))
    ended = moments.get(events.GameEnded, moments.get(events.GameForfeited))
    return History(tuple(corrections), tuple(noted), tuple(arrow), frozenset(entered),
                   moments.get(events.ClockStarted), ended)  # fmt: skip


def _told(walk: Walk, entry: Entry, words: Makers) -> list[Correction]:
    told = []
    for event in entry.events:
        say = words.get(type(event))
        what = say(walk, entry, event) if say else ""
        if what:
            told.append(what)
    period = walk.game.period
    return [
        Correction(entry.id, entry.at.wall_ms, period, entry.at.left_tenths, what,
                   whose_word(walk.say, entry), signed_reason(entry))
        for what in told
    ]  # fmt: skip


# --- the lines, as they stood ----------------------------------------------------------------


def _keep_lines(walk: Walk, entry: Entry) -> None:
    """Note the lines that an entry makes or changes."""
    lines = walk.lines
    for event in entry.events:
        if isinstance(event, events.Scored | events.FreeThrow | events.FoulCharged):
            after = apply(walk.game, event)
            new: tuple[Goal | Charge, ...] = (*after.goals, *after.charges)
            lines.update({line.item: line for line in new if line.item == event.item})
        elif isinstance(event, events.NumberGiven | events.TeamChanged | events.PointsChanged):
            line = lines.get(event.item)
            if line is not None:
                walk.older.setdefault(entry.id, {}).setdefault(event.item, line)
                lines[event.item] = _changed(line, event)
        elif isinstance(event, events.Replaced):
            for item, line in lines.items():
                if entry_of(item) == event.entry:
                    walk.older.setdefault(entry.id, {}).setdefault(item, line)
            now = replace(entry, events=event.events)
            walk.words[event.entry] = entry_words(walk, now)
            _keep_lines(walk, now)
        elif isinstance(event, events.TakenBack):
            lines.update(walk.older.get(event.entry, {}))
        elif isinstance(event, events.PutBackIn) and event.entry in walk.entries:
            _keep_lines(walk, walk.entries[event.entry])


def _changed(
    line: Goal | Charge, event: events.NumberGiven | events.TeamChanged | events.PointsChanged
) -> Goal | Charge:
    if isinstance(event, events.NumberGiven):
        number, said = (event.number, None) if event.listed else (None, event.number)
        return replace(line, number=number, said=said)
    if isinstance(event, events.TeamChanged):
        return replace(line, team=event.team, number=event.number)
    return replace(line, points=event.points) if isinstance(line, Goal) else line
