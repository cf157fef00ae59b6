"""The picture's values: axes that hold the game, ticks at round places, marks that can be seen."""

from __future__ import annotations

from itertools import pairwise

import pytest

from callout.game.calls import Foul, OfficialTimeout, Score, Timeout, TimeoutOver
from callout.game.profile.file import load_profile, profile_names
from callout.game.state import Owner
from callout.game.terms import FoulKind
from callout.paper.chart import MARKS_ACROSS, MOST_TICKS, chart
from callout.paper.course import course
from tests.english import WORDS
from tests.game.play import GUEST, HOME, Play
from tests.paper.test_export import random_game


def drawn(play: Play) -> dict:  # type: ignore[type-arg]
    return chart(WORDS, play.game.profile, course(play.game, play.at().left_tenths))


def test_the_line_and_the_areas_of_a_small_game() -> None:
    """Home leads by 2 from 1:00 to 2:00, guest by 1 from then to 3:00, which is now."""
    play = Play(load_profile("nfhs-2026")).start().wait(60).take(Score(HOME, 2)).wait(60)
    picture = drawn(play.take(Score(GUEST, 3)).wait(60))
    assert picture["line"] == [(0, 0), (600, 0), (600, 2), (1200, 2), (1200, -1), (1800, -1)]
    assert picture["areas"] == [
        {"side": "home", "points": [(600, 0), (600, 2), (1200, 2), (1200, 0)]},
        {"side": "guest", "points": [(1200, 0), (1200, -1), (1800, -1), (1800, 0)]},
    ]
    assert picture["changes"] == [1200]
    assert picture["ties"] == []


def test_no_area_lies_where_the_score_is_level() -> None:
    play = Play(load_profile("nfhs-2026")).start().wait(60).take(Score(HOME, 2)).wait(60)
    play.take(Score(GUEST, 2)).wait(60).take(Score(HOME, 2))
    areas = drawn(play)["areas"]
    assert [(area["points"][0][0], area["points"][-1][0]) for area in areas] == [
        (600, 1200), (1800, 1800),
    ]  # fmt: skip


def test_a_game_without_a_point_is_a_line_at_level() -> None:
    picture = drawn(Play(load_profile("nfhs-2026")).start().wait(60))
    assert picture["line"] == [(0, 0), (600, 0)]
    assert picture["areas"] == []
    assert (picture["low"], picture["high"]) == (-5, 5)


@pytest.mark.parametrize("profile", profile_names())
def test_the_axes_hold_every_game_and_their_ticks_are_round(profile: str) -> None:
    for seed in range(4):
        each = random_game(profile, seed)
        picture = chart(WORDS, each.game.profile, course(each.game, each.left_tenths))
        for at, margin in picture["line"]:
            assert 0 <= at <= picture["to"]
            assert picture["low"] <= margin <= picture["high"]
        leads = [tick["at"] for tick in picture["leads"]]
        assert 0 in leads
        assert len(leads) <= MOST_TICKS + 3
        steps = {after - before for before, after in pairwise(leads)}
        assert len(steps) == 1
        assert all(tick["text"] == str(abs(tick["at"])) for tick in picture["leads"])


@pytest.mark.parametrize(
    ("profile", "periods", "expected"),
    [
        ("fiba-2024", 4, ["0", "5", "10", "15", "20", "25", "30", "35", "40"]),
        ("nfhs-2026", 5, ["0", "4", "8", "12", "16", "20", "24", "28", "32", "36"]),
        ("rec-running-clock", 2, ["0", "4", "8", "12", "16", "20", "24", "28", "32"]),
        ("fiba-3x3", 2, ["0", "1", "2", "3", "4", "5", "6", "7", "8", "9", "10"]),
    ],
)
def test_the_ticks_of_time_are_minutes_and_each_period_s_end(
    profile: str, periods: int, expected: list[str]
) -> None:
    picture = drawn(Play(load_profile(profile)).to_period(periods))
    assert [tick["text"] for tick in picture["times"]] == expected
    assert all(tick["at"] == 600 * int(tick["text"]) for tick in picture["times"])


def test_periods_and_overtimes_are_named() -> None:
    """Source: four quarters and overtimes, NFHS 5-5 and 5-7."""
    picture = drawn(Play(load_profile("nfhs-2026")).to_period(6))
    assert [span["text"] for span in picture["spans"]] == ["1", "2", "3", "4", "OT 1", "OT 2"]


def test_the_axis_says_what_it_measures() -> None:
    assert drawn(Play(load_profile("nfhs-2026")))["title"] == "Game time, minutes"
    over = drawn(Play(load_profile("fiba-3x3")).to_period(2))
    assert over["title"] == "Game time, minutes, but no clock in overtime"
    none = drawn(Play(load_profile("nfhs-2026"), Owner.NONE))
    assert "no clock was kept" in none["title"]
    assert none["times"] == []


def test_fouls_and_time_outs_stand_with_their_team_and_a_letter() -> None:
    play = Play(load_profile("nfhs-2026")).start().wait(60)
    play.take(Foul(HOME, "5"), Foul(GUEST, "8", FoulKind.TECHNICAL), Timeout(GUEST), TimeoutOver())
    play.take(OfficialTimeout())
    picture = drawn(play)
    assert picture["fouls"] == {
        "home": [{"at": 600, "text": ""}], "guest": [{"at": 600, "text": "T"}],
    }  # fmt: skip
    assert picture["timeouts"] == {"home": [], "guest": [600]}
    assert picture["officials"] == [600]


def test_marks_of_one_moment_are_moved_apart() -> None:
    play = Play(load_profile("nfhs-2026")).start().wait(60)
    play.take(*[Foul(HOME, "5"), Foul(HOME, "7"), Foul(HOME, "10")])
    times = [foul["at"] for foul in drawn(play)["fouls"]["home"]]
    apart = 19_200 // MARKS_ACROSS
    assert times == [600, 600 + apart, 600 + 2 * apart]


def test_marks_at_the_end_of_the_game_stay_on_the_axis() -> None:
    play = Play(load_profile("nfhs-2026")).to_left(4, 1)
    play.take(*[Foul(HOME, number) for number in ("4", "5", "7")])
    times = [foul["at"] for foul in drawn(play)["fouls"]["home"]]
    apart = 19_200 // MARKS_ACROSS
    assert times == [19_200 - 2 * apart, 19_200 - apart, 19_200]


def test_a_run_is_drawn_from_its_first_point_to_its_last() -> None:
    play = Play(load_profile("nfhs-2026")).start().wait(60).take(Score(HOME, 3)).wait(60)
    play.take(Score(HOME, 3)).wait(60).take(Score(HOME, 3)).wait(60).take(Score(GUEST, 2))
    assert drawn(play)["runs"] == [{"side": "home", "from": 600, "to": 1800, "text": "9"}]
