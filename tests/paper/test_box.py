"""The box score: every figure of a game's plain data stands in its place."""

from __future__ import annotations

import io
from typing import Any

import pytest
from rich.console import Console

from callout.paper.box import box
from tests.english import WORDS


def figures(points: int, made: tuple[int, int, int], missed: int, *codes: str) -> dict[str, Any]:
    return {
        "points": points,
        "made": {"1": made[0], "2": made[1], "3": made[2]},
        "missed_1": missed,
        "fouls": len(codes),
        "foul_codes": list(codes),
        "out": len(codes) >= 5,
    }


VIEW: dict[str, Any] = {
    "score": {"home": 12, "guest": 7},
    "by_period": [{"home": 5, "guest": 7}, {"home": 7, "guest": 0}],
    "team_fouls": [{"home": 1, "guest": 5}, {"home": 0, "guest": 2}],
    "timeouts_left": {"home": 4, "guest": 3},
    "arrow": "guest",
    "players": {
        "home": {"00": figures(10, (1, 3, 1), 2, "P1")},
        "guest": {"14": figures(5, (0, 1, 1), 0, "P1", "P2", "P3", "T4", "P5")},
    },
    "open": {"home": {"points": 0, "fouls": 0}, "guest": {"points": 5, "fouls": 1}},
    "unlisted": {"home": {}, "guest": {"11": {"points": 3, "fouls": 0}}},
    "team_points": {"home": 2, "guest": 0},
    "adjusted": {"home": 0, "guest": 0},
}
NAMES = {"home": "Harbour Kites", "guest": "Quarry Foxes"}


@pytest.fixture
def rows() -> list[list[str]]:
    """The lines of the printed box, each as its cells."""
    out = io.StringIO()
    Console(file=out, width=100, color_system=None).print(box(VIEW, NAMES, WORDS))
    lines = out.getvalue().splitlines()
    return [
        [cell.strip() for cell in line.replace("┃", "│").strip("│").split("│")] for line in lines
    ]


def test_score_by_period(rows: list[list[str]]) -> None:
    assert ["Harbour Kites", "5", "7", "12"] in rows
    assert ["Quarry Foxes", "7", "0", "7"] in rows


def test_players(rows: list[list[str]]) -> None:
    assert ["No.", "Points", "3", "2", "1", "Missed", "Fouls"] in rows
    assert ["00", "10", "1", "3", "1", "2", "P1"] in rows
    assert ["14", "5", "1", "1", "0", "0", "P1 P2 P3 T4 P5 out"] in rows


def test_what_is_open_and_what_is_no_player_s(rows: list[list[str]]) -> None:
    assert ["open", "2", "", "", "", "", "1"] in rows
    assert ["11, not listed", "3", "", "", "", "", "0"] in rows
    assert any("Points of no player: 2 - 0" in cell for row in rows for cell in row)


def test_fouls_timeouts_and_arrow(rows: list[list[str]]) -> None:
    text = "\n".join(cell for row in rows for cell in row)
    assert "Team fouls by period, home-guest: 1-5  0-2" in text
    assert "Time-outs left: 4 - 3" in text
    assert "Arrow: guest" in text
    quiet = io.StringIO()
    Console(file=quiet, width=100).print(box({**VIEW, "arrow": None}, NAMES, WORDS))
    assert "Arrow: none" in quiet.getvalue()


@pytest.mark.parametrize("name", ["[/b]", "[red]Kites", ":fire:", "{team}", "[link=x]K[/link]"])
def test_a_name_that_looks_like_an_order_to_the_printer_is_a_name(name: str) -> None:
    console = Console(file=io.StringIO(), width=100)
    console.print(box(VIEW, {"home": name, "guest": "[/]"}, WORDS))
    printed = console.file.getvalue()  # type: ignore[attr-defined]
    assert printed.count(name) == 2
    assert printed.count("[/]") == 2
