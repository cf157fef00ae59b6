"""The worked situations that name a sheet, played and printed: what is drawn, from the PDF.

Source: FIBA, Official Basketball Rules 2022, B.7 and B.8.3, and the interpretations of 2023.
"""

from __future__ import annotations

import re
from functools import cache
from pathlib import Path

import pytest

from callout.game.choices import SheetForm
from callout.paper.export import Recorded
from callout.table.book.journal import Journal
from callout.table.scripts.script import Runner, read_script
from tests.english import english_grammar
from tests.paper.drawn_sheet import Box, boxes, text_of
from tests.paper.sheet.test_printed import printed, row_of

pytestmark = pytest.mark.thorough

FIBA_GAMES = Path(__file__).parents[2] / "games" / "fiba"
ONE_MM = 72 / 25.4


@cache
def sheet_of(name: str) -> bytes:
    """The sheet of a script's game, as it stands at the script's end."""
    script = read_script(FIBA_GAMES / f"{name}.game")
    journal = Journal.in_memory(script.setup)
    runner = Runner(script, english_grammar(), journal)
    runner.run()
    assert runner.differences == []
    session = runner.session
    left, entries = session.now().left_tenths, tuple(journal.entries())
    recorded = Recorded(name, script.setup, session.game, entries, left, "")
    return printed(recorded, SheetForm.FIBA)


@cache
def drawn(name: str) -> list[Box]:
    """The boxes of that sheet."""
    return boxes(sheet_of(name))


def in_one_row(name: str, *codes: str) -> bool:
    """Whether the codes follow each other, in boxes or beside them."""
    return re.search(" +".join(codes) + r"(?!\S)", text_of(sheet_of(name))) is not None


def rows(found: list[Box]) -> list[list[Box]]:
    """Boxes of one height beside each other, from the top."""
    heights = sorted({round(box.y1) for box in found}, reverse=True)
    return [[box for box in found if round(box.y1) == height] for height in heights]


def timeouts(name: str) -> list[list[tuple[str, bool]]]:
    """Home's rows of time-outs, then guest's: what stands in each box, and whether it is struck."""
    small = [b for b in drawn(name) if 80 < b.x0 < 180 and b.width < 6.2 * ONE_MM]
    return [[(box.text, box.level == 2) for box in row] for row in rows(small)]


def coaches(name: str) -> list[str]:
    """What stands in the boxes of both head coaches."""
    low = [b for b in drawn(name) if 230 < b.x0 < 300 and abs(b.y1 - b.y0 - 4.6 * ONE_MM) < 0.3]
    head = [row for row in rows(low) if len(row) == 3][::2]
    return [" ".join(box.text for box in row).strip() for row in head]


def player(name: str, number: str, nth: int = 0) -> str:
    """The codes in a player's boxes."""
    return " ".join(row_of(drawn(name), number, nth)[2:]).strip()


STRUCK, FREE = ("", True), ("", False)


def test_30_no_timeout_of_the_second_half_by_2_00_strikes_the_first_box() -> None:
    """18/19-22; guest took one at 7:00 of the third quarter, when its fourth minute began."""
    home, guest = timeouts("30-unused-at-two-minutes")[1::2]
    assert home == [STRUCK, FREE, FREE]
    assert guest == [("4", False), FREE, FREE]


def test_31_granted_at_1_58_it_stands_in_the_second_box() -> None:
    """18/19-23; the ninth minute has begun."""
    home, _ = timeouts("31-asked-before-granted-after")[1::2]
    assert home == [STRUCK, ("9", False), FREE]


def test_60_three_disqualified() -> None:
    """B.8.3.12: D2 on the coach; for an assistant and for a substitute B2 on the coach."""
    assert coaches("60-three-disqualified") == ["B2 B2", "D2"]
    assert player("60-three-disqualified", "12") == "D"


def test_61_excluded_and_then_disqualified() -> None:
    """B.8.3.12: the five boxes are full, so D stands beside them."""
    assert player("61-excluded-then-disqualified", "8") == "T1 P3 P2 P1 P2"
    assert in_one_row("61-excluded-then-disqualified", "T1", "P3", "P2", "P1", "P2", "D")
    assert coaches("61-excluded-then-disqualified") == ["", "B2"]


def test_62_a_substitute_leaves_the_bench_in_a_fight() -> None:
    """B.8.3.13: D, and F in all boxes that are left; B2 on the coach once for both who left it."""
    name = "62-b-bench-fights"
    assert player(name, "12") == "P2 P2 D F F"
    assert player(name, "10") == "D F F F F"
    assert coaches(name) == ["B2 D2 F", ""]  # The coach himself in another fight.
    crossed = [b for b in drawn(name) if b.strokes == 2 and b.x0 < 300]
    assert len(crossed) == 2, "no team foul for it"


@pytest.mark.parametrize(
    ("name", "codes"),
    [("63-a-coach-with-fight-foul", "B2 C1 C1"), ("63-b-bench-with-fight-foul", "B2 B1 B1")],
)
def test_63_a_coach_who_has_a_fight_s_foul_already(name: str, codes: str) -> None:
    """B-2: out with two of his own, or with three in all; then GD stands beside the boxes."""
    assert coaches(name) == [codes, ""]
    assert in_one_row(name, *codes.split(), "GD")
