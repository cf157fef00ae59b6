"""An approved game says so on the sheet, and what was corrected since; a forfeited one, too."""

from __future__ import annotations

import io

import pytest
from pdfminer.high_level import extract_pages

from callout.game.calls import Approve, Forfeit, Score, SetScore, Signed
from callout.game.choices import SheetForm
from tests.game.play import GUEST, HOME
from tests.paper.drawn_sheet import text_of
from tests.paper.played import begin, end_game, recorded
from tests.paper.printed import letters
from tests.paper.sheet.test_printed import printed


@pytest.mark.thorough
@pytest.mark.parametrize("form", SheetForm)
def test_an_approved_forfeit_says_both(form: SheetForm) -> None:
    play = begin("fiba-2024").start().wait(20).take(Forfeit(GUEST), Approve())
    text = " ".join(text_of(printed(recorded(play), form)).split())
    assert "Forfeited by Quarry Foxes: the game counts 20 – 0." in text
    assert "Approved by the officials at 18:00" in text


LONG = "foot on the line, as the film shows at 3:12; agreed by both coaches, letter of 30 November"


@pytest.mark.thorough
@pytest.mark.parametrize("form", SheetForm)
def test_signed_corrections_stand_apart_with_name_and_reason(form: SheetForm) -> None:
    """A word without a space is broken, so that none leaves its column."""
    play = begin("fiba-2024").start().wait(20).take(Score(HOME, 2, "5"), SetScore(HOME, 3))
    end_game(play).take(Approve())
    for by, reason in (("Cy Dale", LONG), ("J" * 150, "w" * 150), ("Di\nTern", "#x $y$ \\z")):
        play.wait(9).take(Signed(SetScore(HOME, play.score[0] + 1), by, reason))
    pdf = printed(recorded(play), form)
    text = text_of(pdf)
    flat = " ".join(text.split())
    assert "Corrections signed since: 3, see overleaf." in flat
    assert "corrected 4, noted 0: see overleaf" in flat
    before, after = text.split("Corrected after the approval")
    assert "home score set to 3" in before
    assert "home score set to 3" not in after
    shown = "".join(after.split()).replace("\u200b", "")
    for part in ("homescoresetto4", "CyDale", "#x$y$\\z", "Di\\nTern"):
        assert part in shown
    assert after.count("J") == 150
    assert after.count("w") >= 150
    last = max(page.width for page in extract_pages(io.BytesIO(pdf)))
    assert all(letter.x1 < last - 20 for page in extract_pages(io.BytesIO(pdf))
               for letter in letters(page))  # fmt: skip
