"""People's names, stored apart from the game so that they can be deleted without changing it."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from callout.game.terms import Team
from callout.plain import plain
from callout.table.setup.people import STAFF
from callout.table.setup.setup import Listed, Setup

Name = tuple[str, str, str]
"""Team, shirt number, name; or for other people team, role, name, as a setup has them."""


def names_of(setup: Setup) -> tuple[Name, ...]:
    """Every name on both lists, and those of coaches, assistants and officials."""
    players = (
        (team.value, player.number, player.name)
        for team in Team
        for player in setup.team(team).players
        if player.name
    )
    return (*players, *setup.people)


def with_names(setup: Setup, names: Iterable[Name] = ()) -> Setup:
    """The setup with these names and no others; those of nobody that a setup has are ignored."""
    known = {(team, number): plain(name) for team, number, name in names}

    def named(team: Team) -> Listed:
        listed = setup.team(team)
        players = (replace(p, name=known.get((team.value, p.number), "")) for p in listed.players)
        return replace(listed, players=tuple(players))

    people = tuple((*who, name) for who, name in known.items() if _beside_players(*who))
    return replace(setup, home=named(Team.HOME), guest=named(Team.GUEST), people=people)


def _beside_players(whose: str, role: str) -> bool:
    """Whether it is no player: an official, or one of a team's staff."""
    return not whose or (whose in [team.value for team in Team] and role in STAFF)
