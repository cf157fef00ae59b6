"""What a journal's entries say has happened, as facts that can be laid beside what did happen.

The same thing may be called in several ways: "home two", and the number later; "shot good", or
"guest one". So facts are read from the events that the rules engine made of the calls, with all
corrections, and never from the words.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Final

from callout.game import calls, events
from callout.game.calls import Call
from callout.game.events import Event
from callout.game.fold import Entry, as_they_count
from callout.game.sources import SCRIPT as SCRIPT
from callout.game.terms import Team

MADE: Final = {True: "made", False: "missed"}


@dataclass(frozen=True, slots=True)
class Fact:
    """One thing that happened. What is None or empty is unknown, or does not matter."""

    kind: str
    """goal, throw, foul, shots, timeout, timeout over, sub, subs in, held ball, tip, start, stop,
    number, undo, or score for a question about it."""
    team: Team | None = None
    number: str | None = None
    what: str = ""
    """The points of a goal, `made` or `missed`, the kind of foul, the throws awarded."""

    def differs_in(self, called: Fact) -> tuple[str, ...]:
        """In what a call differs from this fact, as far as this one knows it."""
        return tuple(
            name
            for name in ("team", "number", "what")
            if getattr(self, name) and getattr(self, name) != getattr(called, name)
        )


@dataclass(frozen=True, slots=True)
class Called:
    """A fact that somebody called."""

    fact: Fact
    wall_ms: int
    """When the call began.

    Units: milliseconds since 1970.
    """
    entry: int
    """The journal entry, or 0 for a question to the table."""
    spoken: bool = False


def fact_of(call: Call) -> Fact:
    """What a call says has happened.

    Raises:
        ValueError: practice has no such call.
    """
    match call:
        case calls.Score(team, points, number):
            return Fact("goal", team, number, str(points))
        case calls.Shot(made, team):
            return Fact("throw", team, what=MADE[made])
        case calls.Foul(team, number, foul):
            return Fact("foul", team, number, foul.value)
        case calls.SetAward(award):
            return Fact("shots", what=award.value)
        case calls.Timeout(team) | calls.Tip(team):
            return Fact(PLAIN[type(call)], team)
        case calls.Number(number):
            return Fact("number", number=number)
        case _ if type(call) in PLAIN:
            return Fact(PLAIN[type(call)])
    raise ValueError(f"expected a call of practice, got {call!r}")


PLAIN: Final[dict[type[Call], str]] = {
    calls.Timeout: "timeout",
    calls.Tip: "tip",
    calls.TimeoutOver: "timeout over",
    calls.SubWaiting: "sub",
    calls.SubsIn: "subs in",
    calls.HeldBall: "held ball",
    calls.StartClock: "start",
    calls.StopClock: "stop",
    calls.Undo: "undo",
    calls.Ask: "score",
}
"""The kind of fact of calls that have nothing else, or only a team."""

PLAIN_EVENTS: Final[dict[type[Event], str]] = {
    events.TimeoutEnded: "timeout over",
    events.SubReported: "sub",
    events.SubsEntered: "subs in",
    events.BallHeld: "held ball",
    events.ClockStarted: "start",
    events.ClockStopped: "stop",
    events.TakenBack: "undo",
}


def called_by(
    entries: Sequence[Entry], by_voice: str, by_hand: str, early_ms: int = 0
) -> list[Called]:
    """What people called, by entries of those two sources, as it counts by now.

    `early_ms` is by how much the ear tells the beginning of a word too early.
    """
    people = (by_voice, by_hand)
    lines: dict[int, Called] = {}
    others: list[Called] = []
    for entry, counts in as_they_count(entries):
        if not counts:
            continue
        for event in entry.events:
            made = _called(entry, event)
            if made is None:
                _changed(lines, event)
            elif (item := getattr(event, "item", None)) and made.fact.kind != "shots":
                lines[item] = made
            elif made.entry and entry.source in people:
                others.append(made)
        given = entry.call
        if isinstance(given, calls.Number) and entry.source in people:
            others.append(_of(entry, Fact("number", number=given.number)))
    by_people = {entry.id for entry in entries if entry.source in people}
    mine = [each for each in lines.values() if each.entry in by_people]
    spoken = {entry.id for entry in entries if entry.source == by_voice}
    found = [
        replace(each, spoken=True, wall_ms=each.wall_ms + early_ms)
        if each.entry in spoken
        else each
        for each in (*mine, *others)
    ]
    return sorted(found, key=lambda each: (each.wall_ms, each.entry))


def _of(entry: Entry, fact: Fact) -> Called:
    return Called(fact, entry.at.wall_ms, entry.id)


def _called(entry: Entry, event: Event) -> Called | None:
    """What an event says has happened; None for one that says nothing, or changes a line."""
    match event:
        case events.Scored():
            number = event.number or event.said
            return _of(entry, Fact("goal", event.team, number, str(event.points)))
        case events.FreeThrow():
            return _of(entry, Fact("throw", event.team, event.number, MADE[event.made]))
        case events.FoulCharged():
            number = event.number or event.said
            return _of(entry, Fact("foul", event.team, number, event.foul.value))
        case events.TimeoutGranted():
            return _of(entry, Fact("timeout", event.team))
        case events.ControlWon():
            return _of(entry, Fact("tip", event.team))
        case events.ThrowsAwarded():
            return _of(entry, Fact("shots", what=event.award.value)) if _signalled(entry) else None
        case _ if type(event) in PLAIN_EVENTS:
            return _of(entry, Fact(PLAIN_EVENTS[type(event)]))
    return None


def _signalled(entry: Entry) -> bool:
    """Whether the throws were called, and do not only follow from the rules."""
    call = entry.call
    return isinstance(call, calls.SetAward) or (isinstance(call, calls.Foul) and bool(call.award))


def _changed(lines: dict[int, Called], event: Event) -> None:
    """A later entry puts a line right."""
    item = getattr(event, "item", None)
    line = lines.get(item) if item is not None else None
    if item is None or line is None:
        return
    match event:
        case events.NumberGiven():
            fact = replace(line.fact, number=event.number)
        case events.TeamChanged():
            fact = replace(line.fact, team=event.team, number=event.number or line.fact.number)
        case events.PointsChanged():
            fact = replace(line.fact, what=str(event.points))
        case events.BasketCancelled():
            del lines[item]
            return
        case _:
            return
    lines[item] = replace(line, fact=fact)
