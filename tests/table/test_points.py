"""What used to go wrong at the table, and what is so now: each point with the script that plays it.

`tests/games/points.csv` has the list. A point without a call is played by its whole script; one
that is no matter of calls has a test. The scripts themselves are played by `test_games.py`.
"""

from __future__ import annotations

import ast
import csv
from collections.abc import Iterator
from itertools import takewhile
from pathlib import Path

import pytest

from callout.table.scripts.script import Line, read_script

ROOT = Path(__file__).parent.parent.parent
GAMES = ROOT / "tests" / "games"

with (GAMES / "points.csv").open(encoding="utf-8", newline="") as file:
    POINTS = tuple(csv.DictReader(file))
PLAYED = tuple(point for point in POINTS if point["script"].endswith(".game"))


def name(point: dict[str, str]) -> str:
    return f"{point['about']}: {point['now']}"


def expected(lines: tuple[Line, ...], call: str) -> Iterator[str]:
    """All that a script expects of a call, wherever it is made."""
    for nth, line in enumerate(lines):
        if not line.mark and line.words == call:
            below = takewhile(lambda each: each.mark, lines[nth + 1 :])
            yield from (f"{each.mark} {each.words}".rstrip() for each in below)


def test_every_point_is_told_once_and_whole() -> None:
    assert all(p["about"] and p["before"] and p["now"] and p["script"] for p in POINTS)
    assert len({(p["before"], p["now"]) for p in POINTS}) == len(POINTS) >= 80
    assert all(bool(p["call"]) is bool(p["answer"]) for p in POINTS)


@pytest.mark.parametrize("point", PLAYED, ids=name)
def test_the_script_makes_that_call_and_expects_that_answer(point: dict[str, str]) -> None:
    lines = read_script(GAMES / point["script"]).lines
    if point["call"]:
        assert point["answer"] in list(expected(lines, point["call"]))
    else:
        assert any(line.mark for line in lines)


@pytest.mark.parametrize("point", [p for p in POINTS if p not in PLAYED], ids=name)
def test_what_is_no_matter_of_calls_has_a_test(point: dict[str, str]) -> None:
    path, _, test = point["script"].partition("::")
    tree = ast.parse((ROOT / path).read_text(encoding="utf-8"))
    assert test in {each.name for each in tree.body if isinstance(each, ast.FunctionDef)}
