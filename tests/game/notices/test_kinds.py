"""Notices and the list of their kinds."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

import callout.game
from callout.game.notices.kinds import KINDS, NOTICE_KINDS, REFUSAL_KINDS, Notice
from callout.game.notices.urgency import Rank


def test_ranks_go_from_what_must_be_done_to_what_is_asked() -> None:
    assert sorted(Rank) == [Rank.ACT, Rank.TELL, Rank.ECHO, Rank.ASK]


def test_a_refusal_is_never_a_notice() -> None:
    """By the code that makes them: what `decide` refuses with is on the one list alone."""
    made: set[str] = set()
    for path in Path(callout.game.__path__[0]).rglob("*.py"):
        made |= set(re.findall(r'Refusal\(\s*"(\w+)"', path.read_text(encoding="utf-8")))
    assert made <= set(REFUSAL_KINDS)
    assert not made & set(NOTICE_KINDS)


def test_the_list_cannot_be_changed() -> None:
    with pytest.raises(TypeError):
        KINDS["goal"] = frozenset()  # type: ignore[index]


def test_a_notice_is_an_echo_unless_it_is_more() -> None:
    assert Notice("ball_dead") == Notice("ball_dead", {}, "")
    assert [Notice(kind).rank for kind in ("ball_dead", "player_out", "bonus", "ask_which")] == [
        Rank.ECHO,
        Rank.ACT,
        Rank.TELL,
        Rank.ASK,
    ]


def test_slots_are_read_from_the_list() -> None:
    assert KINDS["goal"] == {"team", "points", "number", "home", "guest"}
    assert KINDS["ball_dead"] == frozenset()
