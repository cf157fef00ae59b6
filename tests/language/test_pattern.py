"""Calls with places left open; the reference is what the parser makes of the same words said."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from callout.errors import CalloutError, InputError
from callout.game import calls
from callout.game.terms import FoulKind, Offender, Team
from callout.language.check import load_language
from callout.language.grammar import Grammar, Scope
from callout.language.parser import Parsed, Parser
from callout.language.pattern import Pattern, PatternError, Patterns
from callout.language.scope import Sentences


@pytest.fixture(scope="session")
def patterns(grammar: Grammar) -> Patterns:
    """English, without any game."""
    return Patterns(grammar)


def places(pattern: Pattern) -> list[tuple[str, str]]:
    return [(place.slot, place.kind) for place in pattern.places]


def test_a_call_without_places_is_a_call(patterns: Patterns) -> None:
    assert patterns.call(patterns.read("start clock")) == calls.StartClock()
    assert patterns.call(patterns.read("Home two")) == calls.Score(Team.HOME, 2)
    assert patterns.call(patterns.read("set clock four twenty seven")) == calls.SetClock(2_670)


def test_places_are_given_one_by_one(patterns: Patterns) -> None:
    pattern = patterns.read("{team} sub {entering} in {leaving} out")
    assert places(pattern) == [("team", "team"), ("entering", "shirt"), ("leaving", "shirt")]
    given = pattern.given("team", "guest").given("leaving", "00").given("entering", "8")
    assert given.places == ()
    assert patterns.call(given) == calls.Substitution(Team.GUEST, "8", "00")
    assert places(pattern)[0] == ("team", "team"), "the pattern itself is as it was"


def test_what_may_be_left_out_may_be_given(patterns: Patterns) -> None:
    pattern = patterns.read("{team} two").given("team", "home")
    assert [place.slot for place in pattern.options] == ["number"]
    assert patterns.call(pattern) == calls.Score(Team.HOME, 2)
    assert patterns.call(pattern.given("number", "5")) == calls.Score(Team.HOME, 2, "5")


def test_the_first_place_of_a_kind_is_found(patterns: Patterns) -> None:
    pattern = patterns.read("take a timeout off {team}")
    place = pattern.wants("team")
    assert place is not None
    assert place.slot == "team"
    assert pattern.wants("count") is None


def test_a_listed_value_may_be_left_open(patterns: Patterns) -> None:
    pattern = patterns.read("{team} coach {foul}").given("team", "home")
    assert places(pattern) == [("foul", "listed")]
    call = patterns.call(pattern.given("foul", "technical"))
    assert call == calls.Foul(Team.HOME, foul=FoulKind.TECHNICAL, on=Offender.COACH)


@pytest.mark.parametrize("text", ["", "home", "{team}", "home four", "{player} two", "two {team}"])
def test_what_is_no_call_is_refused(patterns: Patterns, text: str) -> None:
    with pytest.raises(PatternError, match=f"expected a call, got '{text}'"):
        patterns.read(text)


def test_values_that_make_no_call_are_an_error(patterns: Patterns) -> None:
    pattern = patterns.read("make that number {number}").given("number", "100")
    with pytest.raises(CalloutError, match="number"):
        patterns.call(pattern)


def test_numbers_of_the_game_may_stand_in_it(grammar: Grammar) -> None:
    scope = Scope({Team.HOME: ("4",), Team.GUEST: ("8",)}, foul_kinds=frozenset())
    pattern = Patterns(grammar, scope).read("count on guest eight")
    assert (pattern.places, dict(pattern.slots)) == ((), {"team": "guest", "number": "8"})
    assert Patterns(grammar, scope).read("home flagrant"), "a foul of other leagues, too"


def test_a_pattern_means_what_the_same_words_mean_when_said(
    grammar: Grammar, patterns: Patterns, parser: Parser
) -> None:
    """Every default key, with home in the place of every team."""
    any_time = Parser(grammar, Scope(), Sentences.BOTH)
    compared = 0
    for text in grammar.keys().values():
        pattern = patterns.read(text)
        for place in pattern.places:
            if place.kind == "team":
                pattern = pattern.given(place.slot, "home")
        said = any_time.parse(text.replace("{team}", "home").replace("{to}", "home"))
        if not pattern.places:
            assert isinstance(said, Parsed)
            assert said.calls == (patterns.call(pattern),), text
            compared += 1
    assert compared > 60


WAVE = "name: {name}\nsay: [{name} now]\ndoes: {{undo: {{}}}}\nkeys: {{f1: {keyed}}}\n" \
       "examples: [{{say: {name} now}}]\n"  # fmt: skip


@pytest.mark.parametrize(
    ("keyed", "what"),
    [
        ("wave", r"wave\.yaml:4: expected a call, got 'wave'"),
        ("turn now", r"wave\.yaml:4: expected 'wave', got 'turn' from 'turn now'"),
    ],
)
def test_a_key_says_the_call_of_its_file(
    language: Callable[..., Path], keyed: str, what: str
) -> None:
    turn = WAVE.format(name="turn", keyed="turn now").replace("f1", "f2")
    with pytest.raises(InputError, match=what):
        load_language(language(wave=WAVE.format(name="wave", keyed=keyed), turn=turn))


def test_a_domain_without_calls_has_no_patterns(language: Callable[..., Path]) -> None:
    text = "name: wave\nsay: [wave now]\nexamples: [{say: wave now}]\n"
    with pytest.raises(PatternError, match="expected a call, got 'wave now'"):
        Patterns(load_language(language(wave=text))).read("wave now")
