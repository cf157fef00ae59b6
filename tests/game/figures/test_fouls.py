"""What fouls count towards, what the next one brings, and who is out, by the rule books' cases."""

from __future__ import annotations

import pytest

from callout.game.calls import DoubleFoul, EndPeriod, Foul, SetAward, Shot, StartPeriod
from callout.game.choices import Why
from callout.game.figures.fouls import (
    all_thrown,
    at_limit,
    brings_ball,
    brings_no_throw,
    coach_is_out,
    foul_period,
    is_ejected,
    is_out,
    missed_into_play,
    penalty,
    player_fouls,
    team_fouls,
    throws_for,
    why_ejected,
)
from callout.game.profile.file import load_profile
from callout.game.terms import Award, FoulKind, Offender, Team
from tests.game.play import GUEST, HOME, Play

P, T = FoulKind.PERSONAL, FoulKind.TECHNICAL
U, ATTACK = FoulKind.UNSPORTSMANLIKE, FoulKind.OFFENSIVE
B = FoulKind.CLASS_B
COACH, BENCH = Offender.COACH, Offender.BENCH


def game(name: str) -> Play:
    """A game of that league, its clock running."""
    return Play(load_profile(name)).start()


def next_brings(play: Play, team: Team = GUEST) -> Award:
    """What a team's next common foul brings now."""
    return penalty(play.game, team, None, play.at().left_tenths)


# --- what a foul counts towards -------------------------------------------------------------------


@pytest.mark.parametrize(
    ("league", "foul", "player", "team"),
    [
        # FIBA 36.3.1: a player's technical is a team foul, the coach's and the bench's is not.
        ("fiba-2024", Foul(GUEST, "14", T), 1, 1),
        ("fiba-2024", Foul(GUEST, "14", T, COACH), 0, 0),
        ("fiba-2024", Foul(GUEST, "14", T, BENCH), 0, 0),
        # FIBA 41.1.1: every player's foul, also one in attack.
        ("fiba-2024", Foul(GUEST, "14", ATTACK), 1, 1),
        ("fiba-2024", Foul(GUEST, "14", U), 1, 1),
        # NFHS 4-19-13 (read in an online copy), 2-11-5: all personals and technicals but
        # indirect ones.
        ("nfhs-2026", Foul(GUEST, "14", T), 1, 1),
        ("nfhs-2026", Foul(GUEST, None, T, COACH), 0, 1),
        ("nfhs-2026", Foul(GUEST, "14", ATTACK), 1, 1),
        # NBA 12B-I and 12B-II: a foul in attack is no team foul; 12A-V: nor a technical (memory).
        ("nba-2026", Foul(GUEST, "14", ATTACK), 1, 0),
        ("nba-2026", Foul(GUEST, "14", T), 0, 0),
        # 3x3 rules table: an unsportsmanlike foul is two team fouls (from memory).
        ("fiba-3x3", Foul(GUEST, "14", U), 1, 2),
    ],
)
def test_what_a_foul_counts_towards(league: str, foul: Foul, player: int, team: int) -> None:
    play = game(league).take(foul)
    assert (player_fouls(play.game, GUEST, "14"), team_fouls(play.game, GUEST)) == (player, team)


@pytest.mark.parametrize(("league", "team"), [("fiba-2024", 1), ("nfhs-2026", 1), ("nba-2026", 0)])
def test_a_double_foul_counts_on_both_players(league: str, team: int) -> None:
    # FIBA 35 and NFHS 4-19 (from memory): a team foul of each; NBA 12B-VI: none.
    play = game(league).take(DoubleFoul("4", "14"))
    assert (player_fouls(play.game, HOME, "4"), player_fouls(play.game, GUEST, "14")) == (1, 1)
    assert (team_fouls(play.game, HOME), team_fouls(play.game, GUEST)) == (team, team)


def test_an_interval_belongs_to_the_coming_period_in_fiba_unless_it_was_before_the_horn() -> None:
    # FIBA 41.1.3; OI 8-2.
    play = game("fiba-2024").take(EndPeriod())
    assert (foul_period(play.game), foul_period(play.game, True)) == (2, 1)
    assert foul_period(play.game, False) == 2


# --- the penalty ---------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("league", "steps"),
    [
        # FIBA 41.2: from the fifth foul of a quarter on, two throws.
        ("fiba-2024", {4: Award.TWO}),
        # NFHS 4-8-1 since 2023: the fifth of a quarter; before: seven and ten of a half.
        ("nfhs-2026", {4: Award.TWO}),
        ("nfhs-2022", {6: Award.ONE_AND_ONE, 9: Award.TWO}),
        ("ncaa-men-2026", {6: Award.ONE_AND_ONE, 9: Award.TWO}),
        # 3x3 rules table: seven to nine two throws.
        ("fiba-3x3", {6: Award.TWO}),
        # NBA 12B-V: four free ones in a quarter.
        ("nba-2026", {4: Award.TWO}),
    ],
)
def test_the_step_at_which_a_common_foul_brings_throws(
    league: str, steps: dict[int, Award]
) -> None:
    play, now = game(league), Award.NONE
    for fouls in range(12):
        now = steps.get(fouls, now)
        assert next_brings(play) is now, fouls
        play.take(Foul(GUEST, ("14", "15", "20", "33", "3")[fouls % 5]))


def test_a_quarter_begins_anew_and_an_overtime_goes_on() -> None:
    # FIBA 41.1.3, NFHS 4-8-1 and 5-7-3: overtime fouls belong to the fourth quarter.
    for league in ("fiba-2024", "nfhs-2026"):
        play = game(league).take(*[Foul(GUEST, "14"), Foul(GUEST, "15")] * 2)
        assert next_brings(play) is Award.TWO
        assert next_brings(play.to_period(2)) is Award.NONE
        play.to_period(4).take(*[Foul(GUEST, "20"), Foul(GUEST, "33")] * 2)
        assert next_brings(play.to_period(5)) is Award.TWO


def test_nba_s_last_two_minutes_have_one_free_foul() -> None:
    # NBA 12B-V: two fouls by 2:00 of the third; of two more the first is free.
    play = game("nba-2026").to_left(3, 200).take(Foul(GUEST, "14"), Foul(GUEST, "15")).wait(85)
    assert next_brings(play) is Award.NONE
    assert next_brings(play.take(Foul(GUEST, "20"))) is Award.TWO


def test_the_fourth_foul_of_an_nba_overtime_brings_throws() -> None:
    # NBA 12B-V: three are free.
    play = game("nba-2026").to_period(5).take(*[Foul(GUEST, "14")] * 3)
    assert next_brings(play) is Award.TWO


def test_the_ball_comes_with_some_throws() -> None:
    # FIBA 37.2 for an unsportsmanlike foul; 3x3 rules table for the tenth team foul.
    play = game("fiba-2024").take(Foul(GUEST, "14"), Foul(GUEST, "14", U), Foul(GUEST, "14", T))
    assert [brings_ball(play.game, charge) for charge in play.game.charges] == [False, True, False]
    play = game("fiba-3x3").take(*[Foul(GUEST, "14")] * 10)
    assert [brings_ball(play.game, c) for c in play.game.charges] == [False] * 9 + [True]


@pytest.mark.parametrize(
    ("foul", "live"),
    [
        (Foul(GUEST, "14", award=Award.TWO), True),
        # NFHS 10-4 (from memory), FIBA 36.3: after a technical nobody rebounds.
        (Foul(GUEST, "14", T, award=Award.TWO), False),
        # NFHS rulings 3172 and 2.10.6B: throws that the rules do not give, with the lane clear.
        (Foul(GUEST, "14", ATTACK, award=Award.TWO), False),
    ],
)
def test_a_missed_last_throw_is_live_for_a_common_foul_alone(foul: Foul, live: bool) -> None:
    play = game("nfhs-2026").stop().take(foul, Shot(True))
    assert missed_into_play(play.game, HOME, ()) is live
    # Not where the team has more to come, nor with no period being played.
    assert not missed_into_play(play.game, HOME, play.game.owed)
    assert not missed_into_play(play.take(EndPeriod()).game, HOME, ())
    assert not missed_into_play(play.game, GUEST, ())


# --- throws taken --------------------------------------------------------------------------------


def test_all_throws_of_the_newest_foul_are_taken_or_not() -> None:
    play = game("nfhs-2026").stop()
    assert all_thrown(play.game, HOME) is None
    play.take(Foul(GUEST, "14", award=Award.TWO), Shot(True))
    assert all_thrown(play.game, HOME) is None
    assert all_thrown(play.take(Shot(True)).game, HOME) is Award.TWO
    assert all_thrown(play.game, GUEST) is None
    assert all_thrown(play.take(SetAward(Award.ONE)).game, HOME) is Award.ONE
    assert all_thrown(play.take(SetAward(Award.THREE)).game, HOME) is None
    assert all_thrown(play.take(Shot(True)).game, HOME) is Award.THREE
    assert all_thrown(play.take(SetAward(Award.NONE)).game, HOME) is Award.THREE
    assert all_thrown(play.start().game, HOME) is None


def test_the_throws_for_each_foul_stay_known_after_play_has_gone_on() -> None:
    # FIBA B.8.3: beside each foul stands the number of throws awarded, or c where Art. 42 cancels.
    play = game("fiba-2024").stop().take(Foul(GUEST, "14", award=Award.TWO), Shot(True)).start()
    play.stop().take(Foul(GUEST, "15"), Shot(True, HOME), Shot(True, HOME), Foul(GUEST, "20"))
    assert [throws_for(play.game, charge) for charge in play.game.charges] == [2, 2, 0]
    play.start().stop().take(Foul(HOME, "4", T), Foul(GUEST, "15", T))
    assert [throws_for(play.game, charge) for charge in play.game.charges[-2:]] == [0, 0]
    assert [charge.cancelled for charge in play.game.charges] == [False, False, False, True, True]


def thrown(play: Play, count: int) -> int:
    """What the sheet has for the newest foul after home has taken so many throws."""
    play.take(*(Shot(True, HOME) for _ in range(count)))
    return throws_for(play.game, play.game.charges[-1])


def test_no_foul_has_more_throws_than_it_can_bring() -> None:
    # FIBA B.8.3: 1, 2 or 3; 41.2.2: none for an offensive foul; 36.3: one for a technical one.
    play = game("fiba-2024").stop()
    assert thrown(play.take(Foul(GUEST, "14")), 4) == 3
    assert thrown(play.take(Foul(GUEST, "14", ATTACK)), 2) == 0
    assert thrown(play.take(Foul(GUEST, "15", T), SetAward(Award.NONE)), 2) == 1
    assert thrown(play.take(DoubleFoul("4", "20")), 1) == 0  # FIBA interpretation 35-1.
    # 3x3 rules table: two throws for a try from beyond the arc.
    assert thrown(game("fiba-3x3").stop().take(Foul(GUEST, "14")), 3) == 2


def test_a_foul_that_brings_none_leaves_no_throw_to_be_called() -> None:
    # FIBA 41.2.2, interpretation 35-1; what the officials signal for it counts all the same.
    play = game("fiba-2024").stop().take(Foul(GUEST, "14", ATTACK))
    assert brings_no_throw(play.game, HOME)
    assert brings_no_throw(play.take(DoubleFoul("4", "20")).game, HOME)
    assert not brings_no_throw(play.take(SetAward(Award.ONE, HOME)).game, HOME)
    assert not brings_no_throw(play.take(Foul(GUEST, "15"), DoubleFoul("4", "20")).game, HOME)


# --- who is out ----------------------------------------------------------------------------------


def fouled(league: str, *kinds: FoulKind) -> Play:
    """A game in which guest's fourteen has fouls of these kinds."""
    return game(league).take(*[Foul(GUEST, "14", kind) for kind in kinds])


@pytest.mark.parametrize(
    ("league", "kinds", "limit", "ejected"),
    [
        # FIBA 40: five of any kind; 36.2.3, 37.2.3: two T, two U, or one of each.
        ("fiba-2024", (P,) * 4, False, False),
        ("fiba-2024", (P, P, P, P, T), True, False),
        ("fiba-2024", (T, T), False, True),
        ("fiba-2024", (T, U), False, True),
        ("fiba-2024", (U, U), False, True),
        ("fiba-2024", (U, P, P), False, False),
        # NFHS 2-11-5: five, technicals with them; the second technical puts out.
        ("nfhs-2026", (P, P, P, P, T), True, False),
        ("nfhs-2026", (T, T), False, True),
        # NBA 3-I: six; 12A-V: two unsportsmanlike technicals.
        ("nba-2026", (P,) * 5, False, False),
        ("nba-2026", (P,) * 6, True, False),
        ("nba-2026", (T, T), False, True),
        # 3x3: no limit of personal fouls; two unsportsmanlike ones put out (from memory).
        ("fiba-3x3", (P,) * 9, False, False),
        ("fiba-3x3", (U, U), False, True),
        ("nfhs-2026", (FoulKind.FLAGRANT,), False, True),
        ("fiba-2024", (FoulKind.DISQUALIFYING,), False, True),
    ],
)
def test_who_is_out(league: str, kinds: tuple[FoulKind, ...], limit: bool, ejected: bool) -> None:
    now = fouled(league, *kinds).game
    assert (at_limit(now, GUEST, "14"), is_ejected(now, GUEST, "14")) == (limit, ejected)
    assert is_out(now, GUEST, "14") is (limit or ejected)


@pytest.mark.parametrize(
    ("league", "kinds", "why"),
    [
        # NCAA scorer's duties: A+A, A+B+B, B+B+B.
        ("ncaa-men-2026", (T, T), Why.TWO_TECHNICALS),
        ("ncaa-men-2026", (T, B, B), Why.THREE_TECHNICALS),
        ("ncaa-men-2026", (B, B, B), Why.THREE_TECHNICALS),
        # From memory, as in the profiles.
        ("ncaa-men-2026", (FoulKind.FLAGRANT, T, FoulKind.FLAGRANT), Why.TWO_FLAGRANT),
        ("nba-2026", (FoulKind.FLAGRANT, FoulKind.FLAGRANT), Why.TWO_FLAGRANT),
        # FIBA 36.2.3, 37.2.3, 38.
        ("fiba-2024", (U, T), Why.BOTH),
        ("fiba-2024", (U, U), Why.TWO_UNSPORTSMANLIKE),
        ("fiba-2024", (P, FoulKind.DISQUALIFYING), Why.AT_ONCE),
    ],
)
def test_why_a_player_is_out(league: str, kinds: tuple[FoulKind, ...], why: Why) -> None:
    play = game(league).take(*(Foul(GUEST, "14", kind) for kind in kinds))
    assert why_ejected(play.game, GUEST, "14") is why


@pytest.mark.parametrize(
    ("league", "on", "out"),
    [
        # FIBA 36.2.4: two of his own, or three in all; NFHS 2-11-5: two direct, or three in all.
        ("fiba-2024", (COACH,), False),
        ("fiba-2024", (COACH, COACH), True),
        ("fiba-2024", (BENCH, BENCH), False),
        ("fiba-2024", (BENCH, BENCH, BENCH), True),
        ("fiba-2024", (COACH, BENCH), False),
        ("fiba-2024", (COACH, BENCH, BENCH), True),
        ("nfhs-2026", (COACH, COACH), True),
        ("nfhs-2026", (BENCH, COACH), False),
        ("nfhs-2026", (BENCH, COACH, BENCH), True),
    ],
)
def test_when_a_coach_is_out(league: str, on: tuple[Offender, ...], out: bool) -> None:
    play = game(league).take(*[Foul(GUEST, None, T, each) for each in on])
    assert coach_is_out(play.game, GUEST) is out
    assert not coach_is_out(play.game, HOME)


def test_a_sixth_foul_goes_to_the_coach_in_fiba() -> None:
    # FIBA 40, interpretation 37-9: a foul of an excluded player is the coach's, for the bench.
    play = fouled("fiba-2024", P, P, P, P, P).take(Foul(GUEST, "14"))
    charge = play.game.charges[-1]
    assert (charge.on, charge.foul) == (BENCH, T)
    assert player_fouls(play.game, GUEST, "14") == 5
    assert team_fouls(play.game, GUEST) == 5


def test_a_foul_before_the_game_counts_in_its_first_period() -> None:
    # NFHS case 3.4.3C: each team starts with a team foul.
    play = Play(load_profile("nfhs-2026")).take(Foul(GUEST, None, T, Offender.TEAM), StartPeriod())
    assert team_fouls(play.game, GUEST) == 1
