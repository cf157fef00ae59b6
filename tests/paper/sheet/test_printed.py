"""The printed sheets, read back from their PDF by pdfminer and by poppler.

Marks are compared with FIBA, Official Basketball Rules 2022, Appendix B, as the book's own lines
have them: nothing of the template is known here.
"""

from __future__ import annotations

import re
from datetime import UTC
from functools import cache

import pytest

from callout.edges.typesetting import Form, typeset
from callout.game.calls import ChangeShirt
from callout.game.choices import SheetForm
from callout.game.profile.file import profile_names
from callout.game.state import Goal, Phase
from callout.game.terms import Team
from callout.paper.box_page import box_page
from callout.paper.export import Recorded
from callout.paper.sheet.form import TEMPLATES, sheet
from tests.english import WORDS
from tests.game.play import HOME
from tests.paper.drawn_sheet import (
    Box,
    Mark,
    american_running,
    american_totals,
    boxes,
    fiba_periods,
    fiba_running,
    fiba_score,
    points_by_shirt,
    sums,
    text_of,
)
from tests.paper.played import (
    CASES,
    KITE_NAMES,
    begin,
    hard_fouls,
    open_and_corrected,
    recorded,
    substitutes,
)
from tests.paper.test_export import random_game

# `test_one_sheet.py` has what is read back each time.
pytestmark = pytest.mark.thorough

FIBA, AMERICAN = SheetForm.FIBA, SheetForm.AMERICAN


def printed(recorded: Recorded, form: SheetForm, paper: str = "a4") -> bytes:
    data = sheet(recorded, form, WORDS, paper, UTC)
    made = typeset(TEMPLATES[form], data, Form.PDF, 0)
    assert made.unshown == ""
    return made.files[0]


@cache
def case(name: str) -> Recorded:
    return CASES[name]()


@cache
def case_boxes(name: str, form: SheetForm) -> list[Box]:
    return boxes(printed(case(name), form))


def expected(recorded: Recorded, team: Team) -> dict[int, Mark]:
    """The running score as Appendix B.10 wants it, of a game without rulings of the officials."""
    game, marks, total = recorded.game, {}, 0
    goals = sorted((g for g in game.goals if g.made and g.team is team), key=_by_period)
    lasts = [sum(g.counts for g in goals if g.period <= p) for p in range(1, _over(recorded) + 1)]
    for goal in goals:
        total += goal.counts
        kind = "throw" if goal.free_throw else "three" if goal.points == 3 else "goal"
        by = goal.number or ("own" if goal.own_basket else f"{goal.said or ''}?")
        marks[total] = Mark(kind, by, total in lasts)
    return marks


def _by_period(goal: Goal) -> tuple[int, int]:
    return goal.period, goal.item


def _over(recorded: Recorded) -> int:
    game = recorded.game
    return game.period - (game.phase not in (Phase.INTERVAL, Phase.OVER))


@pytest.mark.parametrize("name", [name for name in CASES if name != "open-and-corrected"])
def test_the_running_score_has_the_marks_of_appendix_b(name: str) -> None:
    recorded = case(name)
    drawn = fiba_running(case_boxes(name, FIBA))
    assert drawn == tuple(expected(recorded, team) for team in Team)
    below = american_running(case_boxes(name, AMERICAN))
    assert below == drawn


def adds_up(recorded: Recorded, form: SheetForm, found: list[Box] | None = None) -> None:
    """Players, open, own baskets and officials' points = running = periods = final, as printed."""
    pdf = printed(recorded, form)
    found = found or boxes(pdf)
    text = text_of(pdf)
    if form is FIBA:
        running, score = fiba_running(found), fiba_score(text)
        by_period = list(zip(*fiba_periods(text), strict=True)) or [(), ()]
    else:
        running = american_running(found)
        totals = list(american_totals(text, len(recorded.game.profile.goals.field)))
        score = totals[0][1], totals[1][1]
        by_period = [tuple(points) for points, _ in totals]
    for team, run, periods, points, total in zip(
        Team, running, by_period, sums(text), score, strict=True
    ):
        assert sum(points[:4]) == points[4] == total == sum(periods)
        assert total == recorded.seen["score"][team.value]
        if not points[3]:  # The officials' points are of nobody.
            assert max([0, *run]) == total
            of = points_by_shirt(run)
            shirts = {n: p["points"] for n, p in recorded.seen["players"][team.value].items()}
            assert {n: p for n, p in of.items() if n in shirts} == {
                n: p for n, p in shirts.items() if p
            }
            assert sum(p for n, p in of.items() if n.endswith("?")) == points[1]
            assert of.get("own", 0) == points[2]


@pytest.mark.parametrize("name", CASES)
@pytest.mark.parametrize("form", SheetForm)
def test_a_case_adds_up(name: str, form: SheetForm) -> None:
    adds_up(case(name), form, case_boxes(name, form))


@pytest.mark.parametrize("seed", range(3, 11))
@pytest.mark.parametrize("profile", profile_names())
def test_many_random_games_add_up(profile: str, seed: int) -> None:
    """96 games; the forms by turns, so that each league has both."""
    adds_up(random_game(profile, seed), list(SheetForm)[seed % 2])


# --- fouls ------------------------------------------------------------------------------------


def row_of(found: list[Box], number: str, nth: int = 0) -> list[str]:
    """The texts of the row of a player: the boxes right of his number, on its height."""
    heads = [b for b in found if b.text == number and b.width > 20]
    head = heads[nth]
    return [b.text for b in found if abs(b.y1 - head.y1) < 0.2 and b.x0 >= head.x1 - 0.1
            and b.x0 < 300]  # fmt: skip


def test_team_fouls_are_crossed_and_the_rest_struck_after_the_period() -> None:
    """FIBA B.9, 41.1.1: coach's and bench's fouls count to no team; here 2 and 3 players' fouls."""
    found = boxes(printed(hard_fouls(), FIBA))
    first = [b for b in found if b.strokes == 2]
    assert len(first) == 5
    rows = [[(b.strokes == 2, b.level) for b in found if abs(b.y1 - y) < 0.2 and b.x0 > 200
             and b.x1 < 300] for y in sorted({b.y1 for b in first}, reverse=True)]  # fmt: skip
    crossed, struck = (True, 0), (False, 2)
    assert rows == [[crossed, crossed, struck, struck], [crossed, crossed, crossed, struck]]


def test_a_lost_timeout_is_struck_and_the_next_has_its_minute() -> None:
    """FIBA interpretation 18/19-23: asked at 2:09, granted at 1:58: the second box has it."""
    found = boxes(printed(substitutes(), FIBA))
    row = next([b for b in found if b.y1 == box.y1 and b.x0 < 150] for box in found
               if box.text == "9" and box.x0 < 150)  # fmt: skip
    assert [(b.text, b.level) for b in row] == [("", 2), ("9", 0), ("", 2)]


def test_a_starter_has_a_circled_x_and_a_substitute_a_plain_one() -> None:
    """FIBA B.4 to B.6."""
    found = [b for b in boxes(printed(substitutes(), FIBA)) if b.text == "x"]
    assert [b.rings for b in found] == [1, 1, 1, 1, 1, 0]


# --- what is open, what was corrected, and how far the game is ------------------------------------


def test_what_is_open_and_corrected_stands_on_the_sheet() -> None:
    for form in SheetForm:
        text = " ".join(text_of(printed(open_and_corrected(), form)).split())
        assert "OPEN: the game is not over (Q2 7:04). Not to be signed." in text
        assert "Open 3, corrected 7, noted 0: see overleaf" in text
        assert "6 18:00:59 Q1 7:01 home basket of 3, number 7, Q1 7:01: now 2 table" in text
        assert "11 18:01:21 Q1 6:39 does not count: home basket of 2, number 4, Q1 6:43" in text
        assert "home basket of 2, number 5, Q1 6:30: now number 23 table, by script" in text
        assert "guest score set to 6 officials, by script" in text
        assert "taken back: home basket of 2, number 4, Q2 7:30 table, by script" in text
        assert "Quarry Foxes: basket of 2, Q1 7:10, number 99, not listed" in text
        assert text.count("mark 1f2e-0a9b-77c1-d03e-5a44") == 2


def test_a_game_that_is_over_says_so_and_has_a_winner() -> None:
    text = " ".join(text_of(printed(case("four-overtimes"), FIBA)).split())
    assert "OPEN" not in text
    assert "Winning team Quarry Foxes" in text
    assert "Final, page 1 of 1" in text
    for name in case("four-overtimes").game.profile.sheet.signatures:
        assert name in text


def test_who_changed_his_shirt_keeps_his_name_and_the_first_number_stands_beside_it() -> None:
    """NFHS 3-4: the player is the same in another shirt."""
    play = begin("nfhs-2026")
    number, new = play.begin.home.numbers[2], "44"
    play.start().take(ChangeShirt(HOME, number, new))
    game = recorded(play, names=KITE_NAMES)
    for form in SheetForm:
        text = " ".join(text_of(printed(game, form)).split())
        assert f"{KITE_NAMES[2]} (wore {number})" in text
    rows = box_page(game, WORDS)["teams"][0]["rows"]
    assert next(row["name"] for row in rows if row["head"] == new) == KITE_NAMES[2]


@pytest.mark.parametrize("form", SheetForm)
def test_people_and_the_place_stand_on_the_sheet(form: SheetForm) -> None:
    """FIBA B.3: captain and coaches by name; CAP behind the captain's name is from memory."""
    text = " ".join(text_of(printed(case("with-people"), form)).split())
    assert "Cleo Marsh (CAP)" in text
    assert text.count("(CAP)") == 2  # The other captain is known by number alone.
    for name in ("Gale Wren", "Hal Finch", "Place Harbour Hall", "Saturday league",
                 "Crew chief Cy Dale", "Umpire 1 Di Tern", "Scorer: Flo Ames",
                 "2026-114"):  # fmt: skip
        assert name in text


def test_a_forfeited_game_says_how_it_counts() -> None:
    """FIBA 20.2, from memory: 20 to 0, whatever was played."""
    for form in SheetForm:
        text = " ".join(text_of(printed(case("forfeited"), form)).split())
        assert (
            "Forfeited by Quarry Foxes: the game counts 20 – 0. Below is what was played." in text
        )
        assert "OPEN" not in text
        assert re.search("(Winning team|Winner) Harbour Kites", text)
        assert "home warned for delay officials, by script" in text
        assert "the game was broken off officials, by script" in text


@pytest.mark.parametrize("form", SheetForm)
def test_names_with_markup_and_other_scripts_are_plain_text(form: SheetForm) -> None:
    recorded = case("long-names")
    text = text_of(printed(recorded, form))
    assert "Κωνσταντίνα Παπαδημητρίου" in text
    for wild in (r"#pagebreak() \Moss", "$x$ *Bo* _Reed_", "@ref <label> `raw` //"):
        (first, *rest) = recorded.setup.home.players
        named = type(first)(first.number, wild)
        home = type(recorded.setup.home)(recorded.setup.home.name, (named, *rest))
        setup = type(recorded.setup)(recorded.setup.profile, home, recorded.setup.guest)
        other = Recorded("x", setup, recorded.game, recorded.entries, recorded.left_tenths, "")
        assert wild in text_of(printed(other, form))


@pytest.mark.parametrize("paper", ["a4", "us-letter"])
@pytest.mark.parametrize("form", SheetForm)
@pytest.mark.parametrize("name", CASES)
def test_everything_lies_on_its_pages(name: str, form: SheetForm, paper: str) -> None:
    """One page, and another only for scores that have no room or for notes."""
    pdf = printed(case(name), form, paper)
    more = name in ("three-digits", "open-and-corrected", "forfeited")
    more |= (name, form, paper) == ("four-overtimes", AMERICAN, "us-letter")
    assert text_of(pdf).count("\f") == 1 + more


@pytest.mark.parametrize("form", SheetForm)
def test_no_box_is_cut_by_the_paper_s_edge(form: SheetForm) -> None:
    """5 mm at least: nearer, many printers print nothing. Source: from memory."""
    found = case_boxes("four-overtimes", form)
    assert min(b.x0 for b in found) > 14
    assert min(b.y0 for b in found) > 14
    assert max(b.x1 for b in found) < 595 - 14
