"""What every decision shares."""

from __future__ import annotations

from callout.game.decisions.base import Refusal, known, next_item, standing, unknown
from callout.game.decisions.refusals import TEAM_IS_THAT
from callout.game.events import ClockStopped
from callout.game.state import At
from callout.game.terms import Team
from tests.game.play import HOME, Play


def test_a_line_is_named_after_its_entry_and_its_place_in_it(play: Play) -> None:
    assert [next_item(play.game, position) for position in (0, 1)] == [10, 11]
    assert next_item(play.start().game) == 20


def test_a_number_on_the_list_is_known(play: Play) -> None:
    assert (known(play.game, HOME, "5"), unknown(play.game, HOME, "5")) == ("5", None)


def test_a_number_not_on_the_list_stays_open_and_is_kept_as_said(play: Play) -> None:
    assert (known(play.game, HOME, "33"), unknown(play.game, HOME, "33")) == (None, "33")


def test_no_number_is_neither(play: Play) -> None:
    assert (known(play.game, HOME, None), unknown(play.game, HOME, None)) == (None, None)


def test_without_a_list_every_number_is_known(play: Play) -> None:
    free = Play(play.game.profile, home=())
    assert (known(free.game, HOME, "33"), unknown(free.game, HOME, "33")) == ("33", None)


def test_only_a_running_clock_is_brought_to_a_stand(play: Play) -> None:
    assert standing(play.game, At(100, 0)) == ()
    assert standing(play.start().game, At(100, 0)) == (ClockStopped(100),)


def test_refusals_of_one_kind_are_equal_by_value() -> None:
    assert Refusal(TEAM_IS_THAT, slots={"team": Team.HOME}) == Refusal(
        TEAM_IS_THAT, "", {"team": HOME}
    )
