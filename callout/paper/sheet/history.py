"""What a game's entries tell beyond the lines of the book: corrections, substitutes, the arrow.

A correction never replaces what it corrects: the sheet lists both, with the time of the day, the
game's time, and how the word came.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace
from typing import Any, Final, TypeAlias

from callout.game import calls, events
from callout.game.apply import apply
from callout.game.calls import CALLS
from callout.game.events import Event
from callout.game.figures.score import entry_of
from callout.game.fold import Entry, as_they_count
from callout.game.state import Charge, Game, Goal
from callout.game.terms import Offender, Team
from callout.paper.sheet.whose import signed_reason, whose_word
from callout.paper.sheet.words import (
    basket_words,
    foul_words,
    line_words,
    move_words,
    number_words,
    when,
)
from callout.table.clock import clock_text


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


@dataclass
class _Walk:
    """What is known on the way through the entries."""

    game: Game
    lines: dict[int, Goal | Charge] = field(default_factory=dict)
    """Each goal and foul as it stands, by its item; those taken back are still known."""
    entries: dict[int, Entry] = field(default_factory=dict)
    words: dict[int, str] = field(default_factory=dict)
    """Each entry in words, as it was booked."""
    older: dict[int, dict[int, Goal | Charge]] = field(default_factory=dict)
    """The lines that an entry changed, as they stood before it."""

    def of(self, item: int) -> str:
        """A line in words, with whose it is and when it was."""
        line = self.lines.get(item)
        if line is None:
            return "an entry"
        time = when(self.game, line.period, line.left_tenths)
        whose = "" if _nobody(line) else f", {number_words(line.number, line.said)}"
        return f"{line.team.value} {line_words(line)}{whose}, {time}"


def history(start: Game, entries: tuple[Entry, ...]) -> History:
    """The history of a game that began as `start`."""
    walk = _Walk(start)
    corrections: list[Correction] = []
    noted: list[Correction] = []
    arrow: list[tuple[int, Team]] = []
    entered: set[tuple[Team, str]] = set()
    moments: dict[type[Event], int] = {}
    for entry, (now, counts) in zip(entries, as_they_count(entries), strict=True):
        walk.entries[entry.id] = entry
        walk.words[entry.id] = _entry_words(walk, entry)
        corrections += _told(walk, entry, _SAY)
        _keep_lines(walk, entry)
        if not counts:
            continue
        noted += _told(walk, entry, _NOTE)
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


def _told(walk: _Walk, entry: Entry, words: _Words) -> list[Correction]:
    told = []
    for event in entry.events:
        say = words.get(type(event))
        what = say(walk, entry, event) if say else ""
        if what:
            told.append(what)
    period = walk.game.period
    return [
        Correction(entry.id, entry.at.wall_ms, period, entry.at.left_tenths, what,
                   whose_word(entry), signed_reason(entry))
        for what in told
    ]  # fmt: skip


# --- the lines, as they stood ----------------------------------------------------------------


def _keep_lines(walk: _Walk, entry: Entry) -> None:
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
            walk.words[event.entry] = _entry_words(walk, now)
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


def _nobody(line: Goal | Charge) -> bool:
    """Whether the line belongs to no player by its nature."""
    if isinstance(line, Charge):
        return line.number is None and line.on is not Offender.PLAYER
    return line.number is None and line.own_basket


# --- what each event corrects, in words; empty where it corrects nothing ------------------------


def _taken_back(walk: _Walk, entry: Entry, event: events.TakenBack) -> str:
    return f"taken back: {walk.words.get(event.entry, 'an entry')}"


def _put_back(walk: _Walk, entry: Entry, event: events.PutBackIn) -> str:
    return f"put back: {walk.words.get(event.entry, 'an entry')}"


def _number_given(walk: _Walk, entry: Entry, event: events.NumberGiven) -> str:
    line = walk.lines.get(event.item)
    completes = line is None or line.number is None
    if completes and not isinstance(entry.call, calls.Signed):
        return ""  # It completes a line, as is usual.
    return (
        f"{walk.of(event.item)}: now number {event.number}{'' if event.listed else ', not listed'}"
    )


def _team_changed(walk: _Walk, entry: Entry, event: events.TeamChanged) -> str:
    number = f", number {event.number}" if event.number else ""
    return f"{walk.of(event.item)}: now {event.team.value}{number}"


def _points_changed(walk: _Walk, entry: Entry, event: events.PointsChanged) -> str:
    return f"{walk.of(event.item)}: now {event.points}"


def _basket_cancelled(walk: _Walk, entry: Entry, event: events.BasketCancelled) -> str:
    return f"does not count: {walk.of(event.item)}"


def _score_set(walk: _Walk, entry: Entry, event: events.ScoreSet) -> str:
    return f"{event.team.value} score set to {event.points}"


def _clock_set(walk: _Walk, entry: Entry, event: events.ClockSet) -> str:
    if not isinstance(entry.call, calls.SetClock | calls.AdjustClock):
        return ""
    was = walk.game.clock.left_at(entry.at.wall_ms)
    return f"clock set to {clock_text(event.left_tenths)} from {clock_text(was)}"


def _arrow_set(walk: _Walk, entry: Entry, event: events.ArrowSet) -> str:
    return f"arrow set to {event.team.value}" if isinstance(entry.call, calls.SetArrow) else ""


def _player_added(walk: _Walk, entry: Entry, event: events.PlayerAdded) -> str:
    return f"number {event.number} added to the {event.team.value} list"


def _shirt_changed(walk: _Walk, entry: Entry, event: events.ShirtChanged) -> str:
    return f"{event.team.value} number {event.number} wears {event.new} from now on"


def _throw_voided(walk: _Walk, entry: Entry, event: events.ThrowVoided) -> str:
    again = ", thrown again" if event.again else ""
    return f"does not count: {walk.of(event.item)}{again}"


def _replaced(walk: _Walk, entry: Entry, event: events.Replaced) -> str:
    if event.item is None:
        return ""  # It only follows from another line that is put right.
    was = walk.words.get(event.entry, "an entry")
    now = [words for each in event.events if (words := _event_words(walk, entry, each))]
    return f"{was}: now {'; '.join(now) or 'taken off'}"


_Words: TypeAlias = Mapping[type[Event], Callable[[_Walk, Entry, Any], str]]

_NOTE: Final[_Words] = {
    events.DelayWarned: lambda walk, entry, event: f"{event.team.value} warned for delay",
    events.TooManySeen: lambda walk, entry, event: f"{event.team.value} had a player too many",
    events.GameSuspended: lambda walk, entry, event: "the game was broken off",
    events.SentOff: lambda walk, entry, event: (
        f"{event.team.value} {f'number {event.number}' if event.number else 'coach'} sent off"
    ),
}

_SAY: Final[_Words] = {
    events.ShirtChanged: _shirt_changed,
    events.ThrowVoided: _throw_voided,
    events.Replaced: _replaced,
    events.TakenBack: _taken_back,
    events.PutBackIn: _put_back,
    events.NumberGiven: _number_given,
    events.TeamChanged: _team_changed,
    events.PointsChanged: _points_changed,
    events.BasketCancelled: _basket_cancelled,
    events.ScoreSet: _score_set,
    events.ClockSet: _clock_set,
    events.ArrowSet: _arrow_set,
    events.PlayerAdded: _player_added,
}


def _entry_words(walk: _Walk, entry: Entry) -> str:
    told = [words for event in entry.events if (words := _event_words(walk, entry, event))]
    return "; ".join(told) or CALLS.name(entry.call).replace("_", " ")


def _event_words(walk: _Walk, entry: Entry, event: Event) -> str:
    if isinstance(event, events.Scored):
        what = basket_words(event.points, event.own_basket)
    elif isinstance(event, events.FreeThrow):
        what = f"free throw {'made' if event.made else 'missed'}"
    elif isinstance(event, events.FoulCharged):
        what = foul_words(event.foul, event.on)
    elif isinstance(event, events.TimeoutGranted):
        side = event.team.value if event.team else "officials'"
        return f"{side} time-out, {when(walk.game, event.period, event.left_tenths)}"
    else:
        say = _SAY.get(type(event))
        return say(walk, entry, event) if say else move_words(event)
    time = when(walk.game, event.period, event.left_tenths)
    return f"{event.team.value} {what}, {number_words(event.number, event.said)}, {time}"
