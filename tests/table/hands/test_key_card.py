"""What stands on a league's card, against the rule books and against the rules engine."""

from __future__ import annotations

from functools import cache
from typing import Any

import pytest

from callout.game.calls import CALLS, TALK, Ask, Call
from callout.game.decide import Refusal, decide
from callout.game.decisions import refusals
from callout.game.profile.file import load_profile, profile_names
from callout.game.profile.profile import Profile
from callout.language.check import load_language
from callout.language.grammar import BEFORE_PART
from callout.language.pattern import Pattern, Place
from callout.table.hands.key_card import GROUPS, KeyRow, key_card
from callout.table.language import patterns_of
from tests.english import english_grammar
from tests.game.play import Play

GRAMMAR = english_grammar()
PATTERNS = patterns_of(GRAMMAR)
MADE_BY_THE_CLOCK = {"clock_expired", "reminder", "before_due", "set_tip", "check_seen"}


@cache
def card(profile: str) -> dict[str, list[KeyRow]]:
    return key_card(GRAMMAR, PATTERNS, load_profile(profile))


def keys(profile: str) -> dict[str, str]:
    """The words of each key of a card."""
    return {" ".join(row.keys): row.words for rows in card(profile).values() for row in rows}


# --- against the rule books -----------------------------------------------------------------------


def test_3x3_has_no_goal_for_three_no_arrow_and_one_kind_of_time_out() -> None:
    """Source: 3x3 rules table: goals of one and two, the defence has a held ball, one time-out."""
    on_it = set(keys("fiba-3x3").values())
    assert "{team} two [{number}]" in on_it
    assert "{team} timeout" in on_it
    assert not [words for words in on_it if "three" in words or "arrow" in words]
    assert not [words for words in on_it if words.endswith((" thirty", " full"))]
    # Three play, by the same table: a fourth is too many, and no card speaks of six.
    assert not [words for words in on_it if "six" in words.split()]


def test_one_and_one_stands_only_where_it_is_shot() -> None:
    """Source: NFHS 4-8 had it to 2022-23; NCAA men's rule 7 has it; FIBA never had."""
    having = {name for name in profile_names() if "one and one" in keys(name).values()}
    assert {"nfhs-2022", "youth-6-minute"} <= having
    assert not having & {"nfhs-2026", "fiba-2022", "fiba-2024", "fiba-3x3", "nba-2026"}


def test_fouls_are_those_of_the_rule_book() -> None:
    """Source: FIBA art. 36, 37, 38; NFHS 4-19."""
    fiba, nfhs = set(keys("fiba-2024").values()), set(keys("nfhs-2026").values())
    assert "{team} unsportsmanlike [{number}]" in fiba - nfhs
    assert "{team} disqualifying [{number}]" in fiba - nfhs
    assert "{team} intentional [{number}]" in nfhs - fiba
    assert "{team} flagrant [{number}]" in nfhs - fiba
    assert "{team} technical [{number}]" in nfhs & fiba


def test_kinds_of_time_outs_are_named_where_there_are_two() -> None:
    """Source: NFHS 5-12: 60 and 30 seconds; FIBA art. 18: one kind."""
    assert "{team} timeout thirty" in keys("nfhs-2026").values()
    assert "{team} timeout thirty" not in keys("fiba-2024").values()


# --- against the engine ---------------------------------------------------------------------------

NOT_OF_THE_LEAGUE = {refusals.POINTS_IMPOSSIBLE, refusals.FOUL_UNKNOWN, refusals.ARROW_UNUSED}
VALUES: dict[str, Any] = {"team": "home", "shirt": "5", "count": 10, "clock": 100}


def filled(pattern: Pattern) -> Call:
    """The call of a pattern, with a value in each open place."""
    for place in pattern.places:
        pattern = pattern.given(place.slot, _value(place))
    return PATTERNS.call(pattern)


def _value(place: Place) -> Any:
    if place.slot == "points" and place.list == "points":
        return 2
    return "guest" if place.slot == "to" else VALUES.get(place.kind, "technical")


def refused(profile: Profile, call: Call) -> bool:
    play = Play(profile).start()
    made = decide(play.game, call, play.at()) if not isinstance(call, Ask) else ()
    return isinstance(made, Refusal) and made.kind in NOT_OF_THE_LEAGUE


@pytest.mark.parametrize("name", profile_names())
def test_the_game_refuses_no_call_of_the_card_as_unknown_to_its_league(name: str) -> None:
    on_it, profile = keys(name), load_profile(name)
    left_out = 0
    for key, text in GRAMMAR.keys().items():
        pattern = PATTERNS.read(text)
        does = GRAMMAR.calls[pattern.index].does or {}
        if set(does) & {"score", "foul", "set_arrow", "switch_arrow"}:
            assert (key in on_it) != refused(profile, filled(pattern)), (key, text)
            left_out += key not in on_it
    assert left_out > 0


# --- the card itself ------------------------------------------------------------------------------


@pytest.mark.parametrize("name", profile_names())
def test_a_call_stands_in_one_group_and_once(name: str) -> None:
    rows = [row for of in card(name).values() for row in of]
    assert len({row.words for row in rows}) == len(rows)
    pressed = [row.keys for row in rows if row.keys]
    assert len(set(pressed)) == len(pressed)


def test_every_key_of_the_language_is_on_the_card_of_some_league() -> None:
    found = {key for name in profile_names() for key in keys(name)}
    assert set(GRAMMAR.keys()) <= found


def test_every_kind_of_call_about_the_game_has_a_group() -> None:
    """The last group is for what the voice and the ear shall do."""
    grouped = [name for names in GROUPS.values() for name in names]
    assert len(set(grouped)) == len(grouped)
    talk = {name for name, kind in CALLS.members().items() if kind in TALK}
    before = load_language(GRAMMAR.folder, BEFORE_PART)
    not_in_a_game = {name for file in before.calls for name in file.does or ()}
    rest = set(CALLS.members()) - set(grouped)
    assert rest <= MADE_BY_THE_CLOCK | talk | not_in_a_game


def test_a_call_without_a_key_is_shown_by_an_example() -> None:
    assert KeyRow("number five") in card("nfhs-2026")["Score"]


def test_what_is_rare_or_heavy_stands_below_and_is_told_apart() -> None:
    rows = card("nfhs-2026")["Mistakes"]
    heavy = [row.heavy for row in rows]
    assert heavy == sorted(heavy)
    by_words = {row.words: row for row in rows}
    assert not by_words["undo that"].heavy
    assert by_words["put that back"].heavy, "two keys"
    assert by_words["last {team} basket was {to}"].heavy, "~ needs Shift"
