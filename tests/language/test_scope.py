"""Which shirt numbers may be said of a team, and what each costs. Source: arithmetic."""

from __future__ import annotations

from callout.game.terms import Team
from callout.language.scope import ILLEGAL_MORE, RARE, Scope

SCOPE = Scope({Team.HOME: ("5", "66"), Team.GUEST: ("8",)}, legal=("5", "8", "50"), illegal=("66",))


def test_players_are_those_of_the_teams_that_are_asked_for() -> None:
    assert SCOPE.players(Team.HOME) == {"5", "66"}
    assert SCOPE.players(*Team) == {"5", "66", "8"}
    assert Scope().players(*Team) == frozenset()


def test_a_number_on_the_list_is_free_even_where_the_code_forbids_it() -> None:
    assert SCOPE.shirts(Team.HOME) == {"5": 0.0, "66": 0.0, "8": RARE, "50": RARE}
    assert SCOPE.shirts(Team.GUEST) == {"5": RARE, "8": 0.0, "50": RARE, "66": RARE + ILLEGAL_MORE}


def test_without_a_list_each_legal_number_is_as_likely() -> None:
    bare = Scope(legal=("5", "50"), illegal=("66",))
    assert bare.shirts(*Team) == {"5": 0.0, "50": 0.0, "66": ILLEGAL_MORE}
