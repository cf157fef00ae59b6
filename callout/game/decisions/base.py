"""What every decision shares: the refusal, and the small questions that all of them ask."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from typing import TypeAlias

from callout.game.events import ClockStopped, Event
from callout.game.kind import Reason
from callout.game.profile.profile import Profile
from callout.game.state import ITEMS_PER_ENTRY, At, Game, Phase
from callout.game.terms import Team


@dataclass(frozen=True, slots=True)
class Refusal:
    """A call that cannot be true, or that would change nothing; the book stays as it was."""

    kind: Reason
    rule: str = ""
    """The article it rests on; empty where plain sense refuses."""
    slots: Mapping[str, object] = field(default_factory=dict, hash=False)

    def by_rules(self, profile: Profile) -> Refusal:
        """The refusal with its article in that league, where its row names one."""
        rule = self.kind.rule
        return replace(self, rule=rule(profile)) if rule else self


Decision: TypeAlias = tuple[Event, ...] | Refusal


def next_item(game: Game, position: int = 0) -> int:
    """The name of a line that the entry now being decided will make."""
    return (game.entry + 1) * ITEMS_PER_ENTRY + position


def known(game: Game, team: Team, number: str | None) -> str | None:
    """The number if the team has it, else None: the line stays open."""
    return number if game.side(team).has(number) else None


def unknown(game: Game, team: Team, number: str | None) -> str | None:
    """The number if it was said and the team does not have it."""
    return None if number is None or game.side(team).has(number) else number


def left_in(game: Game, period: int, at: At) -> int:
    """What the clock shows in the period in which something called now counts.

    Called in an interval it counts from the beginning of the coming period.
    Units: tenths of a second.
    """
    return at.left_tenths if period == game.period else game.profile.length_tenths(period)


def standing(game: Game, at: At) -> tuple[Event, ...]:
    """The clock brought to a stand, if it runs."""
    if game.phase is not Phase.RUNNING:
        return ()
    stands = game.clock.stopped_at(at.wall_ms)
    # What the call says that the clock shows stands above what the machine reckons.
    spent_ms = stands.spent_ms if stands.left_tenths == at.left_tenths else 0
    return (ClockStopped(at.left_tenths, spent_ms),)
