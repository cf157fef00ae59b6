"""Time-outs and substitutions."""

from __future__ import annotations

from typing import Literal

import pytest

from callout.game.calls import (
    Call,
    EndGame,
    EndPeriod,
    OfficialTimeout,
    Starter,
    SubOf,
    SubsIn,
    Substitution,
    SubWaiting,
    SubWithdrawn,
    Timeout,
    TimeoutOver,
    TimeoutWaiting,
    TimeoutWithdrawn,
)
from callout.game.events import ClockStopped, Substituted, TimeoutEnded, TimeoutGranted
from callout.game.figures.timeouts import timeouts_left, timeouts_of_kind
from callout.game.profile.file import load_profile
from callout.game.state import Phase
from tests.game.play import GUEST, HOME, Play


def kinds(play: Play) -> list[str]:
    return [line.kind for line in play.game.timeouts]


def test_a_granted_time_out_stops_the_clock(running: Play) -> None:
    running.wait(3).take(Timeout(HOME, "thirty"))
    granted = TimeoutGranted(20, HOME, "thirty", 1, 4770, 1_003_000)
    assert running.entries[-1].events == (ClockStopped(4770), granted)
    assert running.game.phase is Phase.TIMEOUT
    assert running.take(TimeoutOver()).game.phase is Phase.STOPPED


def test_three_full_ones_and_two_of_thirty_seconds(running: Play) -> None:
    # NFHS 5-11 (read in an online copy); allotment also on an association card.
    assert timeouts_of_kind(running.game, HOME, "full") == 3
    assert timeouts_of_kind(running.game, HOME, "thirty") == 2


@pytest.mark.parametrize(("wish", "left"), [("thirty", "full"), ("full", "thirty")])
def test_a_wish_that_is_not_left_is_charged_as_the_kind_that_is(
    running: Play, wish: Literal["thirty", "full"], left: str
) -> None:
    # NFHS case 5.12.1B: wants thirty seconds, has only a full one: the full one is charged.
    while timeouts_of_kind(running.game, HOME, wish):
        running.take(Timeout(HOME, wish))
    running.take(Timeout(HOME, wish))
    assert kinds(running)[-1] == left


def test_without_a_wish_the_first_kind_that_is_left(running: Play) -> None:
    running.take(*[Timeout(HOME)] * 5)
    assert kinds(running) == ["full"] * 3 + ["thirty"] * 2


def test_one_that_is_not_left_is_booked_all_the_same(running: Play) -> None:
    # NFHS 5-11: an excess time-out is granted, with a technical.
    running.take(*[Timeout(HOME)] * 6)
    assert timeouts_left(running.game, HOME, running.at().left_tenths) == -1


def test_overtime_adds_a_full_one_and_unused_ones_stay(running: Play) -> None:
    # NFHS 5-11 (read in an online copy).
    running.take(Timeout(HOME, "thirty")).to_period(5)
    assert timeouts_left(running.game, HOME, running.at().left_tenths) == 5
    running.to_period(6)
    assert timeouts_left(running.game, HOME, running.at().left_tenths) == 6


def test_a_second_time_out_ends_the_first(running: Play) -> None:
    running.take(Timeout(HOME), Timeout(GUEST))
    assert isinstance(running.entries[-1].events[0], TimeoutEnded)
    assert running.game.phase is Phase.TIMEOUT


def test_the_officials_own_is_charged_to_nobody(running: Play) -> None:
    running.take(OfficialTimeout())
    assert (running.game.timeouts[-1].team, kinds(running)) == (None, [""])
    assert timeouts_left(running.game, HOME, running.at().left_tenths) == 5


def test_one_in_an_interval_leaves_the_interval(running: Play) -> None:
    running.take(EndPeriod(), Timeout(HOME))
    assert running.game.phase is Phase.INTERVAL
    assert timeouts_left(running.game, HOME, running.at().left_tenths) == 4


def test_a_time_out_before_the_game_is_charged_and_not_timed(play: Play) -> None:
    play.take(Timeout(HOME))
    assert play.game.phase is Phase.BEFORE
    assert play.game.timeouts[0].period == 1
    assert "not_playing" in play.said()


def test_nobody_asks_for_anything_after_the_game(play: Play) -> None:
    play.start().take(EndGame())
    over: list[Call] = [Timeout(HOME), OfficialTimeout(), TimeoutWaiting(HOME), SubWaiting()]
    assert [play.refusal(call) for call in over] == ["game_over"] * 4


def test_no_time_out_is_over_that_did_not_begin(running: Play) -> None:
    assert running.refusal(TimeoutOver()) == "no_timeout"


def test_a_request_waits_until_it_is_granted_or_withdrawn(running: Play) -> None:
    running.take(TimeoutWaiting(HOME), TimeoutWaiting(GUEST))
    assert running.refusal(TimeoutWaiting(HOME)) == "already_asked"
    running.take(TimeoutWithdrawn(GUEST))
    assert running.refusal(TimeoutWithdrawn(GUEST)) == "no_timeout_waiting"
    running.take(Timeout(HOME))
    assert running.game.timeouts_asked == ()


def test_substitutes_wait_and_enter(running: Play) -> None:
    running.take(SubWaiting(), SubWaiting(HOME), SubsIn())
    assert running.game.subs_waiting == ()
    assert running.refusal(SubsIn()) == "no_sub_waiting"


def test_a_substitute_may_leave_the_table(running: Play) -> None:
    running.take(SubWaiting(), SubWaiting(HOME), SubWithdrawn(HOME))
    assert running.game.subs_waiting == (None,)
    # One that was reported without its team may be this team's.
    running.take(SubWithdrawn(GUEST))
    assert running.refusal(SubWithdrawn(GUEST)) == "no_sub_waiting"


def test_one_player_goes_in_for_another(running: Play) -> None:
    running.take(SubWaiting(HOME), Substitution(HOME, "10", "4"))
    assert running.game.subs_waiting == ()
    assert dict(running.game.on_court)[HOME] == ("10",)


def test_they_are_two_players_and_one_not_on_the_list_is_told(running: Play) -> None:
    assert running.refusal(Substitution(HOME, "4", "4")) == "same_player"
    running.take(Substitution(HOME, "33", "4"))
    assert running.told("not_listed").slots == {"team": HOME, "number": "33"}


def test_a_substitution_without_a_team_is_of_the_one_that_has_both_numbers(running: Play) -> None:
    running.take(SubOf("4", "10"))
    assert running.entries[-1].events == (Substituted(HOME, "4", "10"),)
    running.take(SubOf("3", "8"))
    assert running.entries[-1].events == (Substituted(GUEST, "3", "8"),)
    assert running.refusal(SubOf("4", "8")) == "team_needed"
    assert running.refusal(SubOf("4", "4")) == "same_player"


def test_where_both_teams_have_both_numbers_the_line_up_says_whose() -> None:
    play = Play(load_profile("nfhs-2026"), home=("4", "5", "7"), guest=("4", "5", "8")).start()
    assert play.refusal(SubOf("5", "4")) == "team_needed"
    play.take(Starter(HOME, "4"), Starter(GUEST, "5"), SubOf("5", "4"))
    assert play.entries[-1].events == (Substituted(HOME, "5", "4"),)
    # Now five plays on both sides and four on none.
    assert play.refusal(SubOf("5", "4")) == "team_needed"
