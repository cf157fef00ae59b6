"""The game as plain data. Its keys are those that the design lists for `replay --json`."""

from __future__ import annotations

import json
from typing import Any

from hypothesis import given, settings
from hypothesis import strategies as st

from callout.game.calls import Call
from callout.game.figures.score import both_scores
from callout.game.state import Game
from callout.table.view import view
from tests.game.strategies import any_call
from tests.table.play import Book, Table

KEYS = [
    "profile",
    "phase",
    "period",
    "clock_tenths",
    "clock_running",
    "score",
    "by_period",
    "team_fouls",
    "penalty",
    "timeouts_used",
    "timeouts_left",
    "arrow",
    "players",
    "open",
    "unlisted",
    "team_points",
    "adjusted",
    "coach_fouls",
    "bench_fouls",
    "on_court",
    "first_worn",
    "forfeit",
    "approved",
    "signed",
    "entries",
    "undone",
    "notices",
    "refusals",
]


def seen(game: Game) -> dict[str, Any]:
    return view(game, game.clock.left_tenths)


def test_the_keys_are_those_of_the_design_in_its_order(table: Table) -> None:
    assert list(seen(table.game)) == KEYS
    player = seen(table.game)["players"]["home"]["5"]
    assert list(player) == ["points", "made", "missed_1", "fouls", "foul_codes", "out"]


def test_a_game_before_its_first_call(table: Table) -> None:
    book = seen(table.game)
    assert (book["phase"], book["period"], book["clock_tenths"]) == ("before", 0, 4_800)
    assert book["score"] == {"home": 0, "guest": 0}
    assert book["by_period"] == [{"home": 0, "guest": 0}]
    assert book["on_court"] == {"home": [], "guest": []}
    assert book["arrow"] is None


def test_a_quarter_counted_by_hand(table: Table) -> None:
    for line in (
        "start clock",
        "tip guest",
        "home two number five",
        "guest three number thirteen",
        "stop clock",
        "guest foul number thirteen shooting two",
        "shot good number five",
        "shot missed",
        "home charge number four",
        "guest sub fourteen in thirteen out",
        "start clock",
    ):
        assert not table.say(line).refused, line
    table.wait(540)
    table.say("start clock", "start clock", "home two")
    said = table.journal.replies()
    book = view(table.game, 4_800, said)
    assert book["by_period"] == [{"home": 3, "guest": 3}, {"home": 2, "guest": 0}]
    assert book["team_fouls"] == [{"home": 1, "guest": 1}, {"home": 0, "guest": 0}]
    assert book["players"]["home"]["5"] == {
        "points": 3,
        "made": {"1": 1, "2": 1, "3": 0},
        "missed_1": 1,
        "fouls": 0,
        "foul_codes": [],
        "out": False,
    }
    assert book["players"]["guest"]["13"]["made"] == {"1": 0, "2": 0, "3": 1}
    assert book["players"]["home"]["4"]["foul_codes"] == ["P"]
    assert book["open"]["home"] == {"points": 2, "fouls": 0}
    assert book["on_court"]["guest"] == ["14"]
    # Tipped by guest, home had the arrow; home's throw-in began the second quarter and turned it.
    assert book["arrow"] == "guest"
    assert [(told["at"], told["kind"]) for told in book["refusals"]] == [
        ("P2 8:00", "already_running")
    ]
    shots = next(told for told in book["notices"] if told["kind"] == "shots_owed")
    assert shots == {
        "at": "P1 8:00",
        "rank": "act now",
        "kind": "shots_owed",
        "rule": "",
        "text": "Two shots, home.",
    }
    assert not [told for told in book["notices"] if told["rank"] == "echo"]


def test_overtime_fouls_are_counted_in_the_fourth_period(table: Table) -> None:
    # NFHS 5-7-3: extra periods go on from the fourth quarter.
    for _ in range(4):
        table.say("start period", "end period", "yes")
    table.say("start period", "start clock", "stop clock", "home foul number five")
    book = seen(table.game)
    assert (book["period"], len(book["by_period"]), len(book["team_fouls"])) == (5, 5, 4)
    assert book["team_fouls"][3] == {"home": 1, "guest": 0}


@settings(max_examples=60)
@given(st.lists(any_call(), max_size=30))
def test_all_points_are_somewhere_and_all_of_it_is_json(talk: list[Call]) -> None:
    book = Book()
    for call in talk:
        book.wait(1)
        book.try_to_book(book.heard(call))
    seen_book = seen(book.game)
    assert json.loads(json.dumps(seen_book)) == seen_book
    for side, score in zip(("home", "guest"), both_scores(book.game), strict=True):
        players = sum(player["points"] for player in seen_book["players"][side].values())
        others = seen_book["open"][side]["points"] + seen_book["team_points"][side]
        assert players + others + seen_book["adjusted"][side] == score == seen_book["score"][side]
        assert sum(period[side] for period in seen_book["by_period"]) == score
