"""How many time-outs a team has, and which it has lost: the worked situations of the rule books."""

from __future__ import annotations

import pytest

from callout.game.calls import EndPeriod, StartPeriod, Timeout, TimeoutOver
from callout.game.figures.timeouts import (
    lending_period,
    timeouts_left,
    timeouts_struck,
    timeouts_used,
)
from callout.game.profile.file import load_profile
from callout.game.terms import Team
from tests.game.play import GUEST, HOME, Play


def game(name: str) -> Play:
    """A game of that league before its first call."""
    return Play(load_profile(name))


def left(play: Play, team: Team = HOME) -> int:
    """Time-outs that a team may still take now."""
    return timeouts_left(play.game, team, left_tenths=play.at().left_tenths)


def struck(play: Play, team: Team = HOME) -> int:
    """Time-outs that a team has lost now."""
    return timeouts_struck(play.game, team, left_tenths=play.at().left_tenths)


def taken(play: Play, *teams: Team) -> Play:
    """So many time-outs taken one after another, the clock running again."""
    for team in teams:
        play.take(Timeout(team), TimeoutOver())
    return play.start() if teams else play


# --- FIBA 18.2 ----------------------------------------------------------------------------------


def test_fiba_gives_two_in_the_first_half_and_three_in_the_second() -> None:
    # FIBA 18.2: none is carried over.
    play = game("fiba-2024").start()
    assert left(play) == 2
    assert left(taken(play, HOME)) == 1
    assert left(play, GUEST) == 2
    play.to_period(3)
    assert (left(play), left(play, GUEST)) == (3, 3)
    assert timeouts_used(play.game, HOME) == 1


def test_fiba_gives_one_in_each_overtime_and_carries_none() -> None:
    # FIBA 18.2.
    play = game("fiba-2024").to_period(5)
    assert left(play) == 1
    assert left(taken(play, HOME)) == 0
    assert left(play.to_period(6)) == 1


@pytest.mark.parametrize(
    ("used", "expected"),
    [((), 2), ((HOME,), 2), ((HOME, HOME), 1), ((HOME, HOME, HOME), 0)],
)
def test_at_two_minutes_a_team_has_two_at_most(used: tuple[Team, ...], expected: int) -> None:
    # FIBA interpretations 18/19-21 and 18/19-22: the first box is struck where none was used.
    play = taken(game("fiba-2024").to_left(3, 300), *used)
    play.to_left(4, 120.1)
    assert (left(play), struck(play)) == (3 - len(used), 0)
    play.wait(0.1)
    assert (left(play), struck(play)) == (expected, int(not used))


def test_asked_for_before_two_minutes_and_granted_after_it() -> None:
    # FIBA interpretation 18/19-23: the first box is struck, the entry stands in the second.
    play = game("fiba-2024").to_left(4, 118).take(Timeout(HOME))
    assert (left(play), struck(play)) == (1, 1)
    assert (left(play, GUEST), struck(play, GUEST)) == (2, 1)


def test_the_first_of_the_second_half_at_one_thirty_leaves_one() -> None:
    # Manitoba's question of 2021.
    assert left(game("fiba-2024").to_left(4, 90).take(Timeout(HOME))) == 1


def test_nothing_is_struck_at_the_beginning_of_the_fourth_quarter() -> None:
    # FIBA 18.2: at 2:00 of it. The clock in the interval before it shows zero.
    play = game("fiba-2024").to_period(3).take(EndPeriod())
    assert (left(play), struck(play)) == (3, 0)
    play.take(StartPeriod())
    assert (left(play), struck(play)) == (3, 0)
    assert "timeout_struck" not in play.said()
    assert "timeout_struck" not in play.start().said()


def test_what_is_struck_is_told_at_two_minutes_and_once() -> None:
    play = game("fiba-2024").to_left(4, 121)
    taken(play, GUEST).wait(2).stop()
    assert play.told("timeout_struck").slots == {"team": HOME, "left": 2}
    assert "timeout_struck" not in play.start().said()


def test_nothing_is_told_as_lost_when_the_game_is_over() -> None:
    # A game that is ended with time on the clock has no two minutes to come.
    play = game("fiba-2024").to_left(4, 300).take(EndPeriod())
    assert "timeout_struck" not in play.said()


def test_what_was_struck_does_not_come_back_as_an_overtime_is_begun() -> None:
    # FIBA 18.2: an overtime has one, and nothing is carried over into it.
    play = game("fiba-2024").to_left(4, 100).take(EndPeriod())
    assert (left(play), struck(play)) == (2, 1)
    play.take(StartPeriod())
    assert (left(play), struck(play)) == (2, 1)
    assert left(play.start()) == 1
    # Nor is anything told as lost in an overtime, where the fourth quarter was cut short.
    play = game("fiba-2024").to_left(4, 300).take(StartPeriod())
    assert "timeouts_struck" not in play.said()


def test_an_interval_lends_what_the_coming_period_has() -> None:
    # FIBA interpretation 18/19-20: charged to the half that follows; NFHS 5-11 for overtime.
    play = game("fiba-2024").start().take(EndPeriod()).start().take(EndPeriod())
    assert (lending_period(play.game), left(play)) == (3, 3)
    play.take(Timeout(HOME)).start()
    assert left(play) == 2
    play.to_period(4).take(EndPeriod())
    assert lending_period(play.game) == 4


# --- NFHS 5-11 ----------------------------------------------------------------------------------


def test_high_school_gives_three_of_sixty_seconds_and_two_of_thirty() -> None:
    play = game("nfhs-2026").start()
    assert left(play) == 5
    kinds = [line.kind for line in taken(play, *[HOME] * 5).game.timeouts]
    assert sorted(kinds) == ["full"] * 3 + ["thirty"] * 2
    assert left(play) == 0


def test_each_overtime_adds_one_and_what_is_left_is_kept() -> None:
    # NFHS 5-11 (read in an online copy): unused ones accumulate, one of sixty seconds comes
    # with each.
    play = taken(game("nfhs-2026").start(), HOME)
    assert left(play.to_period(4)) == 4
    play.take(EndPeriod())
    assert left(play) == 4
    assert (left(play.start()), left(play, GUEST)) == (5, 6)
    assert left(play.to_period(6)) == 6


def test_a_wish_that_is_not_left_is_charged_as_what_is() -> None:
    # NFHS case 5.12.1B: thirty seconds are wanted, only a full one is left.
    play = game("nfhs-2026").start().take(*[Timeout(HOME, "thirty")] * 3)
    assert [line.kind for line in play.game.timeouts] == ["thirty", "thirty", "full"]


def test_one_more_than_there_are_is_booked_and_told() -> None:
    # NFHS 5-11: granted, with a technical.
    play = taken(game("nfhs-2026").start(), *[HOME] * 5).take(Timeout(HOME))
    assert play.told("timeout_excess")
    assert left(play) == -1


# --- NBA 5-VI and the women's college rules -------------------------------------------------------


def test_the_nba_takes_what_is_too_many_for_the_fourth_and_for_three_minutes() -> None:
    # NBA 5-VI: seven, at most four in the fourth, at most two from 3:00 on.
    play = game("nba-2026").start()
    assert left(play) == 7
    assert left(play.to_left(4, 600)) == 4
    assert left(play.to_left(4, 180)) == 2
    assert left(play.to_period(5)) == 2


def test_four_are_carried_into_a_womens_second_half() -> None:
    # NCAA women 2015: three of thirty seconds and two of sixty, four of them in the second half.
    play = game("ncaa-women-2026").start()
    first = left(play)
    assert left(play.to_period(3)) == min(first, 4)
