"""How long each player was on court, where the table kept the line-up."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Final

from callout.game import events
from callout.game.figures.score import entry_of
from callout.game.fold import Entry
from callout.game.state import Charge, Game, Goal, Owner, Phase
from callout.game.terms import FoulKind, Offender, Team
from callout.words import Words

ON_COURT: Final = (FoulKind.PERSONAL, FoulKind.OFFENSIVE)
"""The kinds of foul that a player makes only on court; a technical may be called on the bench."""


@dataclass(frozen=True, slots=True)
class CourtTime:
    """A team's time on court by shirt number, or why it cannot be given."""

    tenths: Mapping[str, int] = field(default_factory=dict)
    """Empty where no line-up was kept."""
    doubt: str = ""
    """What shows that the line-up was not kept to the end; empty where nobody kept one."""


def left_at_end(game: Game, entries: Sequence[Entry], left_tenths: int) -> int:
    """What the clock showed when a game that is over ended; of any other, what it shows now.

    A game may end with time left: a target score is reached, or a team does not go on. Units:
    tenths of a second.
    """
    ends = (events.PeriodEnded, events.GameForfeited)
    gone = frozenset(game.taken_back) if game.phase is Phase.OVER else None
    return next(
        (
            entry.at.left_tenths
            for entry in reversed(entries)
            if gone is not None
            and entry.id not in gone
            and any(isinstance(event, ends) for event in entry.events)
        ),
        left_tenths,
    )


def court_time(
    words: Words, game: Game, entries: Sequence[Entry], team: Team, left_tenths: int
) -> CourtTime:
    """How long each of a team's players has been on court; `left_tenths` is as `left_at_end` says.

    A line-up was kept if as many starters are named as play, if substitutions were called with
    both numbers (or nobody was there to go in), and if each of them was possible: the one was on
    court, the other was not. Nothing else in the book may contradict it: nobody scored or fouled
    who was not on court, and where substitutes went in, their numbers were called before the clock
    was stopped next.

    A period that ended counts with its whole length, but the last one of a game that is over only
    up to what the clock showed. An overtime without a clock counts nothing. A player who changed
    his shirt has all his time under the number that he wears last.
    """
    side = game.side(team)
    if game.owner is Owner.NONE or len(side.starters) != game.profile.roster.on_court:
        return CourtTime()
    watch = _Watch(words, game, team, left_tenths)
    gone = frozenset(game.taken_back)
    for entry in entries:
        if entry.id not in gone:
            watch.take(entry)
        if watch.doubt:
            return CourtTime(doubt=words("at_entry", entry=entry.id, what=watch.doubt))
    if not watch.changed and set(side.numbers) != set(side.starters):
        return CourtTime()
    watch.pass_to(left_tenths)
    return CourtTime(watch.total)


class _Watch:
    """The players of one team on court, followed from entry to entry."""

    def __init__(self, words: Words, game: Game, team: Team, left_tenths: int) -> None:
        side = game.side(team)
        self._final = {first: last for last, first in side.first_worn}
        """Shirts as they are worn now, each with the number that its player wears last."""
        self.total = dict.fromkeys((*side.numbers, *side.starters), 0)
        self.doubt = ""
        self.changed = False
        self._words = words
        self._game, self._team, self._court = game, team, set(side.starters)
        self._end_left = left_tenths
        self._length = self._passed = 0
        self._playing = False
        self._waiting: list[Team | None] = []
        self._unnamed: set[Team | None] = set()
        """For whom substitutes went in whose numbers have not been called yet."""
        self._active = _active(game, team)

    def take(self, entry: Entry) -> None:
        """Follow one entry that counts."""
        for number in self._active.get(entry.id, ()):
            if number not in self._court:
                self.doubt = self._words("not_on_court", number=number)
        for event in entry.events:
            if isinstance(event, events.PeriodStarted):
                self._length = self._game.profile.length_tenths(event.period)
                self._passed, self._playing = 0, True
            elif isinstance(event, events.PeriodEnded):
                last = self._game.phase is Phase.OVER and event.period == self._game.period
                self.pass_to(self._end_left if last else 0)
                self._playing = False
                self._check_named()
            elif isinstance(event, events.Substituted):
                if not _leave(self._waiting, event.team):
                    self._unnamed -= {event.team, None}
                if event.team is self._team:
                    self.pass_to(entry.at.left_tenths)
                    self._change(self._player(event.entering), self._player(event.leaving))
            elif isinstance(event, events.ShirtChanged):
                if event.team is self._team:
                    self._final[event.new] = self._final.pop(event.number, event.new)
            else:
                self._report(event)

    def pass_to(self, left_tenths: int) -> None:
        """Let time pass in a period until `left_tenths` are left. It never runs back."""
        more = max(0, self._length - left_tenths - self._passed) if self._playing else 0
        self._passed += more
        for number in self._court:
            self.total[number] += more

    def _player(self, shirt: str) -> str:
        """The number that the player of a shirt wears last."""
        return self._final.get(shirt, shirt)

    def _change(self, entering: str, leaving: str) -> None:
        if leaving not in self._court:
            self.doubt = self._words("not_on_court", number=leaving)
        elif entering in self._court:
            self.doubt = self._words("on_court_already", number=entering)
        self.changed = True
        self._court = self._court - {leaving} | {entering}
        self.total.setdefault(entering, 0)

    def _report(self, event: events.Event) -> None:
        """Follow who waits, and who has gone in."""
        if isinstance(event, events.SubReported):
            self._waiting.append(event.team)
        elif isinstance(event, events.SubLeft):
            _leave(self._waiting, event.team)
        elif isinstance(event, events.SubsEntered):
            self._unnamed |= set(self._waiting)
            self._waiting = []
        elif isinstance(event, events.ClockStopped):
            self._check_named()

    def _check_named(self) -> None:
        """Play goes on before the table has called the numbers, but not to the next whistle."""
        if {self._team, None} & self._unnamed:
            self.doubt = self._words("subs_unnamed")
        self._unnamed = set()


def _leave(waiting: list[Team | None], team: Team) -> bool:
    """Take a team's substitute, or one of either team, from those who wait, if there is one."""
    for each in (team, None):
        if each in waiting:
            waiting.remove(each)
            return True
    return False


def _active(game: Game, team: Team) -> dict[int, list[str]]:
    """The players who scored, threw or fouled in play, by the entry that booked it."""
    found: dict[int, list[str]] = {}
    charges = [c for c in game.charges if c.foul in ON_COURT and c.on is Offender.PLAYER]
    lines: list[Goal | Charge] = [*game.goals, *charges]
    for line in lines:
        own = isinstance(line, Goal) and line.own_basket
        if line.team is team and line.number is not None and not own:
            found.setdefault(entry_of(line.item), []).append(line.number)
    return found
