"""The box score as tables for the terminal, from a game's view."""

from __future__ import annotations

from collections.abc import Mapping

from rich.console import Group
from rich.table import Table
from rich.text import Text

from callout.table.view import View
from callout.words import Words


def box(view: View, names: Mapping[str, str], words: Words) -> Group:
    """The score by period, both teams' players, team fouls, time-outs and open lines."""
    players = (_players(words, view, side, names[side]) for side in names)
    return Group(_by_period(words, view, names), *players, _rest(words, view))


def _by_period(words: Words, view: View, names: Mapping[str, str]) -> Table:
    table = Table(title=words("score_by_period"), title_justify="left")
    table.add_column("")
    for period in range(1, len(view["by_period"]) + 1):
        table.add_column(str(period), justify="right")
    table.add_column(words("total"), justify="right", style="bold")
    for side, name in names.items():
        points = [str(period[side]) for period in view["by_period"]]
        table.add_row(Text(name), *points, str(view["score"][side]))
    return table


def _players(words: Words, view: View, side: str, name: str) -> Table:
    table = Table(title=Text(name), title_justify="left")
    heads = (*map(words, ("no", "points")), "3", "2", "1", *map(words, ("missed", "fouls")))
    for column in heads:
        table.add_column(column, justify="right")
    for number, player in view["players"][side].items():
        made = player["made"]
        fouls = " ".join(player["foul_codes"]) + (f" {words('out_box')}" if player["out"] else "")
        figures = (player["points"], made["3"], made["2"], made["1"], player["missed_1"])
        table.add_row(number, *map(str, figures), fouls)
    without = dict(view["open"][side])
    for number, seen in view["unlisted"][side].items():
        row = words("shirt_unlisted", number=number)
        table.add_row(row, str(seen["points"]), "", "", "", "", str(seen["fouls"]))
        without = {kind: count - seen[kind] for kind, count in without.items()}
    table.add_row(words("open_row"), str(without["points"]), "", "", "", "", str(without["fouls"]))
    return table


def _rest(words: Words, view: View) -> Text:
    both = ("home", "guest")
    fouls = "  ".join(f"{period['home']}-{period['guest']}" for period in view["team_fouls"])
    left = " - ".join(str(view["timeouts_left"][side]) for side in both)
    other = " - ".join(str(view["team_points"][s] + view["adjusted"][s]) for s in both)
    arrow = words(view["arrow"] or "no_arrow")
    rest = words("box_rest", left=left, other=other, arrow=arrow)
    return Text(f"{words('box_fouls', fouls=fouls)}\n{rest}")
