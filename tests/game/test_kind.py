"""A kind: its name, and the row behind it."""

from __future__ import annotations

import json

from callout.game.kind import Kind, Rank, Reason, act, ask, echo, lasting, listed, reason, tell
from callout.game.notices.endings import player_left
from callout.game.terms import Team

OUT = act("player_out", player_left, standing=True, team=Team, number=str | None)
GOAL = echo("goal", lambda rules: rules.goals.own_basket_rule, team=Team)


def test_ranks_go_from_what_must_be_done_to_what_is_asked() -> None:
    assert sorted(Rank) == [Rank.ACT, Rank.TELL, Rank.ECHO, Rank.ASK]


def test_a_kind_is_its_name_where_text_is_read_or_written() -> None:
    assert GOAL == "goal"
    assert {GOAL: 2}["goal"] == 2  # type: ignore[index]
    assert json.dumps({"kind": GOAL}) == '{"kind": "goal"}'
    assert f"{GOAL} {GOAL!r}" == "goal 'goal'"


def test_a_row_has_its_slots_with_their_types() -> None:
    assert OUT.slots == {"team": Team, "number": str | None}
    assert reason("no_clock").slots == {}


def test_each_sort_of_row_has_its_rank() -> None:
    rows = OUT, tell("bonus"), GOAL, lasting("board_score"), ask("ask_which"), reason("no_clock")
    assert [row.rank for row in rows] == [
        Rank.ACT, Rank.TELL, Rank.ECHO, Rank.ECHO, Rank.ASK, Rank.ECHO
    ]  # fmt: skip
    assert isinstance(rows[-1], Reason)


def test_what_must_be_done_comes_again() -> None:
    assert OUT.again
    assert OUT.until is player_left
    assert (OUT.standing, OUT.running, OUT.horn) == (True, False, False)
    assert not tell("bonus", told=True).again


def test_rows_keep_their_order_but_for_echoes_and_questions() -> None:
    """Plain echoes come in the order of events, and what belongs to no call comes after them."""
    first, second, later = tell("one"), tell("two"), lasting("board_score")
    assert first.place < second.place < later.place
    assert echo("goal").place == ask("ask_which").place == reason("no_clock").place == 0


def test_the_rows_of_a_module_are_listed_by_name() -> None:
    found = listed({"OUT": OUT, "GOAL": GOAL, "other": "a text", "Kind": Kind})
    assert dict(found) == {"player_out": OUT, "goal": GOAL}
    assert list(found) == ["player_out", "goal"]
