"""People's names, stored apart from the game so that they can be deleted without changing it."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from callout.game.terms import Team
from callout.plain import plain
from callout.table.setup.setup import Listed, Setup

Name = tuple[str, str, str]
"""Team, shirt number, name."""


def names_of(setup: Setup) -> tuple[Name, ...]:
    """Every name on both lists."""
    return tuple(
        (team.value, player.number, player.name)
        for team in Team
        for player in setup.team(team).players
        if player.name
    )


def with_names(setup: Setup, names: Iterable[Name] = ()) -> Setup:
    """The setup with these names and no others; names for numbers not on a list are ignored."""
    known = {(team, number): plain(name) for team, number, name in names}

    def named(team: Team) -> Listed:
        listed = setup.team(team)
        players = (replace(p, name=known.get((team.value, p.number), "")) for p in listed.players)
        return replace(listed, players=tuple(players))

    return replace(setup, home=named(Team.HOME), guest=named(Team.GUEST))
