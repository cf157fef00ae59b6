"""One printed sheet, read back each time; `test_printed.py` reads many where there are minutes."""

from __future__ import annotations

from callout.game.choices import SheetForm
from tests.paper.drawn_sheet import boxes
from tests.paper.played import hard_fouls
from tests.paper.sheet.test_printed import printed, row_of


def test_a_foul_has_its_throws_and_a_disqualification_its_mark() -> None:
    """FIBA B.8.3: the figure is the number of throws; GD follows two technical fouls (36.2.3)."""
    found = boxes(printed(hard_fouls(), SheetForm.FIBA))
    assert row_of(found, "11") == ["", "", "D2", "", "", "", ""]
    assert row_of(found, "12") == ["", "", "U2", "", "", "", ""]
    assert row_of(found, "8") == ["", "", "T1", "T1", "GD", "", ""]
    assert row_of(found, "3", -1) == ["", "", "P3", "", "", "", ""]
    coach = [b.text for b in found if b.text in ("C1", "B1")]
    assert coach == ["C1", "B1"]
