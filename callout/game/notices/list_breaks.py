"""Notices of what the rules on team lists and shirt numbers forbid."""

from __future__ import annotations

from collections.abc import Iterator

from callout.game import events
from callout.game.figures.lists import late_award
from callout.game.figures.score import illegal_numbers
from callout.game.notices import kinds
from callout.game.notices.kinds import Notice
from callout.game.state import Charge, Game, Goal, Phase
from callout.game.terms import Team


def unlisted(before: Game, team: Team, *numbers: str) -> Iterator[Notice]:
    """Numbers that are not on the team's list."""
    for number in numbers:
        if not before.side(team).has(number):
            yield Notice(kinds.NOT_LISTED, {"team": team, "number": number})


def illegal_shirt(before: Game, team: Team, number: str | None) -> Iterator[Notice]:
    """A number that no player may wear, announced the first time that it is called.

    Listed numbers are announced before the game. Source: NFHS 3.4.3B: such a number may be seen
    for the first time in play.
    """
    if number is None or number in before.side(team).numbers:
        return
    lines: list[Goal | Charge] = [*before.goals, *before.charges]
    seen = any(line.team is team and number in (line.number, line.said) for line in lines)
    if not seen and illegal_numbers(before.profile, (number,)):
        slots = {"team": team, "number": number}
        yield Notice(kinds.NUMBER_ILLEGAL, slots)


def late_name(before: Game, after: Game, event: events.PlayerAdded) -> Iterator[Notice]:
    """A name added after the game has begun, with the penalty that it brings."""
    slots = {"team": event.team, "number": event.number}
    rules = after.profile.roster
    if after.phase is not Phase.BEFORE and not rules.late_names:
        yield Notice(kinds.ROSTER_CLOSED, slots)
    elif after.phase is not Phase.BEFORE:
        yield Notice(kinds.ROSTER_LATE, {**slots, "award": late_award(before, event.team)})
    if event.number in illegal_numbers(after.profile, after.side(event.team).numbers):
        yield Notice(kinds.NUMBER_ILLEGAL, slots)


def new_shirt(before: Game, after: Game, event: events.ShirtChanged) -> Iterator[Notice]:
    """A number changed after the game has begun, and one that no player may wear."""
    if award := late_award(before, event.team):
        slots = {"team": event.team, "number": event.new, "award": award}
        yield Notice(kinds.SHIRT_LATE, slots)
    if event.new in illegal_numbers(after.profile, after.side(event.team).numbers or (event.new,)):
        yield Notice(kinds.NUMBER_ILLEGAL, {"team": event.team, "number": event.new})
