"""Notices and the rows of their kinds. The order is that of the design on what is said back: player
out, shots owed, time-out, substitute; then what the referee is told; echoes; questions."""

from __future__ import annotations

import pytest

from callout.game.decisions import refusals
from callout.game.decisions.base import Refusal
from callout.game.decisions.refusals import REFUSAL_KINDS
from callout.game.kind import Kind, Rank, Reason
from callout.game.notices import kinds
from callout.game.notices.kinds import KINDS, NOTICE_KINDS, Notice
from callout.game.profile.profile import Profile
from callout.game.terms import Team

HOME = Team.HOME


def test_there_are_notices_and_refusals_and_nothing_is_both() -> None:
    assert len(NOTICE_KINDS) > 100
    assert len(REFUSAL_KINDS) > 30
    assert KINDS == {**NOTICE_KINDS, **REFUSAL_KINDS}
    assert not NOTICE_KINDS.keys() & REFUSAL_KINDS.keys()
    assert {name for name, kind in KINDS.items() if isinstance(kind, Reason)} == set(REFUSAL_KINDS)


def test_the_list_cannot_be_changed() -> None:
    with pytest.raises(TypeError):
        KINDS["goal"] = kinds.GOAL  # type: ignore[index]


@pytest.mark.parametrize("module", [kinds, refusals])
def test_every_row_stands_under_its_own_name(module: object) -> None:
    rows = {name: kind for name, kind in vars(module).items() if isinstance(kind, Kind)}
    assert len(rows) > 30
    assert all(kind is KINDS[name.lower()] and kind == name.lower() for name, kind in rows.items())


def test_a_notice_has_no_values_and_no_rule_unless_they_are_given() -> None:
    assert Notice(kinds.BALL_DEAD) == Notice(kinds.BALL_DEAD, {}, "")
    assert Notice(kinds.PLAYER_OUT).rank is Rank.ACT


# --- rules ----------------------------------------------------------------------------------------


@pytest.mark.parametrize("kind", [k for k in KINDS.values() if k.rule], ids=str)
def test_where_a_rule_stands_every_league_knows(profile: Profile, kind: Kind) -> None:
    assert kind.rule is not None
    article = kind.rule(profile)
    assert Notice(kind).by_rules(profile).rule == article
    assert isinstance(article, str)


def test_an_article_that_was_given_stands_and_none_is_made_up(profile: Profile) -> None:
    given = Notice(kinds.BONUS, rule="local rule")
    assert given.by_rules(profile) is given
    assert Notice(kinds.GOAL).by_rules(profile).rule == ""
    assert Refusal(refusals.NO_CLOCK).by_rules(profile).rule == ""
    assert Refusal(refusals.NO_ARROW).by_rules(profile).rule == profile.arrow.rule


# --- urgency --------------------------------------------------------------------------------------


def test_what_must_be_done_has_its_order() -> None:
    order = [kinds.PLAYER_OUT, kinds.SHOTS_OWED, kinds.TIMEOUT_DUE, kinds.SUB_DUE]
    assert sorted(sorted(order), key=lambda kind: kind.place) == order
    assert {kind.rank for kind in order} == {Rank.ACT}


@pytest.mark.parametrize("kind", [kinds.BONUS, kinds.TIMEOUT_LAST, kinds.ARROW_AGAINST])
def test_what_is_for_the_referee_waits_to_be_told(kind: Kind) -> None:
    assert kind.rank is Rank.TELL
    assert kind.told


def test_what_must_be_done_comes_again_and_has_an_end_of_its_own() -> None:
    """README: what must be done now comes again until it is done."""
    urgent = {kind for kind in KINDS.values() if kind.rank is Rank.ACT}
    assert {kind for kind in KINDS.values() if kind.again} == urgent
    assert len({kind.until for kind in urgent}) == len(urgent) == 16


def test_what_is_told_by_the_horn_is_what_the_table_signals_with_it() -> None:
    # FIBA 49.3 and NFHS 2-11: the table signals a time-out asked for and a substitution.
    horns = {kind for kind in KINDS.values() if kind.horn}
    assert horns == {kinds.TIMEOUT_DUE, kinds.SUB_DUE}


SAID_SO = [kinds.PLAYER_OUT, kinds.SHOTS_OWED, kinds.TIMEOUT_DUE, kinds.SUB_DUE, kinds.BONUS,
           kinds.TIMEOUT_WARNING, kinds.MISFIT, kinds.GOAL, kinds.BOARD_SCORE]  # fmt: skip
"""One kind of each sort, in the order of the design on what is said back: act, the referee, the
clock and the board, the book, echoes, and what belongs to no single call."""


def test_sorts_follow_each_other_in_the_order_of_the_design() -> None:
    assert sorted(sorted(SAID_SO), key=lambda kind: (kind.rank, kind.place)) == SAID_SO
