"""Figures counted from the book, beside counts made by hand."""

from __future__ import annotations

from dataclasses import replace

import pytest

from callout.game.calls import (
    AdjustClock,
    EndGame,
    EndPeriod,
    Foul,
    OfficialTimeout,
    Score,
    SetScore,
    Shot,
    Timeout,
)
from callout.game.choices import Span
from callout.game.figures import fouls as penalties
from callout.game.figures import score as questions
from callout.game.figures import timeouts
from callout.game.figures.fouls import is_out, penalty, player_fouls, team_fouls
from callout.game.figures.timeouts import timeouts_of_kind
from callout.game.profile.file import load_profile
from callout.game.profile.profile import Profile
from callout.game.profile.sections import Allotment, Tier
from callout.game.terms import Award, FoulKind, Offender
from tests.game.play import GUEST, HOME, Play

T = FoulKind.TECHNICAL


def with_fouls(profile: Profile, **values: object) -> Profile:
    return replace(profile, fouls=replace(profile.fouls, **values))  # type: ignore[arg-type]


def with_penalty(profile: Profile, over: Span, *tiers: Tier) -> Profile:
    return replace(profile, penalty=replace(profile.penalty, over=over, tiers=tiers))


def with_timeouts(profile: Profile, *allotments: Allotment) -> Profile:
    return replace(profile, timeouts=replace(profile.timeouts, allotments=allotments))


def test_points_of_a_game_and_of_a_period(running: Play) -> None:
    running.take(Score(HOME, 3), Shot(True, GUEST, "14"), Shot(False, GUEST, "14"))
    running.to_period(2).take(Score(HOME, 2), SetScore(GUEST, 5))
    assert questions.both_scores(running.game) == (5, 5)
    assert [questions.score(running.game, HOME, n) for n in (1, 2, 3)] == [3, 2, 0]
    assert [questions.score(running.game, GUEST, n) for n in (1, 2, 3)] == [1, 4, 0]


def test_five_fouls_and_a_player_is_out(running: Play) -> None:
    # NFHS 2-11-5, FIBA 40: any five fouls, personal and technical together.
    running.take(Foul(GUEST, "14"), Foul(GUEST, "14", FoulKind.OFFENSIVE))
    running.take(Foul(GUEST, "14", T), Foul(GUEST, "14", FoulKind.INTENTIONAL))
    assert not is_out(running.game, GUEST, "14")
    running.take(Foul(GUEST, "14"))
    assert is_out(running.game, GUEST, "14")
    assert player_fouls(running.game, GUEST, "14") == 5


def test_the_second_technical_puts_a_player_out(running: Play) -> None:
    # NFHS 2-11-5.
    running.take(Foul(GUEST, "14", T))
    assert not is_out(running.game, GUEST, "14")
    running.take(Foul(GUEST, "14", T))
    assert is_out(running.game, GUEST, "14")


def test_one_flagrant_foul_puts_a_player_out(running: Play) -> None:
    # From memory, NFHS 10: flagrant is at once.
    running.take(Foul(GUEST, "14", FoulKind.FLAGRANT))
    assert is_out(running.game, GUEST, "14")


def test_fouls_on_the_bench_are_its_members_own(running: Play) -> None:
    running.take(Foul(GUEST, "14", T, Offender.BENCH))
    # NFHS 2-11-5: a bench member's technical is his own; a coach's has no number.
    assert player_fouls(running.game, GUEST, "14") == 1
    assert team_fouls(running.game, GUEST) == 1


def test_where_the_bench_does_not_count_for_the_team(play: Play) -> None:
    # FIBA 36.3.1: coach and bench technicals are on the coach's line, not team fouls.
    fiba = Play(with_fouls(play.game.profile, counted_on=(Offender.PLAYER,))).start()
    fiba.take(Foul(GUEST, foul=T, on=Offender.COACH), Foul(GUEST, "14", T))
    assert team_fouls(fiba.game, GUEST) == 1


def test_a_kind_that_does_not_count_for_the_team(play: Play) -> None:
    # NBA 12B-II: an offensive foul is no team foul, so its fifth brings nothing.
    kinds = dict(play.game.profile.fouls.kinds)
    kinds[FoulKind.OFFENSIVE] = replace(kinds[FoulKind.OFFENSIVE], team=0)
    kinds[T] = replace(kinds[T], player=False)
    nba = Play(with_fouls(play.game.profile, kinds=kinds)).start()
    nba.take(Foul(GUEST, "14", FoulKind.OFFENSIVE), Foul(GUEST, "14", T))
    assert (team_fouls(nba.game, GUEST), player_fouls(nba.game, GUEST, "14")) == (1, 1)


def test_team_fouls_of_overtime_may_be_its_own(play: Play) -> None:
    # NBA 12B-V: no carry-over between periods.
    nba = Play(with_fouls(play.game.profile, overtime_counts_last=False)).start()
    nba.to_period(4).take(Foul(GUEST, "14")).to_period(5)
    assert team_fouls(nba.game, GUEST) == 0
    assert penalties.counting_period(nba.game.profile, 6) == 6


def test_team_fouls_counted_in_each_period(running: Play) -> None:
    # NFHS 5-7-3: an overtime's fouls are the fourth quarter's.
    running.take(Foul(GUEST, "14")).to_period(4).take(Foul(GUEST, "14"))
    running.to_period(5).take(Foul(GUEST, "14"))
    counted = [penalties.team_fouls_in(running.game, GUEST, n) for n in range(1, 6)]
    assert counted == [1, 0, 0, 2, 0]
    assert team_fouls(running.game, GUEST, 1) == 1


@pytest.mark.parametrize(
    ("span", "together", "apart"),
    [
        (Span.PERIOD, (2, 2), (1, 2)),
        (Span.HALF, (1, 2), (2, 3)),
        (Span.HALF, (3, 6), (1, 6)),
        (Span.GAME, (1, 5), None),
    ],
)
def test_stretches_of_a_game(
    play: Play, span: Span, together: tuple[int, int], apart: tuple[int, int] | None
) -> None:
    profile = play.game.profile
    assert penalties.in_same_span(profile, span, *together)
    assert apart is None or not penalties.in_same_span(profile, span, *apart)


def test_the_award_is_that_of_the_last_tier_reached(running: Play) -> None:
    tiers = (Tier(10, Award.TWO), Tier(7, Award.ONE_AND_ONE))
    rules = with_penalty(running.game.profile, Span.GAME, *tiers)
    play = Play(rules).start()
    awards = []
    for _ in range(11):
        awards.append(penalty(play.game, HOME, None, play.at().left_tenths))
        play.take(Foul(HOME))
    one_and_one = Award.ONE_AND_ONE
    assert awards == [Award.NONE] * 6 + [one_and_one] * 3 + [Award.TWO] * 2


def test_a_foul_counts_where_it_was_called(play: Play) -> None:
    # FIBA 41.1.3: interval fouls belong to the next period.
    assert penalties.foul_period(play.game) == 1
    play.start()
    assert penalties.foul_period(play.game) == 1
    play.take(EndPeriod())
    assert penalties.foul_period(play.game) == 2
    assert penalties.foul_period(play.game, before_horn=True) == 1
    play.take(EndGame())
    assert penalties.foul_period(play.game) == 1


def test_a_league_may_count_interval_fouls_in_the_period_before(play: Play) -> None:
    other = Play(with_fouls(play.game.profile, interval_counts_next=False))
    assert penalties.foul_period(other.game) == 1
    other.start().take(EndPeriod())
    assert penalties.foul_period(other.game) == 1


# --- time-outs ------------------------------------------------------------

FIBA = (
    Allotment("full", 2, Span.PERIOD),
    Allotment("thirty", 2, Span.HALF),
    Allotment("full", 1, Span.OVERTIME),
)


def left(play: Play, kind: str) -> list[int]:
    """Time-outs left in each period up to the second overtime, one taken in periods 1 and 5."""
    found = []
    for period in range(1, 7):
        play.to_period(period)
        if period in (1, 5):
            play.take(Timeout(HOME, kind))  # type: ignore[arg-type]
        found.append(timeouts_of_kind(play.game, HOME, kind))
    return found


def test_time_outs_of_a_period_do_not_carry(play: Play) -> None:
    rules = with_timeouts(play.game.profile, *FIBA)
    assert left(Play(rules), "full") == [1, 2, 2, 2, 0, 1]


def test_time_outs_of_a_half_do_not_carry_into_the_next_or_overtime(play: Play) -> None:
    # FIBA 18.2.5: two in the first half, no carry-over; one for each overtime.
    halves = [Allotment("full", 2, Span.HALF), Allotment("full", 1, Span.OVERTIME)]
    rules = with_timeouts(play.game.profile, *halves)
    assert left(Play(rules), "full") == [1, 1, 2, 2, 0, 1]


def test_time_outs_that_carry_add_up(play: Play) -> None:
    carried = [
        Allotment("full", 1, Span.PERIOD, carries=True),
        Allotment("thirty", 2, Span.HALF, carries=True),
    ]
    rules = with_timeouts(play.game.profile, *carried)
    # One in period 1 and one in period 5 of four that came one a period.
    assert left(Play(rules), "full") == [0, 1, 2, 3, 2, 2]
    assert left(Play(rules), "thirty") == [1, 1, 3, 3, 2, 2]


def test_time_outs_of_the_high_schools_accumulate(play: Play) -> None:
    # NFHS 5-11 (read in an online copy): unused ones accumulate, one more each extra period.
    assert left(play, "full") == [2, 2, 2, 2, 2, 3]


def test_the_officials_time_outs_are_not_a_teams(running: Play) -> None:
    running.take(OfficialTimeout(), Timeout(HOME))
    assert timeouts.timeouts_used(running.game, HOME) == 1
    assert timeouts.timeouts_used(running.game, GUEST) == 0


# --- the book's newest lines ------------------------------------------------------------


def test_lines_are_found_by_item_and_by_entry(running: Play) -> None:
    running.take(Score(HOME, 2), Foul(HOME, "5"), SetScore(HOME, 9), Timeout(HOME))
    game = running.game
    assert questions.find(game, 20) == game.goals[0]
    assert questions.find(game, 30) == game.charges[0]
    assert questions.find(game, 40) == game.adjustments[0]
    assert questions.find(game, 99) is None
    assert questions.lines_of(game, 5) == game.timeouts
    assert questions.entry_of(57) == 5
    assert questions.newest(game) == game.timeouts[0]
    assert questions.newest_charge(game) == game.charges[0]


def test_an_adjustment_is_no_line_to_correct(running: Play) -> None:
    running.take(SetScore(HOME, 9))
    assert questions.newest(running.game) is None
    assert questions.newest_charge(running.game) is None


def test_open_lines_are_in_the_order_of_the_book(running: Play) -> None:
    running.take(Foul(HOME), Score(HOME, 2), Foul(GUEST), Score(GUEST, 2, "14"))
    assert [line.item for line in questions.open_lines(running.game)] == [20, 30, 40]


def test_the_first_award_is_taken_first(running: Play) -> None:
    running.take(Foul(GUEST, "14", award=Award.ONE), Foul(GUEST, "14", T))
    owed = questions.owed_to(running.game, HOME)
    assert owed is not None
    assert owed.award is Award.ONE
    assert questions.owed_to(running.game, GUEST) is None


def test_which_period_is_an_overtime(running: Play) -> None:
    assert not questions.is_overtime(running.game)
    assert questions.is_overtime(running.game, 5)
    assert questions.is_overtime(running.to_period(5).game)


def test_illegal_numbers(play: Play) -> None:
    # NFHS 3-4 as quoted by officials: digits to five, and not both 0 and 00; FIBA 4.3.2: all.
    numbers = ("0", "00", "5", "66")
    assert questions.illegal_numbers(play.game.profile, numbers) == ("00", "66")
    assert questions.illegal_numbers(play.game.profile, numbers[1:]) == ("66",)
    assert questions.illegal_numbers(load_profile("fiba-2022"), numbers) == ()


def test_a_correction_of_the_clock_moves_no_figure(running: Play) -> None:
    running.take(Score(HOME, 2)).wait(5).take(AdjustClock(20))
    assert questions.both_scores(running.game) == (2, 0)
