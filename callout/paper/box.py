"""The box score as tables for the terminal, from a game's view."""

from __future__ import annotations

from collections.abc import Mapping

from rich.console import Group
from rich.table import Table
from rich.text import Text

from callout.table.view import View


def box(view: View, names: Mapping[str, str]) -> Group:
    """The score by period, both teams' players, team fouls, time-outs and open lines."""
    return Group(
        _by_period(view, names), *(_players(view, side, names[side]) for side in names), _rest(view)
    )


def _by_period(view: View, names: Mapping[str, str]) -> Table:
    table = Table(title="Score by period", title_justify="left")
    table.add_column("")
    for period in range(1, len(view["by_period"]) + 1):
        table.add_column(str(period), justify="right")
    table.add_column("Total", justify="right", style="bold")
    for side, name in names.items():
        points = [str(period[side]) for period in view["by_period"]]
        table.add_row(Text(name), *points, str(view["score"][side]))
    return table


def _players(view: View, side: str, name: str) -> Table:
    table = Table(title=Text(name), title_justify="left")
    for column in ("No.", "Points", "3", "2", "1", "Missed", "Fouls"):
        table.add_column(column, justify="right")
    for number, player in view["players"][side].items():
        made = player["made"]
        fouls = " ".join(player["foul_codes"]) + (" out" if player["out"] else "")
        figures = (player["points"], made["3"], made["2"], made["1"], player["missed_1"])
        table.add_row(number, *map(str, figures), fouls)
    without = dict(view["open"][side])
    for number, seen in view["unlisted"][side].items():
        row = f"{number}, not listed"
        table.add_row(row, str(seen["points"]), "", "", "", "", str(seen["fouls"]))
        without = {kind: count - seen[kind] for kind, count in without.items()}
    table.add_row("open", str(without["points"]), "", "", "", "", str(without["fouls"]))
    return table


def _rest(view: View) -> Text:
    both = ("home", "guest")
    fouls = "  ".join(f"{period['home']}-{period['guest']}" for period in view["team_fouls"])
    left = " - ".join(str(view["timeouts_left"][side]) for side in both)
    other = " - ".join(str(view["team_points"][s] + view["adjusted"][s]) for s in both)
    return Text(
        f"Team fouls by period, home-guest: {fouls}\n"
        f"Time-outs left: {left}   Points of no player: {other}   Arrow: {view['arrow'] or 'none'}"
    )
