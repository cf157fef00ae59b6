"""The box score by player, against a game counted by hand and against pandas on the CSV alone."""

from __future__ import annotations

import pandas
import pytest

from callout.game.calls import Foul, MakeTeam, Score, SetScore, Shot
from callout.game.figures.score import score
from callout.game.profile.file import load_profile, profile_names
from callout.game.terms import FoulKind, Offender, Team
from callout.paper.box_rows import BoxRow, box_rows
from callout.paper.export import Recorded
from tests.english import WORDS
from tests.game.play import GUEST, HOME, Play
from tests.paper.test_export import random_game, recorded, tables
from tests.quick import thorough_but

P, T = FoulKind.PERSONAL, FoulKind.TECHNICAL


def box(each: Recorded, team: Team) -> dict[str, BoxRow]:
    return {row.head: row for row in box_rows(WORDS, each.game, team, each.seen)}


def test_a_small_game_counted_by_hand() -> None:
    play = Play(load_profile("nfhs-2026")).start()
    play.take(Score(HOME, 2, "5"), Score(HOME, 3, "5"), Foul(GUEST, "14"), Shot(True, HOME, "4"))
    play.take(Shot(False, HOME, "4"), Foul(HOME, "5"), Foul(HOME, "5", T), Score(HOME, 2))
    play.take(Foul(HOME, None, T, Offender.COACH), Score(HOME, 3, "88"), Foul(HOME, "88"))
    play.take(Score(HOME, 2, own_basket=True), SetScore(HOME, 20))
    home = box(recorded(play), HOME)
    assert home["5"] == BoxRow("5", True, {2: 1, 3: 1}, 0, 0, (P, T), False, 5)
    assert home["4"] == BoxRow("4", True, {2: 0, 3: 0}, 1, 1, (), False, 1)
    assert home["88, not listed"] == BoxRow("88, not listed", False, {2: 0, 3: 1}, 0, 0, (P,),
                                            False, 3)  # fmt: skip
    assert home["No number yet"].points == 2
    assert home["Coach, bench, team"].fouls == (T,)
    assert home["Own baskets"].points == 2
    # 5 + 1 + 3 + 2 + 2 = 13: seven more make twenty.
    assert home["By the officials' word"].points == 7
    assert home["Total"] == BoxRow("Total", False, {2: 3, 3: 2}, 1, 1, (P, T, P, T), False, 20)
    assert box(recorded(play), GUEST)["14"].fouls == (P,)


def test_a_player_who_is_out_is_marked() -> None:
    """Five fouls. Source: NFHS 4-14."""
    play = Play(load_profile("nfhs-2026")).start().take(*[Foul(HOME, "5")] * 5)
    home = box(recorded(play), HOME)
    assert home["5"].out
    assert not home["4"].out


def test_rows_of_nobody_stand_only_where_there_is_something() -> None:
    heads = list(box(recorded(Play(load_profile("nfhs-2026")).start()), HOME))
    assert heads == ["4", "5", "7", "10", "11", "12", "23", "Total"]


def test_a_foul_moved_to_the_other_team_is_in_its_rows() -> None:
    play = Play(load_profile("nfhs-2026")).start().take(Foul(HOME, "5"), MakeTeam(GUEST))
    assert box(recorded(play), GUEST)["5"].fouls == (P,)
    assert box(recorded(play), HOME)["Total"].fouls == ()


def test_in_3x3_a_goal_of_one_is_no_free_throw() -> None:
    """Source: 3x3 rules table: field goals count 1 and 2, free throws 1."""
    play = Play(load_profile("fiba-3x3")).start()
    play.take(Score(HOME, 1, "5"), Score(HOME, 2, "5"), Shot(True, HOME, "5"))
    assert box(recorded(play), HOME)["5"] == BoxRow("5", True, {1: 1, 2: 1}, 1, 0, (), False, 4)


def player_by_pandas(mine: pandas.DataFrame, kinds: tuple[int, ...]) -> tuple[object, ...]:
    """The row of a player, from the lines of his number."""
    goals = mine[(mine["kind"] == "field goal") & (mine["made"] == "yes")]
    throws = mine.loc[mine["kind"] == "free throw", "made"]
    fouls = mine.loc[(mine["kind"] == "foul") & (mine["on"] == "player"), "foul"]
    made = {kind: int((goals["points"] == kind).sum()) for kind in sorted(kinds)}
    counts = (throws == "yes").sum(), (throws == "no").sum()
    return made, *counts, tuple(fouls), mine["points"].sum()


@pytest.mark.parametrize("profile", thorough_but(profile_names(), {"nfhs-2026"}))
def test_pandas_gets_the_same_rows_from_the_lines_alone(profile: str) -> None:
    games = [random_game(profile, seed) for seed in range(4)]
    lines = tables(*games)["lines"]
    players = tables(*games)["players"]
    for each in games:
        kinds = each.game.profile.goals.field
        for team in Team:
            mine = lines[(lines["game"] == each.name) & (lines["team"] == team.value)]
            rows = box(each, team)
            ours = [(row.head, row.listed) for row in rows.values() if row.listed]
            who = players[(players["game"] == each.name) & (players["team"] == team.value)]
            assert [head for head, _ in ours] == who.loc[who["listed"] == "yes", "number"].tolist()
            for head, _ in ours:
                row = rows[head]
                found = (row.made, row.throws_made, row.throws_missed,
                         tuple(kind.value for kind in row.fouls), row.points)  # fmt: skip
                assert found == player_by_pandas(mine[mine["number"] == head], kinds), (each, head)
            total = rows["Total"]
            assert total.points == mine["points"].sum() == score(each.game, team)
            assert len(total.fouls) == (mine["kind"] == "foul").sum()
            assert total.throws_made + total.throws_missed == (mine["kind"] == "free throw").sum()
