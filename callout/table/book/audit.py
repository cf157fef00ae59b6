"""Checks that a game's book adds up: each total is compared with the lines it is made of."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from callout.counted import counted
from callout.game.figures.fouls import player_charges
from callout.game.state import Game
from callout.game.terms import Offender, Team
from callout.table.view import View


def missing(numbers: Iterable[int], newest: int = 0) -> tuple[range, ...]:
    """The gaps in the numbers of entries, from 1 to the highest number or to `newest`."""
    gaps, last = [], 0
    there = set(numbers)
    for number in sorted({*there, max([newest, *there]) + 1}):
        if number > last + 1:
            gaps.append(range(last + 1, number))
        last = number
    return tuple(gaps)


def say_missing(gap: range) -> str:
    """A gap in words, with its verb: "entries 4 to 6 are"."""
    if len(gap) == 1:
        return f"entry {gap[0]} is"
    return f"entries {gap[0]} to {gap[-1]} are"


def differences(game: Game, view: View) -> Iterator[str]:
    """One line for each total that does not add up."""
    for team in Team:
        yield from _points(view, team.value)
        yield from _fouls(game, view, team)
    if game.misfits:
        entries = ", ".join(map(str, game.misfits))
        yield f"entries that complete or correct another entry no longer fit it: {entries}"


def _points(view: View, side: str) -> Iterator[str]:
    players = view["players"][side].values()
    by_player = sum(player["points"] for player in players)
    without = view["open"][side]["points"] + view["team_points"][side] + view["adjusted"][side]
    score = view["score"][side]
    if by_player + without != score:
        points = counted(by_player, "point")
        yield f"{side}: {points} by players and {without} of none, but a score of {score}"
    for number, player in view["players"][side].items():
        made = sum(int(points) * count for points, count in player["made"].items())
        if made != player["points"]:
            scored = counted(player["points"], "point")
            yield f"{side} {number}: baskets of {counted(made, 'point')}, but {scored}"
    by_period = sum(period[side] for period in view["by_period"])
    if by_period != score:
        yield f"{side}: {counted(by_period, 'point')} by period, but a score of {score}"


def _fouls(game: Game, view: View, team: Team) -> Iterator[str]:
    side = team.value
    booked = sum(c.team is team and c.on is Offender.PLAYER for c in game.charges)
    by_player = sum(
        charge.on is Offender.PLAYER
        for number in view["players"][side]
        for charge in player_charges(game, team, number)
    )
    without = view["open"][side]["fouls"]
    if by_player + without != booked:
        fouls = counted(by_player, "foul")
        yield f"{side}: {fouls} by players and {without} of none, but {booked} booked"
