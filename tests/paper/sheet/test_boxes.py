"""Boxes of team fouls and time-outs, against the rule books' own figures."""

from __future__ import annotations

from callout.game.calls import Foul, StartPeriod, Timeout, TimeoutOver
from callout.game.choices import SheetForm
from callout.game.state import Owner
from callout.game.terms import FoulKind, Offender
from callout.paper.sheet.boxes import foul_rows, timeout_rows
from tests.english import WORDS
from tests.game.play import GUEST, HOME, Play
from tests.paper.played import begin, end_game, end_period

FIBA, AMERICAN = SheetForm.FIBA, SheetForm.AMERICAN


def timeout(play: Play, length: str | None = None) -> None:
    play.stop().take(Timeout(HOME, length)).wait(20).take(TimeoutOver()).start().wait(10)  # type: ignore[arg-type]


def texts(play: Play, form: SheetForm = FIBA) -> dict[str, list[str]]:
    """Each row's boxes: what stands there, two lines as =, a free box as nothing."""
    rows = timeout_rows(WORDS, play.game, form, HOME, play.at().left_tenths)
    return {
        row["label"]: ["=" if b["state"] == "struck" else b["text"] for b in row["boxes"]]
        for row in rows
    }


def test_a_timeout_has_the_minute_of_its_period() -> None:
    """FIBA B.7: the minute; 0:59 played is the first, 1:01 the second. 18.2: two and three."""
    play = begin("fiba-2024").to_left(1, 541)
    timeout(play)
    play.to_left(1, 481 - 2)
    timeout(play)
    assert texts(play) == {"1st half": ["1", "3"], "2nd half": ["", "", ""]}


def test_half_time_strikes_what_was_not_taken() -> None:
    """FIBA 18.2, B.7: nothing is carried over; unused boxes get two lines."""
    play = begin("fiba-2024").to_left(2, 300)
    timeout(play)
    end_period(play)
    assert texts(play) == {"1st half": ["6", "="], "2nd half": ["", "", ""]}


def test_without_a_timeout_at_2_00_the_first_box_is_struck() -> None:
    """FIBA interpretation 18/19-22: two are left."""
    play = begin("fiba-2024").to_left(4, 119)
    assert texts(play)["2nd half"] == ["=", "", ""]
    timeout(play)
    assert texts(play)["2nd half"] == ["=", "9", ""]


def test_a_struck_box_stays_struck_in_an_overtime_and_after_it() -> None:
    """FIBA interpretations 18/19-22 and 18/19-23: the first box, before the one taken at 1:30."""
    play = begin("fiba-2024").to_left(4, 90)
    timeout(play)
    assert texts(play)["2nd half"] == ["=", "9", ""]
    end_period(play)
    assert texts(play)["2nd half"] == ["=", "9", "="]
    play.take(StartPeriod())
    assert texts(play)["2nd half"] == ["=", "9", "="]
    play.start()
    assert texts(play) == {"1st half": ["=", "="], "2nd half": ["=", "9", "="], "OT1": [""]}
    end_period(play)
    assert texts(end_game(play))["2nd half"] == ["=", "9", "="]


def test_an_overtime_has_one_of_its_own() -> None:
    """FIBA 18.2: one in each."""
    play = begin("fiba-2024").to_left(5, 200)
    timeout(play)
    assert texts(play)["OT1"] == ["2"]


def test_the_other_form_has_kinds_with_the_clock() -> None:
    """NFHS 5-11: three of 60 seconds and two of 30, carried on; one of 60 for an overtime."""
    play = begin("nfhs-2026").to_left(1, 400)
    timeout(play, "thirty")
    assert texts(play, AMERICAN) == {"60 s": ["", "", ""], "30 s": ["Q1 6:40", ""]}
    play.to_left(5, 200)
    timeout(play, "full")
    assert texts(play, AMERICAN)["60 s"] == ["OT1 3:20", "", "", ""]


def test_without_a_clock_a_timeout_has_its_period() -> None:
    play = begin("fiba-2024", owner=Owner.NONE).start()
    timeout(play)
    assert texts(play)["1st half"] == ["Q1", ""]


def test_one_too_many_stands_apart() -> None:
    play = begin("fiba-2024").start()
    for _ in range(3):
        timeout(play)
    assert texts(play)["More"] == ["1"]


def fouls(play: Play, form: SheetForm = FIBA) -> list[tuple[str, int, int, bool]]:
    return [
        (r["label"], r["boxes"], r["used"], r["closed"])
        for r in foul_rows(WORDS, play.game, form, HOME)
    ]


def test_four_boxes_a_quarter_and_no_coach_s_foul() -> None:
    """FIBA B.9, 41.1.1; overtime fouls belong to the fourth quarter (41.1.3)."""
    play = begin("fiba-2024").start()
    for number in ("4", "4", "5"):
        play.wait(5).stop().take(Foul(HOME, number)).start()
    play.stop().take(Foul(HOME, None, FoulKind.TECHNICAL, Offender.COACH)).start()
    assert fouls(play) == [(f"Q{n}", 4, 3 if n == 1 else 0, False) for n in range(1, 5)]
    play.to_period(5).wait(5).stop().take(Foul(HOME, "7")).start()
    assert fouls(play)[3] == ("Q4", 4, 1, False)
    assert [closed for *_, closed in fouls(play)] == [True, True, True, False]
    end_period(play)
    assert fouls(end_game(play))[3] == ("Q4", 4, 1, True)


def test_ten_boxes_a_half_where_the_bonus_goes_by_halves() -> None:
    """Common practice, no source: seven for the bonus, ten for two throws."""
    play = begin("youth-6-minute").start()
    for _ in range(11):
        play.wait(2).stop().take(Foul(HOME, None)).start()
    assert fouls(play, AMERICAN) == [("1st half", 11, 11, False), ("2nd half", 10, 0, False)]
    assert fouls(play) == [("1st half", 6, 6, False), ("2nd half", 6, 0, False)]


def test_one_row_where_fouls_count_over_the_game() -> None:
    """3x3 rules table: two throws from the seventh, the ball, too, from the tenth."""
    play = begin("fiba-3x3").start()
    play.stop().take(Foul(HOME, "4", FoulKind.UNSPORTSMANLIKE))
    assert fouls(play, AMERICAN) == [("Game", 10, 2, False)]
    assert foul_rows(WORDS, play.game, AMERICAN, GUEST)[0]["used"] == 0
