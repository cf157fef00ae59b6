"""The course of a game, against games counted by hand and against pandas on the tables alone."""

from __future__ import annotations

from itertools import pairwise

import pandas
import pytest

from callout.game.calls import (
    EndGame,
    EndPeriod,
    Foul,
    OfficialTimeout,
    Score,
    SetClock,
    SetScore,
    Shot,
    StartPeriod,
    Timeout,
    TimeoutOver,
)
from callout.game.profile.file import load_profile, profile_names
from callout.game.state import Owner
from callout.game.terms import Team
from callout.paper.course import (
    LONG_RUN,
    course,
    largest_lead,
    lead_changes,
    runs,
    ties,
)
from callout.paper.export import Recorded
from tests.game.play import GUEST, HOME, Play
from tests.paper.test_export import random_game, tables


def test_a_game_counted_by_hand() -> None:
    """Written down as it is called, and counted with a pencil.

    | call         | score | margin | lead of | what it is                                  |
    | ------------ | ----- | ------ | ------- | ------------------------------------------- |
    | home two     |  2-0  |   +2   | home    | the first lead: no lead change              |
    | guest three  |  2-3  |   -1   | guest   | lead change 1                               |
    | guest two    |  2-5  |   -3   | guest   | guest's largest lead                        |
    | home three   |  5-5  |    0   |         | tie 1                                       |
    | home two     |  7-5  |   +2   | home    | lead change 2: guest had led last           |
    | guest two    |  7-7  |    0   |         | tie 2                                       |
    | shot good    |  8-7  |   +1   | home    | no lead change: home had led last           |
    | shot missed  |  8-7  |   +1   | home    | no points                                   |
    | home three   | 11-7  |   +4   | home    |                                             |
    | home two     | 13-7  |   +6   | home    | home's largest lead, for the first time     |
    | guest two    | 13-9  |   +4   | home    |                                             |
    | home two     | 15-9  |   +6   | home    | as large, but not the first                 |
    """
    play = Play(load_profile("nfhs-2026")).start()
    play.take(Score(HOME, 2), Score(GUEST, 3), Score(GUEST, 2), Score(HOME, 3), Score(HOME, 2))
    play.take(Score(GUEST, 2), Shot(True, HOME), Shot(False, HOME), Score(HOME, 3))
    play.take(Score(HOME, 2), Score(GUEST, 2), Score(HOME, 2))
    steps = course(play.game, 4800).steps
    assert [step.margin for step in steps] == [2, -1, -3, 0, 2, 0, 1, 4, 6, 4, 6]
    assert [(step.home, step.guest) for step in lead_changes(steps)] == [(2, 3), (7, 5)]
    assert [(step.home, step.guest) for step in ties(steps)] == [(5, 5), (7, 7)]
    # Home's three, two; then guest's two; then home's one, three, two: 5, and 6 in a row.
    found = [(run.team, run.points) for run in runs(steps, least=5)]
    assert found == [(GUEST, 5), (HOME, 5), (HOME, 6)]
    assert runs(steps) == ()
    first, other = largest_lead(steps, HOME), largest_lead(steps, GUEST)
    assert first is not None
    assert other is not None
    assert (first.home, first.guest) == (13, 7)
    assert (other.home, other.guest) == (2, 5)


def test_a_run_goes_on_through_the_end_of_a_period() -> None:
    """Three and three before the horn, two after it: eight in a row."""
    play = Play(load_profile("nfhs-2026")).start()
    play.take(Score(GUEST, 2), Score(HOME, 3), Score(HOME, 3), EndPeriod()).start()
    play.take(Score(HOME, 2), Score(GUEST, 2))
    (run,) = runs(course(play.game, 4800).steps)
    assert (run.team, run.points, len(run.steps)) == (HOME, LONG_RUN, 3)
    assert [step.period for step in run.steps] == [1, 1, 2]


def test_points_by_the_officials_word_move_the_margin_and_end_a_run() -> None:
    """Home has 3 and 3; set to 8 that is 2 more, by nobody; then 3: no run of 8 or of 11."""
    play = Play(load_profile("nfhs-2026")).start()
    play.take(Score(HOME, 3), Score(HOME, 3), SetScore(HOME, 8), Score(HOME, 3))
    steps = course(play.game, 4800).steps
    assert [step.margin for step in steps] == [3, 6, 8, 11]
    assert [run.points for run in runs(steps, least=1)] == [6, 3]


def test_points_by_the_officials_word_may_make_a_tie() -> None:
    play = Play(load_profile("nfhs-2026")).start()
    play.take(Score(HOME, 3), SetScore(GUEST, 3))
    steps = course(play.game, 4800).steps
    assert [(step.home, step.guest) for step in ties(steps)] == [(3, 3)]


def test_a_team_that_never_led_has_no_largest_lead() -> None:
    play = Play(load_profile("nfhs-2026")).start().take(Score(HOME, 2), Score(GUEST, 2))
    assert largest_lead(course(play.game, 4800).steps, GUEST) is None
    assert largest_lead((), HOME) is None


def test_where_marks_and_points_stand_in_game_time() -> None:
    """Quarters of 8:00 (NFHS 5-5-1): a goal at 7:30 of the second comes after 8:30."""
    play = Play(load_profile("nfhs-2026")).start().wait(60).take(Foul(GUEST, "8")).stop()
    play.take(EndPeriod(), StartPeriod()).start().wait(30).take(Score(HOME, 2, "5"))
    play.wait(30).take(Timeout(HOME), TimeoutOver(), OfficialTimeout())
    way = course(play.game, play.at().left_tenths)
    assert [(span.from_tenths, span.to_tenths) for span in way.spans] == [
        (0, 4800), (4800, 9600), (9600, 14400), (14400, 19200),
    ]  # fmt: skip
    assert [step.at_tenths for step in way.steps] == [5100]
    assert [(mark.line.team, mark.at_tenths) for mark in way.marks] == [
        (GUEST, 600), (HOME, 5400), (None, 5400),
    ]  # fmt: skip
    assert way.now_tenths == 5400


def test_overtime_has_its_own_length_and_a_game_that_is_over_no_periods_to_come() -> None:
    """Four minutes after the fourth quarter. Source: NFHS 5-7-3."""
    play = Play(load_profile("nfhs-2026")).to_period(5).take(Score(HOME, 2), EndPeriod())
    way = course(play.game, 0)
    assert [span.to_tenths for span in way.spans][-2:] == [19200, 21600]
    assert way.now_tenths == 21600
    early = Play(load_profile("nfhs-2026")).start()
    assert len(course(early.game, 4800).spans) == 4
    assert len(course(early.take(EndGame()).game, 0).spans) == 1


def test_a_game_that_ended_with_time_left_stops_there() -> None:
    """A target score ends a 3x3 game. Source: 3x3 rules table: 21 points."""
    play = Play(load_profile("fiba-3x3")).start().wait(60).take(Score(HOME, 2), EndGame())
    assert course(play.game, 5400).now_tenths == 600


def test_time_never_runs_back_where_a_clock_was_put_right() -> None:
    play = Play(load_profile("nfhs-2026")).start().wait(60).take(Score(HOME, 2)).stop()
    play.take(SetClock(4500)).start().take(Score(HOME, 2)).wait(60).take(Score(HOME, 2))
    assert [step.at_tenths for step in course(play.game, 3900).steps] == [600, 600, 900]


def test_without_a_clock_the_lines_stand_in_their_order() -> None:
    play = Play(load_profile("youth-6-minute"), Owner.NONE).start()
    play.take(Score(HOME, 2), Foul(GUEST), Score(GUEST, 2), EndPeriod()).start()
    play.take(Score(HOME, 2))
    way = course(play.game, 0)
    assert not any(span.timed for span in way.spans)
    times = sorted([*(s.at_tenths for s in way.steps), *(m.at_tenths for m in way.marks)])
    assert len(set(times)) == 4
    first, second = way.spans[:2]
    assert first.from_tenths < times[0] < times[2] < first.to_tenths == second.from_tenths
    assert second.from_tenths < times[3] < second.to_tenths


def test_an_overtime_without_a_clock_is_no_wider_than_half_a_period() -> None:
    """3x3 overtime has no clock (3x3 rules table)."""
    play = Play(load_profile("fiba-3x3")).to_period(2)
    for _ in range(60):
        play.take(Foul(GUEST))
    regular, over = course(play.game, 0).spans
    assert (regular.timed, over.timed) == (True, False)
    assert over.to_tenths - over.from_tenths == 3000


def by_pandas(each: Recorded) -> pandas.DataFrame:
    """The points of a game from the table of lines alone, in order, with the margin after each."""
    lines = tables(each)["lines"]
    points = lines[lines["points"].notna() & (lines["points"] != 0)].copy()
    points["period"] = points["period"].clip(lower=1)
    points = points.sort_values(["period", "entry"], kind="stable")
    signs = points["team"].map({"home": 1, "guest": -1})
    points["margin"] = (signs * points["points"]).cumsum().astype(int)
    return points


@pytest.mark.parametrize("profile", profile_names())
def test_pandas_counts_the_same_from_the_lines_alone(profile: str) -> None:
    for seed in range(4):
        each = random_game(profile, seed)
        steps = course(each.game, each.left_tenths).steps
        points = by_pandas(each)
        assert [step.margin for step in steps] == points["margin"].tolist()
        assert len(ties(steps)) == (points["margin"] == 0).sum()
        leads = points.loc[points["margin"] != 0, "margin"] > 0
        assert len(lead_changes(steps)) == (leads != leads.shift(fill_value=None)).iloc[1:].sum()
        parts = points["kind"].eq("adjustment").astype(str) + points["team"]
        groups = points.groupby((parts != parts.shift()).cumsum())
        long = groups.agg(points=("points", "sum"), kind=("kind", "first"), team=("team", "first"))
        long = long[(long["points"] >= LONG_RUN) & (long["kind"] != "adjustment")]
        assert [(run.team.value, run.points) for run in runs(steps)] == list(
            zip(long["team"], long["points"], strict=True)
        )
        for team, sign in ((Team.HOME, 1), (Team.GUEST, -1)):
            best = largest_lead(steps, team)
            most = max(0, (sign * points["margin"]).max()) if len(points) else 0
            assert (sign * best.margin if best else 0) == most


@pytest.mark.parametrize("profile", profile_names())
def test_game_time_runs_forward_and_stays_in_its_period(profile: str) -> None:
    for seed in range(4):
        each = random_game(profile, seed)
        way = course(each.game, each.left_tenths)
        assert all(one.to_tenths == two.from_tenths for one, two in pairwise(way.spans))
        assert all(one.at_tenths <= two.at_tenths for one, two in pairwise(way.steps))
        for step in way.steps:
            span = way.spans[step.period - 1]
            assert span.from_tenths <= step.at_tenths <= span.to_tenths
