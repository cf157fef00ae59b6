"""Time on court, against games worked by hand and against pandas on the tables alone."""

from __future__ import annotations

import json
from random import Random

import pytest

from callout.game.calls import (
    Call,
    ChangeShirt,
    EndGame,
    EndPeriod,
    Forfeit,
    Foul,
    Number,
    Score,
    SetClock,
    StartClock,
    StartPeriod,
    StopClock,
    SubsIn,
    Substitution,
    SubWaiting,
    SubWithdrawn,
    Undo,
)
from callout.game.fold import new_game
from callout.game.profile.file import load_profile, profile_names
from callout.game.state import Owner, Side
from callout.game.terms import FoulKind, Team
from callout.paper.court_time import CourtTime, court_time, left_at_end
from callout.paper.export import Recorded
from callout.table.setup.roster import Player
from callout.table.setup.setup import Listed, Setup
from tests.english import WORDS
from tests.game.play import FOXES, GUEST, HOME, KITES, Play
from tests.paper.test_export import tables

MINUTE = 600
"""Tenths of a second."""


def line_up(profile: str = "nfhs-2026", starters: int = 5, owner: Owner = Owner.OURS) -> Play:
    """A game whose first players on the lists start."""
    play = Play(load_profile(profile), owner)
    home = Side("Harbour Kites", KITES, KITES[:starters])
    guest = Side("Quarry Foxes", FOXES, FOXES[:starters])
    play.begin = play.game = new_game(play.game.profile, home, guest, owner)
    return play


def kept(play: Play, team: Team = HOME) -> CourtTime:
    left = left_at_end(play.game, play.entries, play.at().left_tenths)
    return court_time(WORDS, play.game, play.entries, team, left)


def test_a_game_worked_by_hand() -> None:
    """Quarters of 8:00 (NFHS 5-5-1). Home starts with 4, 5, 7, 10, 11; 12 and 23 sit.

    Minutes of each so far:

    | call           | left | then on court | 4   | 5   | 7   | 10  | 11  | 12  | 23  |
    | -------------- | ---- | ------------- | --- | --- | --- | --- | --- | --- | --- |
    | home 12 for 4  | 6:00 | 5 7 10 11 12  | 2   | 2   | 2   | 2   | 2   |     |     |
    | home 23 for 5  | 5:00 | 7 10 11 12 23 | 2   | 3   | 3   | 3   | 3   | 1   |     |
    | end of quarter | 0:00 |               | 2   | 3   | 8   | 8   | 8   | 6   | 5   |
    | home 4 for 7   |      | 4 10 11 12 23 | 2   | 3   | 8   | 8   | 8   | 6   | 5   |
    | now            | 7:30 |               | 2.5 | 3   | 8   | 8.5 | 8.5 | 6.5 | 5.5 |
    """
    play = line_up().start().wait(120).take(Substitution(HOME, "12", "4"))
    play.wait(60).take(Substitution(HOME, "23", "5")).wait(60).take(EndPeriod())
    play.take(Substitution(HOME, "4", "7")).start().wait(30)
    minutes = {number: tenths / MINUTE for number, tenths in kept(play).tenths.items()}
    assert minutes == {"4": 2.5, "5": 3, "7": 8, "10": 8.5, "11": 8.5, "12": 6.5, "23": 5.5}
    assert sum(minutes.values()) == 5 * 8.5


def test_the_other_team_s_substitutions_are_not_ours() -> None:
    play = line_up().start().wait(120).take(Substitution(GUEST, "20", "3"))
    assert kept(play) == CourtTime()
    assert kept(play, GUEST).tenths["3"] == 2 * MINUTE


def test_a_substitution_that_was_taken_back_does_not_count() -> None:
    play = line_up().start().wait(60).take(Substitution(HOME, "12", "4"))
    play.wait(60).take(Substitution(HOME, "23", "5"), Undo()).wait(60)
    assert kept(play).tenths == {
        "4": MINUTE, "5": 3 * MINUTE, "7": 3 * MINUTE, "10": 3 * MINUTE, "11": 3 * MINUTE,
        "12": 2 * MINUTE, "23": 0,
    }  # fmt: skip


def test_a_game_that_ended_early_counts_what_was_played() -> None:
    play = line_up().start().wait(60).take(Substitution(HOME, "12", "4")).wait(60).take(EndGame())
    assert sum(kept(play).tenths.values()) == 5 * 2 * MINUTE


def test_a_period_ended_by_a_call_was_played_to_the_end() -> None:
    """The gym's horn may sound some seconds before our clock shows 0."""
    play = line_up().start().take(Substitution(HOME, "12", "4")).wait(470).take(EndPeriod())
    assert kept(play).tenths["5"] == 8 * MINUTE


def test_time_given_back_is_not_counted_twice() -> None:
    play = line_up().start().take(Substitution(HOME, "12", "4")).wait(60).stop()
    play.take(SetClock(4500)).start().wait(60)
    assert kept(play).tenths["5"] == 900


def test_an_overtime_without_a_clock_counts_nothing() -> None:
    """3x3 overtime has no clock (3x3 rules table)."""
    play = line_up("fiba-3x3", starters=3).start().take(Substitution(HOME, "10", "4"))
    play.take(EndPeriod()).start().wait(60)
    assert kept(play).tenths["5"] == 10 * MINUTE


def test_a_player_who_changed_his_shirt_has_one_time() -> None:
    """Number 5 goes on as 50 after a minute, comes back in later, and goes on as 51."""
    play = line_up().start().wait(60).take(ChangeShirt(HOME, "5", "50"))
    play.wait(60).take(Substitution(HOME, "12", "50")).wait(60)
    play.take(Substitution(HOME, "50", "4"), ChangeShirt(HOME, "50", "51")).wait(60)
    tenths = kept(play.take(Score(HOME, 2, "51"))).tenths
    assert (tenths["51"], tenths["4"], tenths["12"]) == (3 * MINUTE, 3 * MINUTE, 2 * MINUTE)
    assert not {"5", "50"} & set(tenths)
    assert sum(tenths.values()) == 5 * 4 * MINUTE


@pytest.mark.parametrize("end", [EndGame(), Forfeit(GUEST)])
def test_what_the_clock_showed_when_the_game_ended_is_known(end: Call) -> None:
    play = line_up().start().wait(60)
    assert left_at_end(play.game, play.entries, 4200) == 4200
    play.take(end)
    assert left_at_end(play.game, play.entries, 0) == 4200


def test_an_end_that_was_taken_back_is_none() -> None:
    play = line_up().start().wait(60).take(EndGame()).take(Undo()).start().wait(60).take(EndGame())
    assert left_at_end(play.game, play.entries, 0) == 3600


def test_a_team_without_substitutes_needs_no_substitution() -> None:
    play = line_up(starters=5)
    five = Side("Harbour Kites", KITES[:5], KITES[:5])
    play.begin = play.game = new_game(play.game.profile, five, play.game.guest)
    assert set(kept(play.start().wait(60)).tenths.values()) == {MINUTE}


@pytest.mark.parametrize(
    "play",
    [
        line_up(starters=4).start().take(Substitution(HOME, "12", "4")),
        line_up(owner=Owner.NONE).start().take(Substitution(HOME, "12", "4")),
        line_up().start().wait(60),
    ],
    ids=["four starters", "no clock", "no substitution"],
)
def test_no_line_up_was_kept(play: Play) -> None:
    assert kept(play) == CourtTime()


WENT_IN = (SubWaiting(HOME), SubsIn())


@pytest.mark.parametrize(
    ("calls", "doubt"),
    [
        ([Substitution(HOME, "12", "23")], "entry 3: number 23 was not on court"),
        ([Substitution(HOME, "5", "7")], "entry 3: number 5 was on court already"),
        ([Score(HOME, 2, "23")], "entry 3: number 23 was not on court"),
        ([Score(HOME, 2), Number("23")], "entry 3: number 23 was not on court"),
        ([Foul(HOME, "23")], "entry 3: number 23 was not on court"),
    ],
)
def test_what_contradicts_the_line_up_is_named(calls: list[Call], doubt: str) -> None:
    play = line_up().start().take(Substitution(HOME, "12", "4"), *calls)
    assert kept(play) == CourtTime(doubt=doubt)


def test_a_technical_foul_may_be_called_on_a_substitute() -> None:
    play = line_up().start().take(Substitution(HOME, "12", "4"))
    assert kept(play.take(Foul(HOME, "23", FoulKind.TECHNICAL))).tenths


def test_who_goes_in_without_numbers_leaves_the_line_up_unknown() -> None:
    play = line_up().start().take(Substitution(HOME, "12", "4")).stop().take(*WENT_IN)
    assert kept(play).tenths, "the numbers may still come"
    assert kept(play.start()).tenths, "they still may"
    assert kept(play.stop()).doubt == "entry 7: substitutes had gone in without numbers"
    assert not kept(play, GUEST).doubt


@pytest.mark.parametrize(
    "calls",
    [
        [SubWaiting(HOME), SubsIn(), Substitution(HOME, "23", "5")],
        [SubWaiting(HOME), Substitution(HOME, "23", "5"), SubWaiting(GUEST), SubsIn()],
        [SubWaiting(None), SubsIn(), Substitution(HOME, "23", "5")],
        [SubWaiting(HOME), SubWithdrawn(HOME), SubWaiting(GUEST), SubsIn()],
        [SubWaiting(HOME), SubsIn(), StartClock(), Substitution(HOME, "23", "5"), StopClock()],
    ],
)
def test_who_is_named_before_the_next_stop_is_known(calls: list[Call]) -> None:
    play = line_up().start().take(Substitution(HOME, "12", "4")).stop().take(*calls).start().stop()
    assert kept(play).tenths


def test_somebody_of_either_team_who_is_never_named_leaves_both_unknown() -> None:
    play = line_up().start().take(Substitution(HOME, "12", "4"), Substitution(GUEST, "20", "3"))
    play.stop().take(SubWaiting(None), SubsIn()).start().take(EndPeriod())
    assert kept(play).doubt
    assert kept(play, GUEST).doubt


def random_line_ups(profile: str, seed: int) -> Recorded:
    """A game with random substitutions, each of them possible, and nothing else but periods."""
    random = Random(seed)
    play = line_up(profile, load_profile(profile).roster.on_court)
    courts = {team: list(play.game.side(team).starters) for team in Team}
    for _ in range(60):
        play.wait(random.choice((5, 20, 90)))
        number = random.random()
        if play.game.phase.between:
            play.take(StartPeriod()).start()
        elif play.at().left_tenths < 1000 and play.game.profile.length_tenths(play.game.period):
            play.take(EndPeriod())
        elif number < 0.2:
            play.stop().start()
        else:
            team = random.choice(list(Team))
            bench = [n for n in play.game.side(team).numbers if n not in courts[team]]
            entering, leaving = random.choice(bench), random.choice(courts[team])
            play.take(Substitution(team, entering, leaving))
            courts[team] = [*(n for n in courts[team] if n != leaving), entering]
    home, guest = (_listed(play.game.side(team)) for team in Team)
    setup = Setup(profile, home, guest)
    left = play.at().left_tenths
    return Recorded(f"{profile}-{seed}", setup, play.game, tuple(play.entries), left, "")


def _listed(side: Side) -> Listed:
    return Listed(side.name, tuple(Player(n, "", n in side.starters) for n in side.numbers))


def by_pandas(each: Recorded, team: Team) -> dict[str, int]:
    """Time on court from the tables of players and entries alone, and the periods' lengths.

    Every player's share is computed by himself: from each going in to the next going out.
    """
    made = tables(each)
    players, entries = made["players"], made["entries"]
    mine = players[(players["team"] == team.value) & (players["listed"] == "yes")]
    lengths = [each.game.profile.length_tenths(p) for p in range(1, each.game.period + 1)]
    entries = entries[entries["taken_back"] == "no"]
    ended = entries.index[entries["call"] == "end_period"]
    passed = []
    for at, row in entries.iterrows():
        before = int((ended < at).sum())
        here = lengths[before] - row["clock_tenths"] if before < row["period"] else 0
        passed.append(sum(lengths[:before]) + here)
    entries = entries.assign(passed=passed)
    subs = entries[entries["call"] == "substitution"]
    over = sum(lengths[: len(ended)])
    now = over + (lengths[-1] - each.left_tenths if len(ended) < len(lengths) else 0)
    total = {}
    for number, starts in zip(mine["number"], mine["starter"], strict=True):
        moments = [0] if starts == "yes" else []
        for fields, at in zip(subs["fields"], subs["passed"], strict=True):
            call = json.loads(fields)
            if call["team"] == team.value and number in (call["entering"], call["leaving"]):
                moments.append(int(at))
        if len(moments) % 2:
            moments.append(now)
        total[number] = sum(moments[1::2]) - sum(moments[::2])
    return total


@pytest.mark.parametrize("profile", profile_names())
def test_pandas_finds_the_same_times_from_the_tables_alone(profile: str) -> None:
    for seed in range(3):
        each = random_line_ups(profile, seed)
        for team in Team:
            ours = court_time(WORDS, each.game, each.entries, team, each.left_tenths)
            assert not ours.doubt
            assert ours.tenths == by_pandas(each, team)
            assert sum(ours.tenths.values()) > 0
