"""Throws that begin an overtime: the points that the sheet and the exports give to each period."""

from __future__ import annotations

from callout.game.calls import EndPeriod, Foul, Score, Shot
from callout.game.choices import SheetForm
from callout.game.terms import FoulKind
from callout.paper.sheet.form import sheet
from callout.table.view import view
from tests.english import WORDS
from tests.game.play import GUEST, HOME, Play
from tests.paper.drawn_sheet import fiba_periods, fiba_score, text_of
from tests.paper.played import begin, recorded
from tests.paper.sheet.test_printed import printed


def before_overtime() -> Play:
    """Two all at the end; home has made the throw for a technical foul in the interval."""
    play = begin("fiba-2024").to_left(4, 60).take(Score(HOME, 2, "4"), Score(GUEST, 2, "14"))
    play.wait(60).take(EndPeriod(), Foul(GUEST, "14", FoulKind.TECHNICAL, before_horn=False))
    return play.take(Shot(True, HOME, "4"))


def test_the_point_stands_in_the_overtime_before_that_begins() -> None:
    """FIBA 41.1.3: the foul belongs to the period to come; B.13 for the score of each period."""
    play = before_overtime()
    made = sheet(recorded(play), SheetForm.FIBA, WORDS)
    assert [(p["name"], p["points"], p["over"]) for p in made["periods"]][3:] == [
        ("Q4", [2, 2], True),
        ("OT1", [1, 0], False),
    ]
    assert [cell["period"] for cell in made["teams"][0]["running"]] == [4, 5]
    # B.12: the line is drawn below the last total of the period that is over.
    assert made["teams"][0]["ends"][-1] == {"period": 4, "total": 2}
    assert view(play.game, 0)["by_period"][3:] == [{"home": 2, "guest": 2}, {"home": 1, "guest": 0}]


def test_the_other_form_has_the_throw_in_its_column_of_the_overtime() -> None:
    made = sheet(recorded(before_overtime()), SheetForm.AMERICAN, WORDS)
    row = next(row for row in made["teams"][0]["players"] if row["number"] == "4")
    assert [each["throws"] for each in row["periods"]] == [[], [], [], [], [True]]


def test_it_is_printed() -> None:
    text = text_of(printed(recorded(before_overtime()), SheetForm.FIBA))
    assert fiba_periods(text)[3:] == [(2, 2), (1, 0)]
    assert fiba_score(text) == (3, 2)
