"""An approved game says so on the sheet, a forfeited one, too."""

from __future__ import annotations

import pytest

from callout.game.calls import Approve, Forfeit
from callout.game.choices import SheetForm
from tests.game.play import GUEST
from tests.paper.drawn_sheet import text_of
from tests.paper.played import begin, recorded
from tests.paper.sheet.test_printed import printed


@pytest.mark.thorough
@pytest.mark.parametrize("form", SheetForm)
def test_an_approved_forfeit_says_both(form: SheetForm) -> None:
    play = begin("fiba-2024").start().wait(20).take(Forfeit(GUEST), Approve())
    text = " ".join(text_of(printed(recorded(play), form)).split())
    assert "Forfeited by Quarry Foxes: the game counts 20 – 0." in text
    assert "Approved by the officials at 18:00" in text
