"""The entries of a game in words, as they were booked, and what each corrects.

Every maker of words gets the walk through the entries so far, the entry, and one of its events.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from typing import Any, Final, TypeAlias

from callout.game import calls, events
from callout.game.calls import CALLS
from callout.game.events import Event
from callout.game.fold import Entry
from callout.game.state import Charge, Game, Goal
from callout.game.terms import Offender
from callout.paper.sheet.words import (
    basket_words,
    foul_words,
    line_words,
    move_words,
    number_words,
    throw_words,
    when,
)
from callout.table.clock import clock_text
from callout.words import Words


@dataclass
class Walk:
    """What is known on the way through the entries."""

    say: Words
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
            return self.say("an_entry")
        time, what = self.when(line.period, line.left_tenths), line_words(self.say, line)
        team = self.say(line.team.value)
        if _nobody(line):
            return self.say("line_of_nobody", team=team, what=what, when=time)
        whose = number_words(self.say, line.number, line.said)
        return self.say("line", team=team, what=what, whose=whose, when=time)

    def was(self, entry: int) -> str:
        """An entry in words, as it was booked."""
        return self.words.get(entry) or self.say("an_entry")

    def when(self, period: int, left_tenths: int) -> str:
        """A period, and what the clock showed."""
        return when(self.say, self.game, period, left_tenths)


def _nobody(line: Goal | Charge) -> bool:
    """Whether the line belongs to no player by its nature."""
    if isinstance(line, Charge):
        return line.number is None and line.on is not Offender.PLAYER
    return line.number is None and line.own_basket


# --- what each event corrects, in words; empty where it corrects nothing ------------------------


def _taken_back(walk: Walk, entry: Entry, event: events.TakenBack) -> str:
    return walk.say("taken_back", what=walk.was(event.entry))


def _put_back(walk: Walk, entry: Entry, event: events.PutBackIn) -> str:
    return walk.say("put_back", what=walk.was(event.entry))


def _number_given(walk: Walk, entry: Entry, event: events.NumberGiven) -> str:
    line = walk.lines.get(event.item)
    completes = line is None or line.number is None
    if completes and not isinstance(entry.call, calls.Signed):
        return ""  # It completes a line, as is usual.
    now = (event.number, None) if event.listed else (None, event.number)
    return walk.say("became", what=walk.of(event.item), now=number_words(walk.say, *now))


def _team_changed(walk: Walk, entry: Entry, event: events.TeamChanged) -> str:
    now = walk.say(event.team.value)
    if event.number:
        now = f"{now}, {number_words(walk.say, event.number, None)}"
    return walk.say("became", what=walk.of(event.item), now=now)


def _points_changed(walk: Walk, entry: Entry, event: events.PointsChanged) -> str:
    return walk.say("became", what=walk.of(event.item), now=event.points)


def _basket_cancelled(walk: Walk, entry: Entry, event: events.BasketCancelled) -> str:
    return walk.say("does_not_count", what=walk.of(event.item))


def _score_set(walk: Walk, entry: Entry, event: events.ScoreSet) -> str:
    return walk.say("score_set", team=walk.say(event.team.value), points=event.points)


def _clock_set(walk: Walk, entry: Entry, event: events.ClockSet) -> str:
    if not isinstance(entry.call, calls.SetClock | calls.AdjustClock):
        return ""
    was = walk.game.clock.left_at(entry.at.wall_ms)
    return walk.say("clock_set", now=clock_text(event.left_tenths), was=clock_text(was))


def _arrow_set(walk: Walk, entry: Entry, event: events.ArrowSet) -> str:
    if not isinstance(entry.call, calls.SetArrow):
        return ""
    return walk.say("arrow_set", team=walk.say(event.team.value))


def _player_added(walk: Walk, entry: Entry, event: events.PlayerAdded) -> str:
    return walk.say("player_added", number=event.number, team=walk.say(event.team.value))


def _shirt_changed(walk: Walk, entry: Entry, event: events.ShirtChanged) -> str:
    team = walk.say(event.team.value)
    return walk.say("shirt_changed", team=team, number=event.number, new=event.new)


def _throw_voided(walk: Walk, entry: Entry, event: events.ThrowVoided) -> str:
    key = "throw_again" if event.again else "does_not_count"
    return walk.say(key, what=walk.of(event.item))


def _replaced(walk: Walk, entry: Entry, event: events.Replaced) -> str:
    if event.item is None:
        return ""  # It only follows from another line that is put right.
    now = [words for each in event.events if (words := _event_words(walk, entry, each))]
    new = "; ".join(now) or walk.say("taken_off")
    return walk.say("became", what=walk.was(event.entry), now=new)


def _delay_warned(walk: Walk, entry: Entry, event: events.DelayWarned) -> str:
    return walk.say("delay_warned", team=walk.say(event.team.value))


def _too_many(walk: Walk, entry: Entry, event: events.TooManySeen) -> str:
    return walk.say("too_many", team=walk.say(event.team.value))


def _sent_off(walk: Walk, entry: Entry, event: events.SentOff) -> str:
    who = number_words(walk.say, event.number, None) if event.number else walk.say("the_coach")
    return walk.say("sent_off", team=walk.say(event.team.value), who=who)


Makers: TypeAlias = Mapping[type[Event], Callable[[Walk, Entry, Any], str]]

NOTED: Final[Makers] = {
    events.DelayWarned: _delay_warned,
    events.TooManySeen: _too_many,
    events.GameSuspended: lambda walk, entry, event: walk.say("suspended"),
    events.SentOff: _sent_off,
}

CORRECTS: Final[Makers] = {
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


def entry_words(walk: Walk, entry: Entry) -> str:
    """An entry, as it is booked; the name of its call where it makes no line."""
    told = [words for event in entry.events if (words := _event_words(walk, entry, event))]
    return "; ".join(told) or walk.say.call(CALLS.name(entry.call))


def _event_words(walk: Walk, entry: Entry, event: Event) -> str:
    if isinstance(event, events.Scored):
        what = basket_words(walk.say, event.points, event.own_basket)
    elif isinstance(event, events.FreeThrow):
        what = throw_words(walk.say, event.made)
    elif isinstance(event, events.FoulCharged):
        what = foul_words(walk.say, event.foul, event.on)
    elif isinstance(event, events.TimeoutGranted):
        time = walk.when(event.period, event.left_tenths)
        if event.team is None:
            return walk.say("timeout_of_officials", when=time)
        return walk.say("timeout_of", team=walk.say(event.team.value), when=time)
    else:
        say = CORRECTS.get(type(event))
        return say(walk, entry, event) if say else move_words(walk.say, event)
    whose = number_words(walk.say, event.number, event.said)
    time = walk.when(event.period, event.left_tenths)
    return walk.say("line", team=walk.say(event.team.value), what=what, whose=whose, when=time)
