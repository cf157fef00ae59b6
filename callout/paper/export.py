"""A game as tables and as one JSON value, for spreadsheets and other programs.

Players' names are in neither: the shirt number stands for the player. A correction of the closed
book has the name of who signed it.

Source of the tables' form: RFC 4180 (CSV). The JSON value is described by `game-1.schema.json`
beside this file (JSON Schema 2020-12).
"""

from __future__ import annotations

import csv
import io
import json
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime
from functools import cached_property
from pathlib import Path
from typing import Any, Final

from callout.game.calls import CALLS
from callout.game.figures.score import all_lines, entry_of, last_period, score, shown
from callout.game.fold import Entry
from callout.game.state import Adjustment, BookLine, Charge, Game, Goal, Phase, TimeoutLine
from callout.game.terms import Team
from callout.table.setup.setup import Setup
from callout.table.view import view

FORMAT: Final = "callout-game"
VERSION: Final = 1
"""Of the JSON value. A reader of version 1 can read all that has it; a field that changes its
meaning or goes makes it 2."""

SCHEMA: Final = Path(__file__).with_name("game-1.schema.json")

Cell = str | int | bool | None
Row = Mapping[str, Cell]

TABLES: Final[Mapping[str, tuple[str, ...]]] = {
    "players": (
        "game", "team", "number", "listed", "starter", "points", "made_3", "made_2", "made_1",
        "missed_1", "fouls", "foul_codes", "out",
    ),
    "periods": ("game", "team", "period", "points", "team_fouls", "timeouts"),
    "lines": (
        "game", "entry", "team", "number", "said", "period", "clock_tenths", "kind", "points",
        "made", "own_basket", "foul", "on",
    ),
    "entries": (
        "game", "entry", "time", "source", "period", "clock_tenths", "call", "fields", "taken_back",
    ),
}  # fmt: skip
"""The tables and their columns.

`lines` are the lines of the book as they stand, each correction made; `entries` are all calls, in
the order in which they came. A line without a number has no player yet, or none may have it.
"""


@dataclass(frozen=True)
class Recorded:
    """A game with what else its file holds."""

    name: str
    """Of the file, without its ending."""
    setup: Setup
    game: Game
    entries: tuple[Entry, ...]
    left_tenths: int
    mark: str
    approved_mark: str = ""
    """The mark that the game had when the officials approved its score; empty before."""
    origin: str = ""
    """The mark before the first entry, which no other game has; empty if it is in no file."""

    @cached_property
    def seen(self) -> Mapping[str, Any]:
        """The figures of the book, for all forms."""
        return view(self.game, self.left_tenths)


def game_json(recorded: Recorded) -> dict[str, Any]:
    """The game by the schema: the book, its lines and every call."""
    seen = recorded.seen
    return {
        "format": FORMAT,
        "version": VERSION,
        "name": recorded.name,
        "mark": recorded.mark,
        "teams": {team.value: recorded.setup.team(team).name for team in Team},
        "book_kind": recorded.setup.book.value,
        "finished": recorded.game.phase is Phase.OVER,
        "book": {name: seen[name] for name in seen if name not in ("notices", "refusals")},
        "lines": [_without_game(row) for row in _lines(recorded)],
        "entries": [{**_without_game(row), "fields": fields} for row, fields in _entries(recorded)],
    }


def json_line(recorded: Recorded) -> str:
    """The same as one line: several games together are JSON Lines."""
    return json.dumps(game_json(recorded), ensure_ascii=False)


def csv_tables(games: Iterable[Recorded]) -> Mapping[str, str]:
    """Each table's text by its name, the rows of all games in it."""
    texts = {name: io.StringIO(newline="") for name in TABLES}
    writers = {name: csv.DictWriter(texts[name], columns) for name, columns in TABLES.items()}
    for writer in writers.values():
        writer.writeheader()
    for recorded in games:
        made: Mapping[str, Iterable[Row]] = {
            "players": _players(recorded),
            "periods": _periods(recorded),
            "lines": _lines(recorded),
            "entries": (
                {**row, "fields": json.dumps(fields, ensure_ascii=False)}
                for row, fields in _entries(recorded)
            ),
        }
        for name, rows in made.items():
            writers[name].writerows(
                {column: _cell(value) for column, value in row.items()} for row in rows
            )
    return {name: text.getvalue() for name, text in texts.items()}


FORMULA: Final = ("=", "+", "-", "@", "\t", "\r")
"""How a cell begins that a spreadsheet would compute. Source: OWASP, CSV injection, from memory."""


def _cell(value: Cell) -> Cell:
    """The value as a cell; text that a spreadsheet would compute has an apostrophe before it."""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, str) and value.startswith(FORMULA):
        return f"'{value}"
    return value


def _without_game(row: Row) -> dict[str, Cell]:
    return {column: value for column, value in row.items() if column != "game"}


def _players(recorded: Recorded) -> Iterator[Row]:
    """A row for each player and each shirt that is on no list; the last is the team's own."""
    seen = recorded.seen
    for team in Team:
        side, starters = team.value, recorded.game.side(team).starters
        for number, player in seen["players"][side].items():
            made = player["made"]
            yield {
                "game": recorded.name, "team": side, "number": number, "listed": True,
                "starter": number in starters, "points": player["points"],
                "made_3": made["3"], "made_2": made["2"], "made_1": made["1"],
                "missed_1": player["missed_1"], "fouls": player["fouls"],
                "foul_codes": " ".join(player["foul_codes"]), "out": player["out"],
            }  # fmt: skip
        unlisted = seen["unlisted"][side]
        for number, shirt in unlisted.items():
            yield _nobody(recorded, side, number, shirt["points"], shirt["fouls"])
        shirts = [shirt["points"] for shirt in unlisted.values()]
        nobody = seen["open"][side]["points"] - sum(shirts)
        points = nobody + seen["team_points"][side] + seen["adjusted"][side]
        fouls = seen["open"][side]["fouls"] - sum(each["fouls"] for each in unlisted.values())
        yield _nobody(recorded, side, None, points, fouls)


def _nobody(recorded: Recorded, side: str, number: str | None, points: int, fouls: int) -> Row:
    return {
        "game": recorded.name, "team": side, "number": number, "listed": False, "starter": False,
        "points": points, "fouls": fouls,
    }  # fmt: skip


def _periods(recorded: Recorded) -> Iterator[Row]:
    game = recorded.game
    fouls: Sequence[Mapping[str, int]] = recorded.seen["team_fouls"]
    for team in Team:
        for period in range(1, last_period(game) + 1):
            yield {
                "game": recorded.name,
                "team": team.value,
                "period": period,
                "points": score(game, team, period),
                "team_fouls": fouls[period - 1][team.value] if period <= len(fouls) else None,
                "timeouts": sum(
                    line.team is team and line.period == period for line in game.timeouts
                ),
            }


def _lines(recorded: Recorded) -> Iterator[Row]:
    """The lines of the book in the order of the calls that made them."""
    game = recorded.game
    for line in sorted(all_lines(game), key=lambda line: line.item):
        yield {
            "game": recorded.name,
            "entry": entry_of(line.item),
            "team": line.team.value if line.team else None,
            "period": line.period,
            **_of_kind(game, line),
        }


def _of_kind(game: Game, line: BookLine) -> Row:
    if isinstance(line, Adjustment):
        return {"kind": "adjustment", "points": line.points}
    clock = {"clock_tenths": shown(game, line.left_tenths)}
    if isinstance(line, TimeoutLine):
        return {**clock, "kind": "timeout"}
    whose = {**clock, "number": line.number, "said": line.said}
    if isinstance(line, Charge):
        return {**whose, "kind": "foul", "foul": line.foul.value, "on": line.on.value}
    assert isinstance(line, Goal)
    return {
        **whose,
        "kind": "free throw" if line.free_throw else "field goal",
        "points": line.counts,
        "made": line.made,
        "own_basket": line.own_basket,
    }


def _entries(recorded: Recorded) -> Iterator[tuple[Row, Mapping[str, Any]]]:
    """Every call in the order in which they came, and its fields."""
    gone = frozenset(recorded.game.taken_back)
    periods = {line.entry: line.period for line in recorded.game.lines}
    for entry in recorded.entries:
        at = datetime.fromtimestamp(entry.at.wall_ms / 1000, UTC)
        row: Row = {
            "game": recorded.name,
            "entry": entry.id,
            "time": at.isoformat(timespec="milliseconds"),
            "source": entry.source,
            "period": periods.get(entry.id),
            "clock_tenths": entry.at.left_tenths,
            "call": CALLS.name(entry.call),
            "taken_back": entry.id in gone,
        }
        yield row, CALLS.dump(entry.call)
