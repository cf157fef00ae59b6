"""What all decisions share: the refusal, names for new lines, and lookups of numbers and times."""

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
    """The answer to a call that cannot be true or would change nothing; the book stays as it is."""

    kind: Reason
    rule: str = ""
    """The article that forbids it; empty where no rule is needed."""
    slots: Mapping[str, object] = field(default_factory=dict, hash=False)

    def by_rules(self, profile: Profile) -> Refusal:
        """The refusal with its article in that league, where its row names one."""
        rule = self.kind.rule
        return replace(self, rule=rule(profile)) if rule else self


Decision: TypeAlias = tuple[Event, ...] | Refusal


def next_item(game: Game, position: int = 0) -> int:
    """The name of the line that the present entry makes at this position, counted from 0."""
    return (game.entry + 1) * ITEMS_PER_ENTRY + position


def known(game: Game, team: Team, number: str | None) -> str | None:
    """The number if the team has that player; else None, and the line stays open."""
    return number if game.side(team).has(number) else None


def unknown(game: Game, team: Team, number: str | None) -> str | None:
    """The number if one was said and the team does not have that player; else None."""
    return None if number is None or game.side(team).has(number) else number


def left_in(game: Game, period: int, at: At) -> int:
    """The time left in the period in which a call made now counts.

    For a call in an interval that counts in the coming period, it is that period's full length.
    Units: tenths of a second.
    """
    return at.left_tenths if period == game.period else game.profile.length_tenths(period)


def standing(game: Game, at: At) -> tuple[Event, ...]:
    """The event that stops the clock, if it is running."""
    if game.phase is not Phase.RUNNING:
        return ()
    stands = game.clock.stopped_at(at.wall_ms)
    # The time that the call gives takes precedence over our running clock. Where the two differ,
    # the part of a tenth that our clock has passed means nothing.
    spent_ms = stands.spent_ms if stands.left_tenths == at.left_tenths else 0
    return (ClockStopped(at.left_tenths, spent_ms),)
